/** The steps of the draft: the last one by name, undo and redo, and the whole list. Undo replaces "are you sure". */

import { el, show } from "../dom.js";
import { dropMove } from "../draft/moving.js";
import { walk, walkReason } from "../draft/save.js";
import { dateText } from "../format.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";

function walkButton(kind, word, step) {
  return el("button", { type: "button", "data-testid": kind, disabled: !step || Boolean(walkReason()), on: { click: () => walk(kind) } }, step ? `${word}: ${step.label}` : word);
}

function stepRow(step) {
  return el("li", { "data-testid": "step", "aria-current": step.current ? "step" : null, class: step.current ? "is-current" : null },
    el("span", { class: "step-number" }, String(step.number)), el("span", {}, step.label, step.current && el("strong", {}, " (the plan stands here)")), el("span", { class: "sub" }, dateText(step.at_utc)));
}

function list({ steps }, open) {
  return el("details", { "data-testid": "steps-list", open }, el("summary", {}, `Steps: ${steps.length}`), el("ol", { class: "steps-list" }, steps.map(stepRow)));
}

export function startSteps(host) {
  watch(["draft", "save", "unreachableSince"], () => {
    const { draft } = state;
    show(host, Boolean(draft));
    if (!draft) return;
    const open = host.querySelector("details")?.open;
    const current = draft.steps.find((step) => step.current);
    redraw(host, el("p", { class: "last-step", "data-testid": "last-step" }, "Last step: ", el("strong", {}, current?.label ?? "none")),
      el("div", { class: "actions" }, walkButton("undo", "Undo", draft.undo), walkButton("redo", "Redo", draft.redo)),
      (draft.undo || draft.redo) && walkReason() && el("p", { class: "gap-line", "data-testid": "walk-reason" }, walkReason()), list(draft, open));
  });
}

/** Undo and redo by key, anywhere but where text is typed: there they belong to the text. */
export function startStepKeys() {
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.closest("input, textarea, select")) return;
    const key = event.key.toLowerCase();
    const kind = key === "y" || (key === "z" && event.shiftKey) ? "redo" : key === "z" ? "undo" : null;
    if (!kind || !state.draft) return;
    event.preventDefault();
    if (state.moving) dropMove(); // what is not kept yet is no step
    else walk(kind);
  });
}
