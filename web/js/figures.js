/** Numbers as elements that carry their raw value and unit, so that each can be traced and tested. */

import { el } from "./dom.js";
import { known, positionText } from "./format.js";

/** What stands where a number is missing: a reason, never a blank and never a zero. */
export function missing(reason) {
  return el("span", { class: "missing", "data-state": "missing" }, reason ? `not computed: ${reason}` : "not computed");
}

/**
 * One number. `write` makes its text; the unit is written behind it unless the column head has it.
 */
export function figure(value, unit, write, { unitShown = false, reason = null } = {}) {
  if (!known(value)) return missing(reason);
  const number = el("span", { class: "figure", "data-value": value, "data-unit": unit }, write(value));
  return unitShown ? el("span", { class: "figure-unit" }, number, `\u00a0${unit}`) : number;
}

/** A position, with both raw numbers. */
export function position(value) {
  if (!value || !known(value.lat_deg) || !known(value.lon_deg)) return missing();
  const [lat, lon] = positionText(value).split(" "); // a line may break between the two, never within one
  return el("span", { class: "figure position", "data-lat-deg": value.lat_deg, "data-lon-deg": value.lon_deg }, el("span", { class: "half" }, lat), " ", el("span", { class: "half" }, lon));
}
