/** How near the track comes to a danger, in words that never say more than was checked. */

import { el } from "../dom.js";
import { figure } from "../figures.js";
import { countText, known, metresLeftText, metresNeededText } from "../format.js";
import { loadedCount, noDangersReason } from "../hazards.js";
import { dangerName, oncePerPlan } from "../sailing.js";
import { select } from "../state.js";
import { gradeMark } from "./grades.js";

/** From so many rows on a reason is said above the table instead of in each of them. */
const MANY = 3;

/** Outside its limit, "NOT MET", or why neither can be said. */
export function metWord(row) {
  if (row.met === true) return el("span", { class: "met", "data-testid": "met-word" }, "outside limit");
  if (row.met === false) return el("strong", { class: "not-met grade-must_resolve", "data-testid": "met-word" }, gradeMark("must_resolve"), "NOT MET");
  if (row.on_track) return el("strong", { class: "not-met grade-must_resolve", "data-testid": "met-word" }, gradeMark("must_resolve"), "ON THE TRACK");
  return el("span", { class: "missing", "data-testid": "met-word" }, known(row.limit_m) ? "not judged: no track here" : "no limit given");
}

/** Why the clearance of a leg or turn was not checked, by "kind-index". */
const openReasons = oncePerPlan((plan) => new Map(plan.answer.checks.rows
  .filter((row) => row.result === "not_checked" && ["leg_clearance", "turn_clearance"].includes(row.check))
  .map((row) => [`${row.subject?.kind}-${row.subject?.index}`, row.reason || row.title])));

/** Reasons that stand for several legs and turns; they are said once, above the table. */
export const commonReasons = oncePerPlan((plan) => {
  const counts = new Map();
  openReasons(plan).forEach((reason) => counts.set(reason, (counts.get(reason) || 0) + 1));
  return [...counts].filter(([, count]) => count >= MANY).map(([reason]) => reason);
});

/** Why this piece was not checked, where that is not already said above the table. */
function ownReason(plan, kind, index) {
  const reason = openReasons(plan).get(`${kind}-${index}`);
  return reason && !commonReasons(plan).includes(reason) ? `not checked: ${reason}` : null;
}

/** What is not looked at again of a leg or turn whose dangers were, while a waypoint of it moves. */
const NOT_LOOKED_AT = "land, depth and chart cover not looked at while it moves";

/** That nothing loaded lies near says nothing of what was not loaded. */
const noneNear = (plan) => `none of ${countText(loadedCount(plan), "loaded danger")} within 2 NM or its limit`;

/**
 * The danger nearest to a leg or turn; where there is none it is never said to be clear. Where `checked_moving` it is
 * of the place where a waypoint is dragged to: the reasons of the plan are not of that place.
 */
export function leastCell(plan, kind, index) {
  const { least_clearance: least, checked_moving: moving } = plan.answer[`${kind}s`][index];
  const none = noDangersReason(plan);
  if (none) return el("span", { class: "missing" }, `not checked: ${none}`);
  const own = moving ? NOT_LOOKED_AT : ownReason(plan, kind, index);
  const ownLine = own && el("span", { class: "sub missing", "data-testid": "not-in-full" }, own);
  if (!least) return [el("span", { class: "missing" }, noneNear(plan)), ownLine];
  const more = least.infringed_count - (least.met === false || (least.met === null && least.on_track) ? 1 : 0);
  return [
    figure(least.clearance_m, "m", metresLeftText, { unitShown: true }), " ",
    el("button", { type: "button", class: "linkish", on: { click: () => select({ kind: "hazard", id: least.hazard_id }, "ledger") } }, dangerName(least)),
    el("span", { class: "sub" }, known(least.limit_m) && ["limit ", figure(least.limit_m, "m", metresNeededText, { unitShown: true }), ` (${least.limit_source}), `], metWord(least)),
    more > 0 && el("span", { class: "sub not-met grade-must_resolve" }, gradeMark("must_resolve"), el("strong", {}, `${more} more NOT MET`)),
    ownLine,
  ];
}
