/** Limits of the plan, current, water and wind: each change is a step. */

import { el, replace } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { LIMIT_FIELDS, readField } from "../fields.js";
import { state, watch } from "../state.js";
import { later } from "../later.js";
import { field, setFieldError } from "./form.js";

/** What is given by two numbers, and what is said of one alone: it waits in its field. */
const PAIRS = [
  ["set_deg", "drift_kn", "A current needs both its set and its drift; not stored yet."],
  ["wind_from_deg", "wind_kn", "A wind needs both where it comes from and its speed; not stored yet."],
];

const pairOf = (pointer) => PAIRS.find((pair) => pair.slice(0, 2).some((name) => pointer === `/conditions/${name}`));

/** The members of a section as the inputs have them, with one changed. */
function changed(inputs, section, member, value) {
  const members = { ...inputs[section], [member]: value };
  if (value === undefined) delete members[member];
  return Object.keys(members).length > 0 ? members : undefined;
}

export function commit(pointer, text) {
  const { value, error } = readField(pointer, text);
  setFieldError(pointer, error);
  if (error) return;
  const [, section, member] = pointer.split("/");
  edit((inputs) => setTop({ [section]: changed(inputs, section, member, value) })(inputs));
}

/** Both halves of a pair go together, so that no half of one is ever planned with. */
function commitPair(pointer, text) {
  const { error } = readField(pointer, text);
  setFieldError(pointer, error);
  const [first, second, words] = pairOf(pointer);
  const pointers = [first, second].map((name) => `/conditions/${name}`);
  const found = pointers.map((one) => readField(one, state.form[one] ?? ""));
  if (found.some((one) => one.error)) return;
  const [one, other] = found.map(({ value }) => value);
  const half = (one === undefined) !== (other === undefined);
  const open = pointers[one === undefined ? 0 : 1];
  pointers.forEach((each) => setFieldError(each, half && each === open ? words : null));
  if (half) return;
  edit((inputs) => {
    const { [first]: oldOne, [second]: oldOther, ...rest } = inputs.conditions || {};
    const conditions = { ...rest, ...(one !== undefined && { [first]: one, [second]: other }) };
    return setTop({ conditions: Object.keys(conditions).length > 0 ? conditions : undefined })(inputs);
  });
}

function extraLine() {
  const members = ["limits", "conditions"].flatMap((section) => Object.keys(state.extra[section] || {})).filter((one) => one !== "tides"); // those have a place of their own
  return members.length > 0 && el("p", { class: "field-hint" }, `Also in this plan, without a field here: ${members.join(", ")}.`);
}

export function startLimits(host) {
  const [extras, sets] = [el("div", {}), el("div", {})];
  replace(host, el("h2", {}, "Limits and conditions"),
    el("p", { class: "panel-lead" }, "No limit of clearance is built in. Without one, distances are given and held against nothing; they read so. Each change is stored as a step."),
    el("div", { class: "fields" }, LIMIT_FIELDS.map((one) => field(one, pairOf(one.pointer) ? commitPair : commit))), extras, sets);
  later(sets, ["openPanel"], () => state.openPanel === "limits", async () => (await import("./limit_sets.js")).startLimitSets);
  watch(["extra"], () => replace(extras, extraLine()));
}
