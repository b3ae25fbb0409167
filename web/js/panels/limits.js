/** Limit of the plan and the current. */

import { el, replace } from "../dom.js";
import { LIMIT_FIELDS } from "../fields.js";
import { state, watch } from "../state.js";
import { field } from "./form.js";

function extraLine() {
  const members = ["limits", "conditions"].flatMap((section) => Object.keys(state.inputs.extra[section] || {}));
  return members.length > 0 && el("p", { class: "field-hint" }, `Also sent, without a field here: ${members.join(", ")}.`);
}

export function startLimits(host) {
  const extras = el("div", {});
  replace(host, el("h2", {}, "Limit and current"),
    el("p", { class: "panel-lead" }, "No limit is built in. Without one, distances are given and held against nothing; they read so."),
    el("div", { class: "fields" }, LIMIT_FIELDS.map(field)), extras);
  watch(["inputs"], () => replace(extras, extraLine()));
}
