/** Computes the frozen inputs again and says in a sentence whether the same comes out. */

import { revisions } from "../api.js";
import { el, replace } from "../dom.js";
import { countText } from "../format.js";
import { state } from "../state.js";

const shortly = (value) => (value === null || value === undefined ? "none" : JSON.stringify(value).slice(0, 60));

function sentence({ revision, same, engine, made_by: madeBy, difference_count: count, differences }) {
  if (same && engine === madeBy) return `Computed again by the engine that made r${revision}, ${engine}: the same result, byte for byte.`;
  if (same) return `r${revision} was made by engine ${madeBy}. Engine ${engine} computes the same figures and the same grades.`;
  const [{ pointer, was, now }] = differences;
  return `r${revision} was made by engine ${madeBy}. Engine ${engine} gives ${countText(count, "value")} that differ. First: ${pointer.slice(1).replaceAll("/", ", ").replaceAll("_", " ")}, was ${shortly(was)}, now ${shortly(now)}.`;
}

export function recomputedPart() {
  const answer = el("div", { role: "status", "data-testid": "recomputed" });
  const button = el("button", { type: "button", "data-testid": "recompute" }, "Compute again and compare");
  button.addEventListener("click", async () => {
    const { plan_id: id, number } = state.frozen;
    button.disabled = true;
    replace(answer, el("p", {}, "Working: computing the frozen inputs again."));
    try {
      replace(answer, el("p", {}, sentence(await revisions.recomputed(id, number))));
    } catch (error) {
      if (error.status === undefined) throw error;
      replace(answer, el("p", { class: "field-error" }, error.detail || error.title));
    }
    button.disabled = false;
    button.focus();
  });
  return { node: el("div", { class: "record-part" }, el("div", { class: "actions" }, button), answer), dress() {} };
}
