/** Which dangers a plan is held against: stored sets, and those given with the plan itself. */

import { layerFeatures } from "./sailing.js";
import { state } from "./state.js";

/** Whether a set of dangers is named, or dangers are given, however many each holds. */
export function dangersNamed(inputs) {
  return Boolean(inputs?.hazards || inputs?.hazard_set_ids?.length);
}

/** Whether the plan is held against chart cells, which bring dangers of their own. */
export const usesCells = (inputs) => Boolean(inputs?.all_charts || inputs?.chart_ids?.length);

/** Whether any dangers are loaded for these inputs; an empty set loads none. */
export function hasDangers(inputs) {
  const counts = [...(inputs?.hazards ? [featureCount(inputs.hazards)] : []), ...(inputs?.hazard_set_ids || []).map((id) => storedSet(id)?.item_count)];
  return counts.some((count) => count !== 0);
}

/** How many dangers the service had before it when it computed a plan, as its answer says. */
export function loadedCount(plan) {
  return layerFeatures(plan, "hazard").length + (plan.answer.layers?.hazards_not_drawn_count || 0);
}

/** Why no clearance at all was checked for a plan, or null. */
export function noDangersReason(plan) {
  if (loadedCount(plan) > 0) return null;
  if (usesCells(plan.request)) return plan.answer.charts ? null : "no kept cell touches the track";
  return dangersNamed(plan.request) ? "the set holds no danger" : "no dangers loaded";
}

/** How many features a collection says it has, or null. */
export function featureCount(collection) {
  return Array.isArray(collection?.features) ? collection.features.length : null;
}

/** The stored set of an id as the list has it, or null while the list is not here. */
export function storedSet(id) {
  return state.hazardSets.items.find((one) => one.id === id) || null;
}
