/** What the user can do: read a file, take its rows, open the demonstration, compute. */

import * as api from "./api.js";
import { formFrom, sectionsFrom } from "./fields.js";
import { holesFrom } from "./holes.js";
import { emptyInputs, set, state } from "./state.js";

const DEMO_HASH = "#/demonstration";

/** Reads a file through the service and shows what it understood. Nothing is planned by this. */
export async function readFile(blob, fileName) {
  const reading = { fileName, sizeBytes: blob.size };
  const started = { ...reading, status: "working" };
  set({ reading: started, openPanel: "route", notice: null });
  let next;
  try {
    next = { ...reading, status: "done", answer: await api.readRoute(blob, fileName), taken: false };
  } catch (error) {
    next = { ...reading, status: "failed", error, retry: () => readFile(blob, fileName) };
  }
  if (state.reading === started) set({ reading: next }); // a later file has priority over an earlier answer
}

/** Takes the understood rows and computes. Demonstration values never stay on with a route of one's own. */
export function takeRows() {
  const { reading } = state;
  const wasDemonstration = state.inputs.demonstration;
  set({
    reading: { ...reading, taken: true },
    route: reading.answer.route,
    holes: holesFrom(reading.answer),
    ...(wasDemonstration && { inputs: emptyInputs(), fieldErrors: new Map() }),
    notice: wasDemonstration ? "The demonstration's ship, limits and dangers were put away." : null,
    openPanel: null,
    plan: null,
    selected: null,
  });
  leaveDemonstrationAddress();
  compute();
}

/** Forgets the file read; what was planned before stays. */
export function leaveRows() {
  set({ reading: null });
}

/** Opens the demonstration: its file goes through the same reader, its inputs into the same form. */
export async function openDemonstration() {
  const working = { status: "working", fileName: "demonstration", sizeBytes: null };
  set({ reading: working, notice: null, openPanel: "route" });
  try {
    const demo = await api.demonstration();
    const blob = new Blob([demo.csv], { type: "text/csv" });
    const answer = await api.readRoute(blob, demo.file_name);
    if (state.reading === working) takeDemonstration(demo, answer, blob.size);
  } catch (error) {
    if (state.reading === working) set({ reading: { ...working, status: "failed", error, retry: openDemonstration } });
  }
}

function takeDemonstration(demo, answer, sizeBytes) {
  const { request } = demo;
  set({
    reading: { status: "done", fileName: demo.file_name, sizeBytes, answer, taken: true, notes: demo.notes },
    route: request.route,
    holes: holesFrom(answer),
    inputs: {
      ...formFrom(request),
      hazards: request.hazards ? { fileName: "demonstration dangers", collection: request.hazards } : null,
      demonstration: true,
    },
    fieldErrors: new Map(),
    openPanel: null,
    plan: null,
    selected: null,
  });
  if (location.hash !== DEMO_HASH) history.replaceState(null, "", DEMO_HASH);
  compute();
}

function leaveDemonstrationAddress() {
  if (location.hash === DEMO_HASH) history.replaceState(null, "", location.pathname);
}

/** The request for the inputs as they stand; members left empty are left out. */
function planRequest(sections) {
  const { inputs, route } = state;
  return {
    route,
    ...sections,
    ...(inputs.hazards && { hazards: inputs.hazards.collection }),
    ...(inputs.demonstration && { demonstration: true }),
  };
}

let running = null;

/** Computes the plan. A newer computation makes an older answer unwanted. */
export async function compute() {
  if (!state.route) return;
  const { sections, errors } = sectionsFrom(state.inputs.form, state.inputs.extra);
  if (errors.size) {
    set({ fieldErrors: errors, openPanel: panelOf(errors.keys().next().value) });
    return;
  }
  running?.abort();
  const mine = (running = new AbortController());
  const request = planRequest(sections);
  const { holes } = state;
  set({ job: { status: "working", startedMs: performance.now() }, fieldErrors: new Map(), dirty: false });
  try {
    const { answer, text } = await api.computePlan(request, state.inputs.hazards?.text, mine.signal);
    if (running === mine) set({ plan: { answer, text, request, holes }, job: { status: "idle" }, selected: null });
  } catch (error) {
    if (running === mine) failed(error);
  }
}

/** Stops waiting for the service; an older plan stays on show, marked as stale. */
export function stopComputing() {
  running?.abort();
  running = null;
  set({ job: { status: "idle" }, dirty: Boolean(state.plan) });
}

function failed(error) {
  const fieldErrors = new Map((error.errors || []).map(({ pointer, message }) => [pointer, message]));
  const first = [...fieldErrors.keys()].map(panelOf).find(Boolean);
  set({ job: { status: "failed", error }, fieldErrors, dirty: Boolean(state.plan), ...(first && { openPanel: first }) });
}

/** The panel in which a pointer is shown. */
function panelOf(pointer) {
  const section = (pointer || "").split("/")[1];
  return { ship: "ship", limits: "limits", conditions: "limits", hazards: "dangers" }[section] || null;
}
