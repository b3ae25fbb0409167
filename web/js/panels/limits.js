/** Limits of the plan, current, water and wind: each change is a step. */

import { el, replace } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { LIMIT_FIELDS, readField } from "../fields.js";
import { state, watch } from "../state.js";
import { field, setFieldError } from "./form.js";

/** Current needs both set and drift; one alone waits in its field. */
const TOGETHER = ["/conditions/set_deg", "/conditions/drift_kn"];

/** The members of a section as the inputs have them, with one changed. */
function changed(inputs, section, member, value) {
  const members = { ...inputs[section], [member]: value };
  if (value === undefined) delete members[member];
  return Object.keys(members).length > 0 ? members : undefined;
}

function commit(pointer, text) {
  const { value, error } = readField(pointer, text);
  setFieldError(pointer, error);
  if (error) return;
  const [, section, member] = pointer.split("/");
  edit((inputs) => setTop({ [section]: changed(inputs, section, member, value) })(inputs));
}

/** Both halves of the current go together, so that no half of one is ever planned with. */
function commitCurrent(pointer, text) {
  const { error } = readField(pointer, text);
  setFieldError(pointer, error);
  const values = TOGETHER.map((one) => readField(one, state.form[one] ?? ""));
  if (values.some((one) => one.error)) return;
  const [set_deg, drift_kn] = values.map((one) => one.value);
  const half = (set_deg === undefined) !== (drift_kn === undefined);
  const open = TOGETHER[set_deg === undefined ? 0 : 1];
  TOGETHER.forEach((one) => setFieldError(one, half && one === open ? "A current needs both its set and its drift; not stored yet." : null));
  if (half) return;
  edit((inputs) => {
    const { set_deg: oldSet, drift_kn: oldDrift, ...rest } = inputs.conditions || {};
    const conditions = { ...rest, ...(set_deg !== undefined && { set_deg, drift_kn }) };
    return setTop({ conditions: Object.keys(conditions).length > 0 ? conditions : undefined })(inputs);
  });
}

function extraLine() {
  const members = ["limits", "conditions"].flatMap((section) => Object.keys(state.extra[section] || {}));
  return members.length > 0 && el("p", { class: "field-hint" }, `Also in this plan, without a field here: ${members.join(", ")}.`);
}

export function startLimits(host) {
  const extras = el("div", {});
  replace(host, el("h2", {}, "Limits and conditions"),
    el("p", { class: "panel-lead" }, "No limit of clearance is built in. Without one, distances are given and held against nothing; they read so. Each change is stored as a step."),
    el("div", { class: "fields" }, LIMIT_FIELDS.map((one) => field(one, TOGETHER.includes(one.pointer) ? commitCurrent : commit))), extras);
  watch(["extra"], () => replace(extras, extraLine()));
}
