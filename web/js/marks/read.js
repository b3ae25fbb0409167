/**
 * Marks out of a text: CSV with a row of names, or GeoJSON points. Only the shape is read here; what the values may be is the
 * service's to say.
 */

const NUMBERS = ["lat_deg", "lon_deg", "height_m", "nominal_range_nm", "sector_from_deg", "sector_to_deg", "position_uncertainty_m", "leading_deg"];
const FLAGS = ["floating", "lit", "visually_conspicuous", "radar_conspicuous"];
const TEXTS = ["id", "name", "kind", "light_character"];

export const COLUMNS = [...TEXTS.slice(0, 2), "lat_deg", "lon_deg", "kind", ...FLAGS, ...NUMBERS.slice(2), "light_character"];

const flag = (text) => ({ yes: true, true: true, no: false, false: false })[text.toLowerCase()];

function valueOf(name, text, where) {
  if (TEXTS.includes(name)) return text;
  const value = FLAGS.includes(name) ? flag(text) : /^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(text) ? Number(text) : undefined;
  if (value === undefined) throw new Error(`${where}, ${name}: ${text} is ${FLAGS.includes(name) ? "neither yes nor no" : "no number"}.`);
  return value;
}

/** The cells of a line; a quote keeps a separator in its cell. */
function cells(line, separator) {
  const found = [];
  let [cell, quoted] = ["", false];
  for (const sign of line) {
    if (sign === "\"") quoted = !quoted;
    else if (sign === separator && !quoted) { found.push(cell.trim()); cell = ""; } else cell += sign;
  }
  return [...found, cell.trim()];
}

function fromCsv(text) {
  const lines = text.split(/\r?\n/).map((line, index) => ({ line, number: index + 1 })).filter(({ line }) => line.trim() !== "");
  const separator = ["\t", ";"].find((one) => lines[0].line.includes(one)) ?? ",";
  const names = cells(lines[0].line, separator);
  const unknown = names.filter((name) => !COLUMNS.includes(name));
  if (unknown.length > 0) throw new Error(`Line ${lines[0].number}: no column is called ${unknown.join(", ")}. Known are ${COLUMNS.join(", ")}.`);
  return lines.slice(1).map(({ line, number }) => {
    const row = cells(line, separator);
    if (row.length !== names.length) throw new Error(`Line ${number}: ${row.length} cells under ${names.length} names.`);
    return Object.fromEntries(names.map((name, at) => [name, row[at]]).filter(([, cell]) => cell !== "").map(([name, cell]) => [name, valueOf(name, cell, `Line ${number}`)]));
  });
}

function fromGeoJson(text) {
  const { features } = JSON.parse(text);
  if (!Array.isArray(features)) throw new Error("This GeoJSON is no list of features.");
  return features.map(({ id, geometry, properties }, index) => {
    if (geometry?.type !== "Point") throw new Error(`Feature ${index + 1}: a mark is a point, not ${geometry?.type ?? "nothing"}.`);
    const [lon_deg, lat_deg] = geometry.coordinates;
    const own = Object.fromEntries(Object.entries(properties || {}).filter(([name, value]) => COLUMNS.includes(name) && value !== null));
    return { ...(id !== undefined && { id: String(id) }), ...own, lat_deg, lon_deg };
  });
}

/** The marks of a text; each without an id takes its name for one. Throws an error that names the line. */
export function readMarks(text) {
  const trimmed = text.trim();
  if (trimmed === "") throw new Error("There is nothing in it.");
  const rows = trimmed.startsWith("{") ? fromGeoJson(trimmed) : fromCsv(trimmed);
  return rows.map((row) => ({ ...row, id: row.id ?? row.name, name: row.name ?? row.id }));
}
