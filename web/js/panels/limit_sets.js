/** Limit sets: choose one, write one for open, coastal and confined water, store its editions; the kind of water of each leg. */

import { el, replace, tableBox } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { readNumber, SAFETY_FIELDS } from "../fields.js";
import { countText, known } from "../format.js";
import { limitSets } from "../limits/api.js";
import { CLASSES, RULES, WATERS } from "../limits/words.js";
import { formField, formMessage } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";
import { field } from "./form.js";
import { legTable } from "./leg_table.js";
import { commit } from "./limits.js";
import { problemBox } from "./problem.js";

const button = (testId, words, click, more = {}) => el("button", { type: "button", "data-testid": testId, on: { click }, ...more }, words);
const isService = (error) => error.status !== undefined || error.unreachable;

async function listSets() {
  try {
    set({ limitSets: { items: await limitSets.all(), error: null } });
  } catch (error) {
    if (!isService(error)) throw error;
    set({ limitSets: { ...state.limitSets, error } });
  }
}

const useSet = (id, edition) => edit(setTop({ limit_set: undefined, limit_set_id: id, limit_set_edition: edition }));
const leaveSet = () => edit(setTop({ limit_set: undefined, limit_set_id: undefined, limit_set_edition: undefined }));

/* Which set counts */

function usedPart(change) {
  const { inputs, limitSets: { items } } = state;
  if (!inputs) return null;
  if (inputs.limit_set) return el("div", { class: "loaded", "data-testid": "limit-set-used" }, el("span", {}, el("strong", {}, inputs.limit_set.name), ", given with the plan"), button("limit-set-leave", "Use no limit set", leaveSet));
  if (!inputs.limit_set_id) return el("p", { class: "missing", "data-testid": "limit-set-used" }, "No limit set counts: only the limits above do.");
  const stored = items.find((one) => one.id === inputs.limit_set_id);
  const edition = inputs.limit_set_edition;
  return el("div", { class: "loaded", "data-testid": "limit-set-used" },
    el("span", {}, el("strong", {}, stored?.name ?? inputs.limit_set_id), `, edition ${edition ?? "newest"}`, stored && ` of ${stored.edition}`),
    stored && edition < stored.edition && button("limit-set-newest", `Use edition ${stored.edition}`, () => useSet(stored.id, stored.edition)),
    button("limit-set-change", "Read or change it", () => change(inputs.limit_set_id, edition)), button("limit-set-leave", "Use no limit set", leaveSet));
}

function chooser() {
  const { items, error } = state.limitSets;
  if (error) return problemBox("The limit sets were not listed", error, listSets);
  const free = items.filter(({ id }) => id !== state.inputs?.limit_set_id);
  if (free.length === 0 || !state.inputs) return null;
  const choice = el("select", { id: "limit-set-choice", "data-testid": "limit-set-choice", "data-waits": true }, free.map((one) => el("option", { value: one.id }, `${one.name}, edition ${one.edition}, ${countText(one.item_count, "rule")}`)));
  return el("div", { class: "inline-form" }, el("label", { for: "limit-set-choice" }, "Stored limit sets"), choice,
    button("limit-set-use", "Use this limit set", () => { const one = state.limitSets.items.find(({ id }) => id === choice.value); useSet(one.id, one.edition); }));
}

/* Writing a set */

const keyOf = (water, member, kind) => [water, member, kind].filter(Boolean).join("/");

/** One row of the editor: a field for each kind of water. */
function editorRow(fields, { label, unit, member, kind }) {
  const cells = WATERS.map((water) => {
    const key = keyOf(water, member, kind);
    const id = `limit-${key.replaceAll("/", "-")}`;
    const message = el("span", { class: "field-error", id: `${id}-error`, "data-testid": `error-${id}`, hidden: true });
    const input = el("input", { type: "text", autocomplete: "off", inputmode: "decimal", id, "data-testid": id, "aria-label": `${label}, ${water} water${unit === "ratio" ? "" : `, ${unit}`}`, "aria-describedby": `${id}-error` });
    const say = (words) => { message.textContent = words || ""; message.hidden = !words; input.setAttribute("aria-invalid", String(Boolean(words))); };
    input.addEventListener("input", () => say(null));
    fields.set(key, { input, say, unit, water, member, kind });
    return el("td", { "data-label": `${water} water` }, input, message);
  });
  return el("tr", {}, el("th", { scope: "row" }, label, unit !== "ratio" && el("span", { class: "unit" }, ` ${unit}`)), cells);
}

function rulesTable(caption, rows, fields) {
  return tableBox(`${caption}, scrolls sideways`, el("table", { class: "leg-fields stacks" }, el("caption", {}, caption),
    el("thead", {}, el("tr", {}, ["Rule", ...WATERS.map((water) => `${water} water`)].map((head) => el("th", { scope: "col" }, head)))), el("tbody", {}, rows.map((row) => editorRow(fields, row)))));
}

/** The set of the fields: {set} or nothing, with each message under its field. */
function setOf({ name, source, fields }) {
  const given = { name: name.text(), ...(source.text() && { source: source.text() }) };
  name.say(given.name ? null : "A name is needed.");
  let wrong = !given.name;
  for (const { input, say, unit, water, member, kind } of fields.values()) {
    const { value, error } = readNumber(input.value, unit);
    say(error);
    wrong ||= Boolean(error);
    if (value === undefined) continue;
    const waterLimits = (given[water] ??= {});
    if (kind) (waterLimits.min_clearance_by_class ??= {})[kind] = value;
    else waterLimits[member] = value;
  }
  return wrong ? null : given;
}

/** Puts each message of a refusal under its field; the rest stands under the form. */
function sayErrors(error, { fields, name, source, message }) {
  const left = (error.errors || []).filter(({ pointer, message: words }) => {
    const place = { "/name": name, "/source": source }[pointer] || fields.get(pointer.slice(1));
    place?.say(words);
    return !place;
  });
  message.say(error.errors?.length > 0 && left.length === 0 ? null : [error.detail || error.title, ...left.map((one) => one.message)].join(" "));
}

function startEditor(host) {
  const fields = new Map();
  const [name, source, message] = [formField({ id: "limit-name", label: "Name of the set" }), formField({ id: "limit-source", label: "Where it is from", hint: "may be empty" }), formMessage("limit-refused")];
  const parts = { name, source, fields, message };
  let open = null;
  const words = el("p", { class: "field-hint" });
  const store = async (work) => {
    message.say(null);
    const given = setOf(parts);
    if (!given) return;
    try {
      const answer = await work(given);
      await listSets();
      useSet(answer.id, answer.edition);
      await load(answer.id, answer.edition);
    } catch (error) {
      if (!isService(error)) throw error;
      sayErrors(error, parts);
    }
  };
  const asNew = button("limit-store", "Store as a set of its own, and use it", () => store((given) => limitSets.create(given)));
  const asEdition = button("limit-store-edition", "", () => store((given) => limitSets.put(open.id, given, open.etag)));
  const fill = (given) => {
    name.input.value = given?.name ?? "";
    source.input.value = given?.source ?? "";
    for (const { input, say, water, member, kind } of fields.values()) {
      const value = kind ? given?.[water]?.min_clearance_by_class?.[kind] : given?.[water]?.[member];
      input.value = known(value) ? String(value) : "";
      say(null);
    }
    [name, source, message].forEach((one) => one.say(null));
  };
  const tell = () => {
    words.textContent = open ? `${open.name}, edition ${open.edition} of ${open.newest} is in the fields. Plans keep the edition they use.` : "What is left empty is not asked.";
    asEdition.textContent = open ? `Store as edition ${open.newest + 1} of ${open.name}, and use it` : "";
    asEdition.hidden = !open;
  };
  const load = async (id, edition) => {
    try {
      const [answer, newest] = await Promise.all([limitSets.edition(id, edition), limitSets.read(id)]);
      open = { id, name: answer.name, edition: answer.edition, newest: newest.answer.edition, etag: newest.etag };
      fill(answer.limit_set);
      tell();
      details.open = true;
    } catch (error) {
      if (!isService(error)) throw error;
      message.say(error.detail || error.title);
    }
  };
  const empty = button("limit-empty", "Empty the fields", () => { open = null; fill(null); tell(); });
  const details = el("details", { "data-testid": "limit-editor" }, el("summary", {}, "Write a limit set"), words, el("div", { class: "fields" }, name.node, source.node),
    rulesTable("Limits by kind of water", RULES, fields),
    el("details", {}, el("summary", {}, "Least clearance by class of danger"), rulesTable("In place of the least clearance above, for dangers of a class", CLASSES.map((kind) => ({ label: kind, unit: "m", member: "min_clearance_by_class", kind })), fields)),
    message.node, el("div", { class: "actions" }, asNew, asEdition, empty));
  replace(host, details);
  tell();
  return load;
}

/* Legs */

const CLASS_PART = /^([a-z]+)\s+(\S.*)$/;

/** "wreck 926; aid 370": least clearance by class on one leg. */
function readClasses(text) {
  const margins = {};
  for (const part of text.split(/[;\n]/).map((one) => one.trim()).filter(Boolean)) {
    const [, kind, size] = CLASS_PART.exec(part.toLowerCase()) || [];
    const { value, error } = readNumber(size || "", "m");
    if (!CLASSES.includes(kind) || value === undefined) return { error: error || `Write a class and metres like wreck 926; aid 370. Classes: ${CLASSES.join(", ")}.` };
    margins[kind] = value;
  }
  return { value: Object.keys(margins).length > 0 ? margins : undefined };
}

const LEG_COLUMNS = [
  { member: "water", label: "Kind of water", options: [["", "not said"], ...WATERS.map((one) => [one, one])] },
  { member: "min_clearance_by_class", label: "Least clearance by class", unit: "m", reader: readClasses, write: (margins) => Object.entries(margins).map(([kind, value]) => `${kind} ${value}`).join("; ") },
];

export function startLimitSets(host) {
  const [used, choice, editor, legs] = Array.from({ length: 4 }, () => el("div", {}));
  const load = startEditor(editor);
  replace(host, el("h3", {}, "Limit set"), el("p", { class: "panel-lead" }, "A set has editions of its own. Where it and the plan both ask, the stricter counts."), used, choice, editor,
    el("h3", {}, "Charted water and kinds of water"), el("div", { class: "fields" }, SAFETY_FIELDS.map((one) => field(one, commit))), legs);
  watch(["inputs", "limitSets"], () => { redraw(used, usedPart(load)); redraw(choice, chooser()); });
  watch(["inputs", "fieldErrors"], () => { if (state.inputs) redraw(legs, legTable("Kind of water of each leg", "leg-waters", LEG_COLUMNS)); });
  watch(["openPanel"], () => { if (state.openPanel === "limits") listSets(); });
}
