/** Turning tables from the ship's papers: what she was measured to do, row by row, with its source. */

import { el, tableBox } from "../dom.js";
import { readNumber } from "../fields.js";
import { countText, sideText } from "../format.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";

const ROW_FIELDS = [
  ["heading_change_deg", "Change deg", "deg", true],
  ["advance_m", "Advance m", "m", true],
  ["transfer_m", "Transfer m", "m", true],
  ["time_s", "Time s", "s", false],
  ["speed_kn", "Speed kn", "kn", false],
];

const HEAD_FIELDS = [
  ["rudder_deg", "Rudder", "deg", true],
  ["speed_kn", "Approach speed", "kn", true],
];

/** Text as it was typed, by place, as long as it could not be taken. */
let texts = new Map();
let commit = () => {};
/** Tables whose rows are on show; a ship may have many. */
const open = new Set();

const tables = () => state.extra.ship?.turn_tables || [];

function keep(list) {
  const { turn_tables: old, ...ship } = state.extra.ship || {};
  const next = { ...ship, ...(list.length > 0 && { turn_tables: list }) };
  set({ extra: { ...state.extra, ship: Object.keys(next).length > 0 ? next : undefined } });
  if (list.every((table) => complete(table))) commit();
}

/** Whether a table can be sent: the service refuses half of one. */
function complete(table) {
  return HEAD_FIELDS.every(([name]) => name in table) && table.rows.length > 0 && table.rows.every((row) => ROW_FIELDS.every(([name, , , needed]) => !needed || name in row));
}

const changedAt = (list, index, change) => list.map((one, i) => (i === index ? change(one) : one));

function withValue(object, name, value) {
  const { [name]: old, ...rest } = object;
  return value === undefined || value === "" ? rest : { ...rest, [name]: value };
}

/** A number in its cell or field; what cannot be read stays, with the reason. */
function numberInput(key, label, object, name, unit, change) {
  const wrong = texts.get(key);
  const input = el("input", {
    type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": label, "data-testid": key, "aria-invalid": String(Boolean(wrong)),
    on: {
      change: () => {
        const { value, error } = readNumber(input.value, unit);
        if (error) texts.set(key, { text: input.value, error }); else texts.delete(key);
        if (error) set({ extra: { ...state.extra } }); else change((one) => withValue(one, name, value));
      },
    },
  });
  input.value = wrong ? wrong.text : object[name] ?? "";
  return [input, wrong && el("p", { class: "field-error" }, wrong.error)];
}

function rowLine(index, row, number) {
  const change = (work) => keep(changedAt(tables(), index, (table) => ({ ...table, rows: changedAt(table.rows, number, work) })));
  const away = () => keep(changedAt(tables(), index, (table) => ({ ...table, rows: table.rows.filter((_, i) => i !== number) })));
  return el("tr", {}, ROW_FIELDS.map(([name, label, unit]) => el("td", { "data-label": label }, numberInput(`table-${index}-${number}-${name}`, `${label}, row ${number + 1}`, row, name, unit, change))),
    el("td", {}, el("button", { type: "button", "data-testid": `table-${index}-${number}-away`, "aria-label": `Take row ${number + 1} away`, on: { click: away } }, "Take away")));
}

function choice(index, label, name, options) {
  const id = `table-${index}-${name}`;
  const select = el("select", { id, "data-testid": id, on: { change: () => keep(changedAt(tables(), index, (table) => withValue(table, name, select.value))) } },
    options.map(([value, words]) => el("option", { value, selected: (tables()[index][name] ?? "") === value }, words)));
  return el("div", { class: "field" }, el("label", { for: id }, label), select);
}

function textField(index, label, name) {
  const id = `table-${index}-${name}`;
  const input = el("input", { id, type: "text", "data-testid": id, on: { change: () => keep(changedAt(tables(), index, (table) => withValue(table, name, input.value.trim()))) } });
  input.value = tables()[index][name] ?? "";
  return el("div", { class: "field" }, el("label", { for: id }, label), input);
}

/** One line about a table. */
function summary({ rudder_deg: rudder, speed_kn: speed, side, loading, rows }) {
  return [rudder !== undefined && `rudder ${rudder} deg`, speed !== undefined && `${speed} kn`, side && sideText(side), loading, countText(rows.length, "row")].filter(Boolean).join(", ");
}

function tablePart(table, index) {
  const change = (work) => keep(changedAt(tables(), index, work));
  const add = () => keep(changedAt(tables(), index, (one) => ({ ...one, rows: [...one.rows, {}] })));
  const whole = complete(table);
  const details = el("details", { class: "turn-table", "data-testid": `turn-table-${index}`, open: !whole || open.has(index), on: { toggle: () => { if (details.open) open.add(index); else open.delete(index); } } },
    el("summary", {}, `Table ${index + 1}: ${summary(table)}`),
    el("div", { class: "fields" },
      HEAD_FIELDS.map(([name, label, unit]) => el("div", { class: "field" }, el("span", { class: "field-label" }, label, el("span", { class: "unit" }, ` ${unit}`)), numberInput(`table-${index}-${name}`, `${label} ${unit}`, table, name, unit, change))),
      choice(index, "Side", "side", [["", "both, or not said"], ["port", "port"], ["starboard", "stbd"]]),
      choice(index, "Rows are taken", "rows_are", [["", "not said"], ["heading_reached", "as the heading is reached"], ["steadied", "steadied on the new course"]]),
      textField(index, "Loading", "loading"), textField(index, "Source", "source")),
    tableBox("Rows of the turning table, scrolls sideways", el("table", { class: "turn-rows stacks" },
      el("thead", {}, el("tr", {}, ROW_FIELDS.map(([, label, , needed]) => el("th", { scope: "col" }, label, !needed && el("span", { class: "sub" }, "may be empty"))), el("th", { scope: "col" }, ""))),
      el("tbody", {}, table.rows.map((row, number) => rowLine(index, row, number))))),
    !whole && el("p", { class: "notice", "data-testid": "table-incomplete" }, "Not stored yet: rudder, approach speed and for each row change, advance and transfer are needed."),
    el("div", { class: "actions" }, el("button", { type: "button", "data-testid": `table-${index}-add`, on: { click: add } }, "Add a row"),
      el("button", { type: "button", "data-testid": `table-${index}-away`, on: { click: () => keep(tables().filter((_, i) => i !== index)) } }, "Take this table away")));
  return details;
}

function render(host) {
  redraw(host, el("h3", {}, "Turning tables"),
    tables().length === 0 && el("p", { class: "field-hint" }, "None: wheel-overs from advance and transfer are not computed."),
    tables().map(tablePart),
    el("div", { class: "actions" }, el("button", { type: "button", "data-testid": "add-turn-table", on: { click: () => { open.add(tables().length); keep([...tables(), { rows: [{}] }]); } } }, "Enter a turning table")));
}

export function startTurnTables(host, { commitShip }) {
  commit = commitShip;
  watch(["extra"], () => render(host));
  watch(["draft"], () => { if (!state.draft) { texts = new Map(); open.clear(); } });
}
