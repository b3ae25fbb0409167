/** Members of the legs as a table of fields, one row for each leg: each field is a step when it is left. */

import { el, tableBox } from "../dom.js";
import { findWaypoint, setOnLegs } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { readNumber } from "../fields.js";
import { numberText } from "../format.js";
import { state } from "../state.js";
import { forget, keyOf, rememberSent, texts, wrongIn } from "./not_taken.js";

/** Where a column's member stands in the leg. */
const pathOf = ({ part = [], member }) => [...part, member];

const kept = (id, { write = String, ...column }) => {
  const value = pathOf(column).reduce((of, step) => of?.[step], findWaypoint(state.inputs, id).waypoint?.leg);
  return value === undefined || value === null ? "" : write(value);
};

/** The value of a typed text: {value} or {error}. */
const read = ({ unit, reader = (text) => readNumber(text, unit) }, text) => reader(text);

function take(id, column, input) {
  const text = input.value;
  const name = `leg-${column.member}`;
  if (text.trim() === kept(id, column)) { forget(id, name, `leg/${pathOf(column).join("/")}`); return null; }
  rememberSent(id, name, text);
  const { value, error } = read(column, text);
  if (error) texts.set(keyOf(id, name), { text, error });
  else { texts.delete(keyOf(id, name)); edit(setOnLegs([id], pathOf(column), value)); }
  return error;
}

function cell(id, leg, column) {
  const domId = `leg-${column.member}-${id}`;
  const wrong = wrongIn(id, `leg-${column.member}`, `leg/${pathOf(column).join("/")}`, kept(id, column));
  const message = el("span", { class: "field-error", id: `${domId}-error`, "data-testid": `error-${domId}`, hidden: !wrong }, wrong?.error);
  const own = { id: domId, "data-testid": domId, "aria-label": `${leg}, ${column.label}`, "aria-describedby": `${domId}-error`, "aria-invalid": String(Boolean(wrong)) };
  const changed = () => {
    const error = take(id, column, input);
    message.textContent = error || "";
    message.hidden = !error;
    input.setAttribute("aria-invalid", String(Boolean(error)));
  };
  const input = column.options
    ? el("select", { ...own, on: { change: () => edit(setOnLegs([id], pathOf(column), input.value || undefined)) } }, column.options.map(([value, words]) => el("option", { value, selected: kept(id, column) === value }, words)))
    : el("input", { type: "text", autocomplete: "off", ...own, on: { change: changed } });
  if (!column.options) input.value = wrong ? wrong.text : kept(id, column);
  return el("td", { "data-label": column.unit ? `${column.label} ${column.unit}` : column.label }, input, message);
}

/** The table; `columns` are {member, label, unit, options, reader, write}, and `part` where the member is not the leg's own. */
export function legTable(caption, testId, columns) {
  const { waypoints } = state.inputs.route;
  if (waypoints.length < 2) return el("p", { class: "field-hint" }, "No leg yet.");
  const row = ({ id }, index) => {
    if (index === 0) return null;
    const leg = `leg ${numberText(index - 1)}-${numberText(index)}`;
    return el("tr", {}, el("th", { scope: "row" }, leg), columns.map((column) => cell(id, leg, column)));
  };
  return tableBox(`${caption}, scrolls sideways`, el("table", { class: "leg-fields stacks", "data-testid": testId }, el("caption", {}, caption),
    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Leg"), columns.map(({ label, unit }) => el("th", { scope: "col" }, label, unit && ` ${unit}`)))),
    el("tbody", {}, waypoints.map(row))));
}
