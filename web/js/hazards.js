/** Which dangers a plan is held against: stored sets, and those given with the plan itself. */

import { state } from "./state.js";

/** Whether any dangers are loaded for these inputs. */
export function hasDangers(inputs) {
  return Boolean(inputs?.hazards || inputs?.hazard_set_ids?.length);
}

/** How many features a collection says it has, or null. */
export function featureCount(collection) {
  return Array.isArray(collection?.features) ? collection.features.length : null;
}

/** The stored set of an id as the list has it, or null while the list is not here. */
export function storedSet(id) {
  return state.hazardSets.items.find((one) => one.id === id) || null;
}
