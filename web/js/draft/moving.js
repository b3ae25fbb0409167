/**
 * Moving a waypoint, by pointer or by arrow keys. Positions by key come from the service; while it moves
 * the service is asked for the part of the route around it, at most ten times a second.
 */

import { checkMoved, computePlan, positions } from "../api.js";
import { set, state } from "../state.js";
import { checkedWhole, findWaypoint, moveTo, sliceAround } from "./edits.js";
import { edit } from "./save.js";

const LEAST_MS = 100;
const STEPS_PER_DEGREE = 60000; // a dropped point is kept as it is printed: thousandths of a minute

let timer = null;
let asking = false;
let wanted = false;
let lastMs = 0;
let checking = false;
/** Steps by key follow one another: each starts where the one before ended. */
let steps = Promise.resolve();

/** Begins a move. `by` is "pointer" or "keys". */
export function startMove(id, by) {
  const { index, waypoint } = findWaypoint(state.inputs, id);
  if (!waypoint || state.save.status === "conflict") return;
  const { lat_deg, lon_deg } = waypoint;
  steps = Promise.resolve();
  set({ moving: { id, index, by, position: { lat_deg, lon_deg } }, selected: { kind: "waypoint", index, origin: by === "keys" ? "keys" : "drag" } });
}

/** A place that was pointed at, as it is printed: what is shown is what is kept. */
export function printedPlace({ lat_deg, lon_deg }) {
  const printed = (value) => Math.round(value * STEPS_PER_DEGREE) / STEPS_PER_DEGREE;
  return { lat_deg: printed(lat_deg), lon_deg: printed(lon_deg) };
}

/** Puts the waypoint under the pointer. */
export function moveUnder(position) {
  moveHere(printedPlace(position));
}

function moveHere(position) {
  set({ moving: { ...state.moving, position, problem: null } });
  ask();
}

/** Steps by a bearing and a distance; the service says where that leads. */
export function moveBy(bearing_deg, distance_nm) {
  const { id } = state.moving;
  steps = steps.then(async () => {
    if (state.moving?.id !== id) return;
    try {
      const { position } = await positions.offset(state.moving.position, bearing_deg, distance_nm);
      if (state.moving?.id === id) moveHere(position);
    } catch (error) {
      if (state.moving?.id === id) set({ moving: { ...state.moving, problem: error.message } });
    }
  });
}

/** Keeps the new place, after the steps that are under way. What was drawn stays until the plan is computed. */
export async function keepMove() {
  await steps;
  if (!state.moving) return;
  const { id, position } = state.moving;
  clearTimeout(timer);
  timer = null;
  edit(moveTo(id, position));
  set({ moving: null, ...(state.save.status === "saved" && { preview: null }) });
}

/** Puts the waypoint back; no step is made. */
export function dropMove() {
  clearTimeout(timer);
  timer = null;
  set({ moving: null, preview: null });
}

function ask() {
  if (asking || timer) { wanted = true; return; }
  timer = setTimeout(preview, Math.max(0, LEAST_MS - (performance.now() - lastMs)));
}

/** Asks for the part around the waypoint as it lies now. An answer for another move is dropped. */
async function preview() {
  [timer, asking, wanted, lastMs] = [null, true, false, performance.now()];
  const { id, position } = state.moving;
  try {
    const { request } = sliceAround(state.inputs, id, position);
    const answer = await computePlan(request);
    if (state.moving?.id === id) set({ preview: { id, position, answer, cleared: null } });
    check();
  } catch (error) {
    if (state.moving?.id === id) set({ moving: { ...state.moving, problem: error.message } });
  }
  asking = false;
  if (wanted && state.moving) ask();
}

/** Asks what dangers the legs and turns about the waypoint clear where it was drawn last; one question at a time. */
async function check() {
  const plan = !checking && state.moving && state.preview && checkedWhole(state.inputs);
  if (!plan) return;
  const { id, position } = state.preview;
  checking = true;
  try {
    const cleared = await checkMoved({ plan, waypoint_id: id, position });
    if (state.preview?.position === position) set({ preview: { ...state.preview, cleared } });
  } catch (error) {
    if (state.moving?.id === id) set({ moving: { ...state.moving, problem: error.message } });
  }
  checking = false;
  if (state.moving && state.preview && state.preview.position !== position) check();
}
