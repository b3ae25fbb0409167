/** The marks that are steered by: the user's own, typed or from a file, and how many others are loaded. */

import { positions } from "../api.js";
import { button, dropRow, newRowId, putRow, refusedOf, said } from "../bridge/rows.js";
import { el, replace, tableBox } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { readNumber } from "../fields.js";
import { figure, position } from "../figures.js";
import { countText, decimals, known, oneDecimal } from "../format.js";
import { COLUMNS, readMarks } from "../marks/read.js";
import { kindWords, MARK_KINDS, YES_NO } from "../marks/words.js";
import { choiceField, formField, formMessage } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";

const flagOf = (text) => (text === "" ? undefined : text === "true");

/** The fields of one mark. Returns what puts a mark into them. */
function markForm(host) {
  const name = formField({ id: "mark-name", label: "Name" });
  const place = formField({ id: "mark-position", label: "Position", hint: "like 51-23.456N 001-12.345E" });
  const kind = choiceField({ id: "mark-kind", label: "What it is" });
  const numbers = [["height_m", "Height above the water", "m", "of a light its focal plane; empty: not known"], ["nominal_range_nm", "Nominal range of its light", "NM", "as the list of lights has it"],
    ["position_uncertainty_m", "Place sure within", "m", null], ["leading_deg", "Leads on", "deg T", "bearing from seaward"]]
    .map(([member, label, unit, hint]) => ({ member, unit, ...formField({ id: `mark-${member}`, label: `${label} ${unit}`, hint }) }));
  const character = formField({ id: "mark-character", label: "Character of its light", hint: "like Fl(2) W 10s" });
  const flags = [["floating", "Floats"], ["lit", "Lit"], ["visually_conspicuous", "Conspicuous to the eye"], ["radar_conspicuous", "Conspicuous to radar"]].map(([member, label]) => ({ member, ...choiceField({ id: `mark-${member}`, label }) }));
  const message = formMessage("mark-refused");
  const act = el("button", { type: "submit", "data-testid": "mark-take" }, "Add this mark");
  let changing = null;
  kind.fill(MARK_KINDS);
  flags.forEach((one) => one.fill(YES_NO));
  const clear = () => {
    changing = null;
    [name, place, character, ...numbers].forEach((one) => { one.input.value = ""; one.say(null); });
    flags.forEach((one) => { one.input.value = ""; });
    act.textContent = "Add this mark";
  };
  const take = async (event) => {
    event.preventDefault();
    const read = numbers.map((one) => ({ one, ...readNumber(one.text(), one.unit) }));
    read.forEach(({ one, error }) => one.say(error));
    name.say(name.text() ? null : "A mark needs a name.");
    if (read.some(({ error }) => error) || !name.text()) return;
    let at;
    try {
      at = (await positions.read(place.text())).position;
    } catch (error) {
      if (error.status === undefined && !error.unreachable) throw error;
      place.say(error.errors?.[0]?.message || error.detail || error.message);
      return;
    }
    const own = Object.fromEntries(read.map(({ one, value }) => [one.member, value]));
    const told = Object.fromEntries(flags.map((one) => [one.member, flagOf(one.text())]));
    putRow("marks", said({ id: changing ?? newRowId("marks", "mark"), name: name.text(), lat_deg: at.lat_deg, lon_deg: at.lon_deg, kind: kind.text(), ...own, light_character: character.text(), ...told }));
    clear();
  };
  replace(host, el("form", { class: "strip-form", novalidate: true, "data-testid": "mark-form", on: { submit: take } }, el("h3", {}, "A mark of one's own"),
    el("div", { class: "fields" }, [name, place, kind, ...numbers.slice(0, 2), character, ...numbers.slice(2), ...flags].map(({ node }) => node)), message.node, el("div", { class: "actions" }, act)));
  watch(["fieldErrors"], () => message.say(refusedOf("marks", "Mark")));
  return (id) => {
    const one = state.inputs.marks.find((row) => row.id === id);
    changing = id;
    name.input.value = one.name;
    place.input.value = `${one.lat_deg} ${one.lon_deg}`;
    kind.input.value = one.kind;
    character.input.value = one.light_character ?? "";
    numbers.forEach((each) => { each.input.value = known(one[each.member]) ? String(one[each.member]) : ""; });
    flags.forEach((each) => { each.input.value = known(one[each.member]) ? String(one[each.member]) : ""; });
    act.textContent = "Put the changed mark in its place";
    name.input.focus();
  };
}

/** Many marks at once, from a text or a file; those of a known id take its place. */
function manyForm(host) {
  const text = formField({ id: "marks-text", label: "Many marks: CSV with a row of names, or GeoJSON points", hint: `columns: ${COLUMNS.join(", ")}`, area: true });
  const take = () => {
    let rows;
    try {
      rows = readMarks(text.text());
    } catch (error) {
      text.say(error.message);
      return;
    }
    const fresh = new Set(rows.map(({ id }) => id));
    edit((inputs) => setTop({ marks: [...(inputs.marks || []).filter(({ id }) => !fresh.has(id)), ...rows] })(inputs));
    text.input.value = "";
  };
  const file = el("input", {
    type: "file", id: "marks-file", class: "file-input", accept: ".json,.geojson,.csv,.txt", "data-testid": "marks-file",
    on: { change: async () => { if (file.files[0]) text.input.value = await file.files[0].text(); file.value = ""; take(); } },
  });
  replace(host, el("div", { class: "fields" }, text.node), el("div", { class: "drop" }, el("label", { for: "marks-file", class: "file-label" }, "Or pick a file of marks"), file),
    el("div", { class: "actions" }, button("marks-take", "Take these marks", take)));
}

const metres = (value) => (known(value) ? figure(value, "m", (one) => decimals(one, 0)) : "not known");

function ownRow(one, change) {
  return el("tr", { "data-testid": `mark-row-${one.id}` }, el("th", { scope: "row" }, one.name), el("td", { "data-label": "What" }, kindWords(one.kind)),
    el("td", { "data-label": "Position" }, position(one)), el("td", { "data-label": "Height m" }, metres(one.height_m)),
    el("td", { "data-label": "Light" }, [one.light_character, known(one.nominal_range_nm) && `${one.nominal_range_nm} NM`].filter(Boolean).join(", ") || "none said"),
    el("td", { class: "actions" }, button(`mark-change-${one.id}`, "Change it", () => change(one.id)), button(`mark-drop-${one.id}`, "Take it away", () => dropRow("marks", one.id))));
}

function ownTable(change) {
  const rows = state.inputs?.marks || [];
  if (rows.length === 0) return el("p", { class: "missing", "data-testid": "marks-none" }, "No mark of one's own.");
  return tableBox("Marks of one's own, scrolls sideways", el("table", { class: "stacks", "data-testid": "marks-table" }, el("caption", {}, "Marks of one's own"),
    el("thead", {}, el("tr", {}, ["Mark", "What", "Position", "Height m", "Light", ""].map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, rows.map((one) => ownRow(one, change)))));
}

/** How many marks the plan looked among, and those that cues use beside one's own. */
function loadedPart() {
  const marks = state.plan?.answer.marks;
  if (!marks) return el("p", { class: "gap-line" }, "Nothing is computed yet.");
  const sources = { you: "one's own", dangers: "among the dangers" };
  const named = marks.sources.map(({ source, count }) => `${sources[source] ?? source}: ${count}`).join(", ");
  const others = marks.rows.filter(({ source }) => source !== "you");
  return [el("p", { "data-testid": "marks-loaded", "data-count": marks.loaded_count }, marks.loaded_count === 0 ? "No marks are loaded: cues are not checked." : `${countText(marks.loaded_count, "mark")} loaded. ${named}.`),
    others.length > 0 && el("details", {}, el("summary", {}, `Others that rank among the cues of a turn: ${others.length}`), tableBox("Marks of charts and dangers that cues use", el("table", { class: "stacks", "data-testid": "marks-used" },
      el("thead", {}, el("tr", {}, ["Mark", "What", "From", "Height m", "Nominal range NM"].map((head) => el("th", { scope: "col" }, head)))),
      el("tbody", {}, others.map((one) => el("tr", {}, el("th", { scope: "row" }, one.name), el("td", { "data-label": "What" }, one.what ?? kindWords(one.kind)), el("td", { "data-label": "From" }, sources[one.source] ?? one.source),
        el("td", { "data-label": "Height m" }, metres(one.height_m)), el("td", { "data-label": "Nominal range NM" }, known(one.nominal_range_nm) ? figure(one.nominal_range_nm, "NM", oneDecimal) : one.lit ? "not known" : "unlit")))))))];
}

export function startMarks(host) {
  const [own, form, many, loaded] = Array.from({ length: 4 }, () => el("div", {}));
  const change = markForm(form);
  manyForm(many);
  replace(host, el("h2", {}, "Marks to steer by"), el("p", { class: "panel-lead" }, "Marks are looked for among the cells, the dangers and one's own. What is not said of one, its height or its light, counts as not known, never as seen. Heights of eye and radar stand with the ship, the visibility with the conditions."), loaded, own, form, many);
  watch(["inputs", "fieldErrors"], () => redraw(own, ownTable(change)));
  watch(["plan"], () => redraw(loaded, loadedPart()));
}
