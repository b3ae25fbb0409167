/** A recorded turn as it is pasted: a row a line, and every line that cannot be read with its number and reason. */

import { readNumber } from "../fields.js";

const COLUMNS = [
  { name: "time_s", word: "time", unit: "s", needed: true },
  { name: "heading_deg", word: "heading", unit: "deg", needed: true },
  { name: "rudder_deg", word: "rudder", unit: "deg", needed: true },
  { name: "east_m", word: "east", unit: "m" },
  { name: "north_m", word: "north", unit: "m" },
];
const COLUMN_WORDS = new RegExp(COLUMNS.map(({ word }) => word).join("|"), "g");

/** So much of a cell is repeated in what is said of it. */
const MOST_QUOTED = 24;
const quoted = (cell) => `"${cell.length > MOST_QUOTED ? `${cell.slice(0, MOST_QUOTED)}\u2026` : cell}"`;

/** The cells of a line; a comma before a blank is no decimal comma, and empty cells at the end are none. */
function cellsOf(line) {
  const plain = line.trim().replace(/,\s+/g, ",");
  const mark = [";", "\t", ","].find((one) => plain.includes(one)) ?? /\s+/;
  const cells = plain.split(mark).map((one) => one.trim());
  while (cells.at(-1) === "") cells.pop();
  return cells;
}

const isHeader = (cells) => cells.every((cell) => readNumber(cell, null).error && /^[^\d+.-]/.test(cell));

/** The columns that a header line names, in its sequence: {columns} or {error}. */
function columnsOf(line, cells) {
  const words = line.toLowerCase().match(COLUMN_WORDS) ?? [];
  const columns = words.map((word) => COLUMNS.find((one) => one.word === word));
  const whole = new Set(words).size === words.length && COLUMNS.every((one) => !one.needed || columns.includes(one));
  const parted = /[;,\t]/.test(line);
  if (whole && (!parted || cells.length === columns.length)) return { columns };
  return { error: "a header line names time, heading, rudder and, where recorded, east and north, each once, and nothing else" };
}

/** The row that cells make: {row} or {error}. */
function rowOf(cells, columns) {
  if (cells.length > columns.length) return { error: `${cells.length} numbers where at most ${columns.length} are looked for` };
  const row = {};
  for (const [index, { name, word, unit }] of columns.entries()) {
    const { value, error } = readNumber(cells[index] ?? "", unit);
    if (error) return { error: `${word} ${quoted(cells[index])}. ${error}` };
    if (value !== undefined) row[name] = value;
  }
  const missing = COLUMNS.filter(({ name, needed }) => needed && row[name] === undefined).map(({ word }) => word);
  if (missing.length > 0) return { error: `no ${missing.join(", no ")}` };
  if ((row.east_m === undefined) !== (row.north_m === undefined)) return { error: "east and north belong together" };
  return { row };
}

/** Why a row cannot stand after those before it, or null. */
function misplaced(row, rows, lines) {
  const before = rows.at(-1);
  if (!before) return null;
  if (row.time_s <= before.time_s) return `time ${row.time_s} s is not after that of line ${lines.at(-1)}, ${before.time_s} s`;
  const [here, first] = [row.east_m !== undefined, rows[0].east_m !== undefined];
  if (here === first) return null;
  return `${here ? "a place" : "no place"}, line ${lines[0]} has ${first ? "one" : "none"}: all rows give east and north, or none does`;
}

/** The rows of a text, with the number of the line of each: {rows, lines, error}; `error` has a line for each wrong one. */
export function readRecord(text) {
  const [rows, lines, wrong] = [[], [], []];
  let columns = null;
  const take = (line, number) => {
    const cells = cellsOf(line);
    if (cells.length === 0) return;
    const named = columns === null && isHeader(cells) ? columnsOf(line, cells) : null;
    columns ??= named?.columns ?? COLUMNS;
    const { row, error } = named ?? rowOf(cells, columns);
    const reason = error ?? (row && misplaced(row, rows, lines));
    if (reason) wrong.push(`Line ${number}: ${reason}`);
    else if (row) { rows.push(row); lines.push(number); }
  };
  text.split(/\r\n|\r|\n/).forEach((line, index) => take(line, index + 1));
  return { rows, lines, error: wrong.length > 0 ? wrong.join("\n") : null };
}

/** "line 5, rudder: " for the pointer of a row or of a member of it, with the lines of rows by their pointer. */
export function lineWords(pointer, lines) {
  const [, row, name] = /^(.*\/rows\/\d+)(?:\/(\w+))?$/.exec(pointer) ?? [];
  if (!lines.has(row)) return "";
  const column = COLUMNS.find((one) => one.name === name);
  return `Line ${lines.get(row)}${column ? `, ${column.word}` : ""}: `;
}
