/** Asks the service for the plan of the stored draft. Answers of older edits are dropped. */

import { plans } from "../api.js";
import { holesOf } from "../holes.js";
import { set, state } from "../state.js";
import { lookElsewhere } from "./elsewhere.js";

let running = null;

/** Puts an answer on show, with the inputs it was computed from. */
function showPlan(answer, text, inputs) {
  const plan = { answer, text, request: inputs, holes: holesOf(inputs, state.rawRows) };
  set({ plan, job: { status: "idle" }, dirty: state.save.status !== "saved", preview: null });
}

/** Computes the draft as it is stored now. */
export async function compute() {
  const { draft } = state;
  if (!draft) return;
  running?.abort();
  const mine = (running = new AbortController());
  set({ job: { status: "working", startedMs: performance.now() } });
  try {
    const { answer, text } = await plans.computed(draft.id, mine.signal);
    if (running !== mine) return;
    if (answer.edit === state.draft.edit) showPlan(answer, text, state.draft.inputs);
    else if (answer.edit > state.draft.edit) {
      set({ job: { status: "idle" }, dirty: true });
      await lookElsewhere();
    }
  } catch (error) {
    if (running === mine) set({ job: { status: "failed", error }, dirty: Boolean(state.plan) });
  }
}

/** Stops waiting for the service; an older plan stays on show, marked as stale. */
export function stopComputing() {
  running?.abort();
  running = null;
  set({ job: { status: "idle" }, dirty: true });
}
