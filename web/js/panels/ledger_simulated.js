/** What the simulated turn says of the planned wheel-over, for the turn rows of the Ledger. */

import { offTrack } from "../card/off_track.js";
import { notSimulated } from "../card/simulated.js";
import { el } from "../dom.js";
import { known } from "../format.js";
import { oncePerPlan } from "../sailing.js";

/** From so many rows on a reason is said above the table instead of in each of them. */
const MANY = 3;

/** Reasons that stand for every turn or for several: {reason, every}. They are said once, above the table. */
export const commonNotSimulated = oncePerPlan(({ answer: { turns } }) => {
  const counts = new Map();
  turns.map(notSimulated).filter(Boolean).forEach((reason) => counts.set(reason, (counts.get(reason) || 0) + 1));
  return [...counts].map(([reason, count]) => ({ reason, every: count === turns.length, many: count >= MANY })).filter(({ every, many }) => every || many);
});

/** Where the planned wheel-over leaves her, where that is known. */
export function offTrackLine(turn) {
  return known(turn.planned?.off_track_m) && el("span", { class: "sub", "data-testid": "ledger-off-track" }, "SIM ", offTrack(turn.planned, { brief: true }));
}

/** Why it is not known, unless that is said above the table or in the cell of the planned wheel-over. */
export function notSimulatedLine(plan, turn) {
  const reason = notSimulated(turn);
  const said = !reason || turn.planned?.method === "simulated" || commonNotSimulated(plan).some((one) => one.reason === reason);
  return !said && el("span", { class: "sub missing" }, `SIM not computed: ${reason}`);
}
