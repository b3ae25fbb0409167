/** How near the hull comes to the danger that matters most on one run. */

import { el } from "../dom.js";
import { figure, missing } from "../figures.js";
import { metresLeftText, plainText } from "../format.js";

/** Metres left, rounded down, and of what; `none` says why nothing is known. */
export function hullClear({ hull, off_track_m: off }, none) {
  if (hull === undefined || (hull === null && off === null)) return missing(none);
  if (hull === null) return "no danger near";
  return [figure(hull.clearance_m, "m", metresLeftText), el("span", { class: "sub" }, hull.hazard_name || hull.hazard_id,
    hull.met === false && el("strong", { class: "not-met" }, ` NOT MET, limit ${plainText(hull.limit_m, 1)} m`))];
}
