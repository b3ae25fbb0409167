/** Inserting, removing and placing waypoints. Every new position comes from the service or was typed or pointed at. */

import { computePlan, positions } from "../api.js";
import { set, state } from "../state.js";
import { closeHole, findWaypoint, freshId, insertAt, moveTo, remove } from "./edits.js";
import { keepRows } from "./kept.js";
import { edit } from "./save.js";

/** How far ahead of the last waypoint a new one is put. */
const AHEAD_NM = 1;

/** The leg between two waypoints as it is now, whatever is on show. */
async function legBetween(from, to) {
  const { leg, gap_before: before, gap_after: after, ...first } = from;
  const { gap_before: hole, gap_after: end, ...second } = to;
  return (await computePlan({ route: { name: state.inputs.route.name, waypoints: [first, second] } })).legs[0];
}

/** Where a waypoint after this one goes: the middle of the leg, or ahead of the last one. */
async function placeAfter(index) {
  const { waypoints } = state.inputs.route;
  const [here, next] = [waypoints[index], waypoints[index + 1]];
  const leg = await legBetween(next ? here : waypoints[index - 1], next || here);
  const [course, distance] = next ? [leg.course_deg, leg.distance_nm / 2] : [leg.arrival_course_deg, AHEAD_NM];
  if (course === null) throw new Error("this leg has no length, so it has no middle");
  return (await positions.offset(here, course, distance)).position;
}

function insert(index, position) {
  const id = freshId();
  edit(insertAt(index, id, position));
  set({ editing: id });
}

/** Inserts follow one another: the second looks for its place after the first is there. */
let inserts = Promise.resolve();

/** Inserts a waypoint after one. */
export function insertAfter(id) {
  inserts = inserts.then(() => insertNow(id));
  return inserts;
}

async function insertNow(id) {
  const { index, waypoint } = findWaypoint(state.inputs, id);
  if (!waypoint) return; // taken out meanwhile
  if (waypoint.gap_after || state.inputs.route.waypoints[index + 1]?.gap_before) {
    set({ notice: "A hole stands after this waypoint; what belongs there is typed in the row of the hole." });
    return;
  }
  try {
    insert(index + 1, await placeAfter(index));
  } catch (error) {
    set({ notice: `No waypoint was inserted: ${error.message}` });
  }
}

/** Inserts a waypoint after one, where the Plot was pressed. */
export function insertHere(id, position) {
  const { index } = findWaypoint(state.inputs, id);
  set({ placing: null });
  insert(index + 1, position);
}

/** Removes a waypoint. The raw rows of a hole beside it go on to the next one. */
export function removeWaypoint(id) {
  const { index } = findWaypoint(state.inputs, id);
  const next = state.inputs.route.waypoints[index + 1]?.id ?? "";
  if (state.rawRows[id]) keepAllRows({ ...state.rawRows, [next]: [...state.rawRows[id], ...(state.rawRows[next] || [])] });
  edit(remove(id));
  set({ editing: null });
}

function keepAllRows(rawRows) {
  keepRows(state.draft.id, rawRows);
  set({ rawRows });
}

/** Moves a waypoint to a typed position. */
export async function placeTyped(id, text) {
  const { position } = await positions.read(text);
  edit(moveTo(id, position));
}

/** Moves a waypoint by a typed bearing and distance. */
export async function placeOff(id, bearing_deg, distance_nm) {
  const { waypoint } = findWaypoint(state.inputs, id);
  const { position } = await positions.offset(waypoint, bearing_deg, distance_nm);
  edit(moveTo(id, position));
}

/** Puts a typed waypoint into the hole before an index. With more rows in the hole, the rest stays one. */
export async function fillHole(index, text) {
  const { position } = await positions.read(text);
  const next = state.inputs.route.waypoints[index]?.id ?? "";
  const ids = new Set(state.inputs.route.waypoints.map((waypoint) => waypoint.id));
  const rows = state.rawRows[next] || [];
  const open = rows.filter((row) => !ids.has(row.filled));
  const rest = open.slice(1);
  const id = freshId();
  edit((inputs) => {
    const closed = closeHole(index)(inputs);
    const filled = insertAt(index, id, position)(closed);
    if (rest.length === 0) return filled;
    const waypoints = filled.route.waypoints.map((waypoint, i) => (i === index + 1 ? { ...waypoint, gap_before: true } : waypoint));
    if (index + 1 >= waypoints.length) waypoints[index] = { ...waypoints[index], gap_after: true };
    return { ...filled, route: { ...filled.route, waypoints } };
  });
  keepAllRows({ ...state.rawRows, [next]: rows.map((row) => (row === open[0] ? { ...row, filled: id } : row)) }); // undo brings the row back
}

/** Says that nothing is missing in a hole: the two sides are joined. */
export function joinHole(index) {
  edit(closeHole(index));
}
