/** The line about work under way, its failure, and what was put away. */

import { compute, stopComputing } from "../draft/compute.js";
import { el, replace } from "../dom.js";
import { decimals } from "../format.js";
import { state, watch, set } from "../state.js";
import { problemBox } from "./problem.js";

/** Work that is done sooner needs no line; one that came and went would only make the page jump. */
const SHOWN_AFTER_MS = 600;
const TITLE_AFTER_S = 10;
let ticking = null;
let later = null;

function elapsedText() {
  return `${decimals((performance.now() - state.job.startedMs) / 1000, 1)} s`;
}

/** The working line. Its clock is not read aloud; start and end are, in the live line. */
function working() {
  const clock = el("span", { "aria-hidden": "true", "data-testid": "elapsed" }, elapsedText());
  ticking = setInterval(() => {
    clock.textContent = elapsedText();
    if (performance.now() - state.job.startedMs > TITLE_AFTER_S * 1000) document.title = `working ${elapsedText()} - wheelover`;
  }, 250);
  return el("p", { class: "working", "data-state": "working" }, "Working: computing the plan, ", clock, " elapsed, time left not known yet. ",
    el("button", { type: "button", on: { click: stopComputing } }, "Stop waiting"));
}

/** A plan that nothing is computing and that is not what is stored: said, with the way to compute it. */
function notComputed() {
  const { draft, dirty, plan, save, elsewhere, job } = state;
  if (!draft || job.status !== "idle" || save.status !== "saved" || elsewhere || (plan && !dirty)) return null;
  return el("div", { class: "notice", "data-testid": "not-computed" }, plan ? "Not computed since the last change." : "This plan is not computed.",
    el("button", { type: "button", class: "primary", "data-testid": "compute-now", on: { click: compute } }, "Compute now"));
}

function render(host) {
  clearInterval(ticking);
  clearTimeout(later);
  const { job, notice } = state;
  const isWorking = job.status === "working";
  const late = isWorking && performance.now() - job.startedMs >= SHOWN_AFTER_MS;
  if (isWorking && !late) later = setTimeout(() => render(host), SHOWN_AFTER_MS);
  replace(host,
    notice && el("p", { class: "notice" }, notice, el("button", { type: "button", on: { click: () => set({ notice: null }) } }, "Put this away")),
    notComputed(),
    late && working(),
    job.status === "failed" && problemBox("The plan was not computed", job.error, compute, () => set({ job: { status: "idle" } })));
}

/** Said politely: only changes, never the running clock. */
function announce(live) {
  const words = {
    working: "Computing the plan.",
    failed: `The plan was not computed. ${state.job.error?.detail || ""}`,
    idle: state.plan && !state.dirty ? "Plan computed." : "",
  };
  live.textContent = words[state.job.status];
}

export function startJob(host, live) {
  watch(["job", "notice", "dirty", "draft", "save", "elsewhere"], () => render(host));
  watch(["job"], () => announce(live));
}
