/** Typed papers to the request of a fit and back: every member keeps the place it was typed at. */

import { readNumber } from "../fields.js";
import { begun, emptyPapers, emptySet, ENGINE_ORDERS, POINT_FIELDS, SET_FIELDS, setBegun, SHIP_FIELDS_OF_PAPERS, TRIALS, USUAL_POINTS } from "./described.js";
import { readRecord } from "./record.js";

const LENGTHS = /^([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*(?:l|lengths?)$/i;
const CLOCK = /^(\d{1,3}):([0-5]\d(?:\.\d+)?)$/;

/** What a field's text says: {member, value}, {error}, or nothing for an empty text; with `lines` for rows of a record. */
export function readText({ name, kind, unit }, text = "") {
  const trimmed = text.trim();
  if (trimmed === "") return {};
  if (kind === "text" || kind === "choice") return { member: name, value: trimmed };
  if (kind === "rows") {
    const { rows, lines, error } = readRecord(text);
    return error ? { error } : { member: name, value: rows, lines };
  }
  const lengths = kind === "distance" && LENGTHS.exec(trimmed);
  if (lengths) return { member: `${name}_lengths`, value: Number(lengths[1]) };
  const clock = kind === "time" && CLOCK.exec(trimmed);
  if (clock) return { member: name, value: 60 * Number(clock[1]) + Number(clock[2]) };
  const { value, error } = readNumber(trimmed, unit);
  return error ? { error } : { member: kind === "distance" ? `${name}_m` : name, value };
}

/** The request as far as it is made: where each member was typed, the lines of records, and what could not be read. */
class Making {
  places = new Map();
  errors = new Map();
  lines = new Map();

  /** The members of a row of texts. `at` is its place in the request, `place` where it was typed. */
  members(fields, row, at, place) {
    const made = {};
    this.places.set(at, place);
    for (const field of fields) {
      const { member, value, error, lines = [] } = readText(field, row[field.name]);
      if (error) this.errors.set(`${place}/${field.name}`, error);
      else if (member) made[member] = value;
      this.places.set(`${at}/${member || field.name}`, `${place}/${field.name}`);
      lines.forEach((line, index) => this.lines.set(`${at}/${member}/${index}`, line));
    }
    return made;
  }

  /** The rows of a sort that say something; a trial without its numbers is not sent. */
  rows(described, rows, at, place) {
    const made = [];
    rows.forEach((row, index) => {
      if (!begun(described, row)) return;
      const [here, typed] = [`${at}/${made.length}`, `${place}/${index}`];
      const one = this.members(described.fields, row, here, typed);
      if (described.points) one.points = this.points(row.points, `${here}/points`, `${typed}/points`);
      this.refuseEmpty(described, row, one, typed);
      made.push(one);
    });
    return made;
  }

  points(points, at, place) {
    const made = [];
    points.forEach((point, index) => {
      if (point.time_s?.trim() || point.speed_kn?.trim()) made.push(this.members(POINT_FIELDS, point, `${at}/${made.length}`, `${place}/${index}`));
    });
    return made;
  }

  /** Nothing can be fitted to a trial that gives no number. */
  refuseEmpty({ one, fields, gives }, row, made, place) {
    if (gives.length === 0 || made.points?.length > 0 || gives.some((name) => row[name]?.trim())) return;
    const labels = fields.filter(({ name }) => gives.includes(name)).map(({ label }) => label.toLowerCase());
    this.errors.set(place, `This ${one} gives no number yet: ${labels.join(", ")}${made.points ? ", or a time or speed" : ""}.`);
  }
}

/** One loading as the request has it. */
function setFrom(making, set, at, place) {
  const made = making.members(SET_FIELDS, set, at, place);
  for (const described of TRIALS) {
    const rows = making.rows(described, set[described.name], `${at}/${described.name}`, `${place}/${described.name}`);
    if (rows.length > 0) made[described.name] = rows;
  }
  return made;
}

/** Papers as {ship, sets, engine_orders} of a request, with the places and lines they were typed at and what could not be read. */
export function papersFrom(texts) {
  const making = new Making();
  const ship = making.members(SHIP_FIELDS_OF_PAPERS, texts.ship, "/ship", "/papers");
  const sets = [];
  texts.sets.forEach((set, index) => {
    if (setBegun(set)) sets.push(setFrom(making, set, `/sets/${sets.length}`, `/sets/${index}`));
  });
  const orders = making.rows(ENGINE_ORDERS, texts.engine_orders, "/engine_orders", "/engine_orders");
  making.places.delete("/ship"); // the ship's own fields stand elsewhere
  return { ship, sets, engine_orders: orders, places: making.places, lines: making.lines, errors: making.errors };
}

/** Where a member of the request was typed; a member that was not given belongs to its row. */
export function placeOf(pointer, places) {
  if (places.has(pointer)) return places.get(pointer);
  const plain = pointer.replace(/_(?:m|lengths)$/, "");
  const cut = pointer.lastIndexOf("/");
  return places.get(plain) ?? (cut > 0 ? placeOf(pointer.slice(0, cut), places) : null);
}

/** The text of a field of a request. */
function textOf({ name, kind }, made) {
  if (kind !== "distance") return made[name] === undefined ? null : String(made[name]);
  if (made[`${name}_lengths`] !== undefined) return `${made[`${name}_lengths`]} L`;
  return made[`${name}_m`] === undefined ? null : String(made[`${name}_m`]);
}

function textsOf(fields, made) {
  const texts = fields.map((field) => [field.name, textOf(field, made)]);
  return Object.fromEntries(texts.filter(([, text]) => text !== null));
}

/** The moments of a circle: the usual ones, and those the file has besides. */
function pointTexts(points = []) {
  const given = points.map((point) => textsOf(POINT_FIELDS, point));
  const usual = USUAL_POINTS.filter((heading) => !given.some((one) => Number(one.heading_change_deg) === Number(heading)));
  return [...given, ...usual.map((heading) => ({ heading_change_deg: heading }))].sort((a, b) => a.heading_change_deg - b.heading_change_deg);
}

/** The texts of a request that a file made. */
export function textsFrom({ ship = {}, sets = [], engine_orders: orders = [] }) {
  const rowsOf = (described, rows = []) => rows.map((row) => ({ ...described.start, ...textsOf(described.fields, row), ...(described.points && { points: pointTexts(row.points) }) }));
  return {
    ...emptyPapers(),
    ship: textsOf(SHIP_FIELDS_OF_PAPERS, ship),
    sets: sets.map((set) => ({ ...emptySet(), ...textsOf(SET_FIELDS, set), ...Object.fromEntries(TRIALS.map((one) => [one.name, rowsOf(one, set[one.name])])) })),
    engine_orders: rowsOf(ENGINE_ORDERS, orders),
  };
}
