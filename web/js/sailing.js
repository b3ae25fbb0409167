/** The plan in sailing order, and the words for its items. Nothing is computed, only put in order. */

import { numberText } from "./format.js";

/** Remembers what a function found for a plan; a long route would else be searched once for every row. */
export function oncePerPlan(find) {
  const found = new WeakMap();
  return (plan) => {
    if (!found.has(plan)) found.set(plan, find(plan));
    return found.get(plan);
  };
}

/** The index of each waypoint by its id. */
const waypointIndexes = oncePerPlan((plan) => new Map(plan.request.route.waypoints.map((waypoint, index) => [waypoint.id, index])));

/** The clearance row of each danger by its id. */
const clearanceById = oncePerPlan((plan) => new Map(plan.answer.clearances.map((row) => [row.hazard_id, row])));

/** What leads to waypoint `index`: its leg, a hole, or the plain statement that there is no leg. */
function approach(plan, index, legOf) {
  const waypoints = plan.request.route.waypoints;
  const leg = legOf.get(index);
  if (leg !== undefined) return { kind: "leg", index: leg, leg: plan.answer.legs[leg] };
  const gap = waypoints[index].gap_before || waypoints[index - 1]?.gap_after || plan.holes.has(index);
  if (gap) return { kind: "hole", before: index, rows: plan.holes.get(index) || [] };
  return index > 0 ? { kind: "no_leg", before: index } : null;
}

/** The rows of the ledger: waypoint, leg, waypoint, turn, leg ... with holes in their places. */
export function sailingOrder(plan) {
  const { waypoints } = plan.request.route;
  const indexes = waypointIndexes(plan);
  const legOf = new Map(plan.answer.legs.map((leg, index) => [indexes.get(leg.to_id), index]));
  const turnOf = new Map(plan.answer.turns.map((turn, index) => [turn.waypoint_index, index]));
  const rows = [];
  waypoints.forEach((waypoint, index) => {
    rows.push(approach(plan, index, legOf), { kind: "waypoint", index, waypoint });
    const turn = turnOf.get(index);
    if (turn !== undefined) rows.push({ kind: "turn", index: turn, turn: plan.answer.turns[turn] });
  });
  const last = waypoints.length;
  if (waypoints[last - 1]?.gap_after || plan.holes.has(last)) rows.push({ kind: "hole", before: last, rows: plan.holes.get(last) || [] });
  return rows.filter(Boolean);
}

/** "leg 02-03". */
export function legName(plan, index) {
  const leg = plan.answer.legs[index];
  if (!leg) return `leg ${index + 1}`;
  const indexes = waypointIndexes(plan);
  return `leg ${numberText(indexes.get(leg.from_id))}-${numberText(indexes.get(leg.to_id))}`;
}

/** "WPT 03 (id)": the number is the place in the list, the id stays when others are inserted. */
export function waypointName(plan, index) {
  const id = plan.request.route.waypoints[index]?.id;
  const number = numberText(index);
  return id === undefined || id === number || id === String(index + 1) ? `WPT ${number}` : `WPT ${number} (${id})`;
}

/** "turn 03 (id)", by its waypoint. */
export function turnName(plan, index) {
  const turn = plan.answer.turns[index];
  return turn ? waypointName(plan, turn.waypoint_index).replace("WPT", "turn") : `turn ${index + 1}`;
}

/** What a danger is called: its name, else its kind and id. */
export function dangerName(row) {
  return row.hazard_name || [row.kind || "danger", row.hazard_id].join(" ");
}

/** The item a finding or check is about, as a selection; null for the plan as a whole. */
export function subjectItem(plan, subject) {
  if (!subject) return null;
  if (subject.kind === "hazard") return subject.id === undefined || subject.id === null ? null : { kind: "hazard", id: subject.id };
  if (!["leg", "turn", "waypoint"].includes(subject.kind)) return null;
  const index = subject.index ?? (subject.kind === "waypoint" ? waypointIndexes(plan).get(subject.id) : undefined);
  return index === undefined || index === null ? null : { kind: subject.kind, index };
}

/**
 * What an answer about a part of the route says of the whole: ids of the legs (by the waypoint they lead to) with
 * the turns at both ends in the part, and of the turns with such a leg on both sides. At an end of the part a turn
 * is missing, so lengths there are not those of the plan.
 */
export function settledBy(plan, answer) {
  const expected = new Set(plan.answer.turns.map((turn) => turn.waypoint_id));
  const here = new Set(answer.turns.map((turn) => turn.waypoint_id));
  const whole = (id) => here.has(id) || !expected.has(id);
  const legs = answer.legs.filter((leg) => whole(leg.from_id) && whole(leg.to_id));
  const [into, outOf] = [new Set(legs.map((leg) => leg.to_id)), new Set(legs.map((leg) => leg.from_id))];
  return { legs: into, turns: new Set([...here].filter((id) => into.has(id) && outOf.has(id))) };
}

/** The words for a subject. */
export function subjectName(plan, subject) {
  const item = subjectItem(plan, subject);
  if (subject?.kind === "hazard") return hazardWords(plan, subject);
  if (!item) return subject?.kind === "plan" || !subject ? "plan" : subject.kind;
  if (item.kind === "leg") return legName(plan, item.index);
  if (item.kind === "turn") return turnName(plan, item.index);
  return waypointName(plan, item.index);
}

function hazardWords(plan, subject) {
  const row = clearanceById(plan).get(subject.id);
  if (row) return `danger ${dangerName(row)}`;
  const feature = layerFeatures(plan, "hazard").find((one) => one.properties.id === subject.id);
  return `danger ${feature?.properties.name || (subject.id ?? (subject.index ?? 0) + 1)}`;
}

/** The features of one layer of the answer. */
export function layerFeatures(plan, layer) {
  return (plan.answer.layers?.features || []).filter((feature) => feature.properties?.layer === layer);
}

/** Layers of an answer that come from charts and the coastline; they are drawn together and have switches of their own. */
export const CHARTED_LAYERS = ["no_go", "margin", "charted_area", "coverage", "coverage_hole", "land"];

export const hasChartedLayers = (plan) => (plan.answer.layers?.features || []).some(({ properties }) => CHARTED_LAYERS.includes(properties?.layer));

/** Layers of an answer that the bridge team steers and watches by, in the order they are drawn. */
export const AID_LAYERS = ["hull", "contingency", "bend_index", "index_limit", "parallel_index", "clearing_line", "transit", "cue_line", "mark", "warning_point", "time_label", "point"];

export const hasAidLayers = (plan) => (plan.answer.layers?.features || []).some(({ properties }) => AID_LAYERS.includes(properties?.layer));

/** Where a subject comes in sailing order; the plan as a whole comes first. */
export function sailingPlace(plan, subject) {
  const item = subjectItem(plan, subject);
  if (!item) return -1;
  if (item.kind === "hazard") {
    const row = clearanceById(plan).get(item.id);
    return row ? sailingPlace(plan, row.piece) + 0.1 : Infinity;
  }
  if (item.kind === "waypoint") return item.index * 4;
  if (item.kind === "turn") return (plan.answer.turns[item.index]?.waypoint_index ?? item.index) * 4 + 1;
  return (waypointIndexes(plan).get(plan.answer.legs[item.index]?.from_id) ?? item.index) * 4 + 2;
}

/** Three-letter words of the methods; `own` is a distance the navigator gave. */
export const METHOD_WORDS = { geometric: "GEO", rule_of_thumb: "RUL", advance_transfer: "ADV", simulated: "SIM", own: "OWN" };

export const METHOD_NAMES = {
  geometric: "geometric",
  rule_of_thumb: "rule of thumb",
  advance_transfer: "advance and transfer",
  simulated: "simulated",
  own: "own distance",
};
