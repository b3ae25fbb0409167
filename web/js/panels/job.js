/** The line about work under way, its failure, and what was put away. */

import { compute, stopComputing } from "../actions.js";
import { el, replace } from "../dom.js";
import { decimals } from "../format.js";
import { state, watch, set } from "../state.js";
import { problemBox } from "./problem.js";

const TITLE_AFTER_S = 10;
let ticking = null;

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

function staleLine() {
  if (!state.plan || !state.dirty) return null;
  return el("p", { class: "stale-line", "data-testid": "stale-line" }, el("span", {}, el("strong", {}, "stale"), ": inputs changed since this plan was computed."),
    el("button", { type: "button", on: { click: compute } }, "Compute plan"));
}

function render(host) {
  clearInterval(ticking);
  const { job, notice } = state;
  replace(host,
    notice && el("p", { class: "notice" }, notice),
    job.status === "working" && working(),
    job.status === "failed" && problemBox("The plan was not computed", job.error, compute, () => set({ job: { status: "idle" } })),
    job.status !== "working" && staleLine());
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
  watch(["job", "dirty", "notice", "plan"], () => render(host));
  watch(["job"], () => announce(live));
}
