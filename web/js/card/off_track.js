/** Where a wheel-over leaves her beside the new track, in words: metres, inside or outside, the side, lengths. */

import { el } from "../dom.js";
import { figure, missing } from "../figures.js";
import { decimals, known, sideText } from "../format.js";

const whole = (value) => decimals(Math.abs(value), 0);

/** Under half a metre no side is said: it would be no more than the rounding. */
export const isAside = ({ off_track_m: off, off_track_side: side }) => Boolean(side) && Math.abs(off) >= 0.5;

/** "27 m outside (port)" for a row of a method or the planned wheel-over; where room is short without the hand. */
export function offTrack(row, { unitShown = true, reason = null, brief = false } = {}) {
  const value = row?.off_track_m;
  if (!known(value)) return figure(value, "m", whole, { reason });
  const hand = !brief && ` (${sideText(value > 0 ? "starboard" : "port")})`; // sent starboard positive
  return [figure(value, "m", whole, { unitShown }), isAside(row) ? [` ${row.off_track_side}`, hand] : brief && " off"];
}

/** The same in ship's lengths, on a line of its own. */
export function offTrackLengths(row) {
  return known(row?.off_track_lengths) && isAside(row) && el("span", { class: "sub" }, figure(row.off_track_lengths, "lengths", (value) => decimals(value, 2), { unitShown: true }));
}

/** "32 in to 41 out": nine in ten of where she may end, inside or outside the new track; `side` is that of the turn. */
export function offTrackBand({ off_track_band_m: band }, side, reason) {
  if (!band) return missing(reason);
  const inside = side === "port" ? -1 : 1; // sent starboard positive
  const end = (value) => [figure(value, "m", whole), Math.abs(value) < 0.5 ? "" : value * inside > 0 ? " in" : " out"];
  const [first, second] = band[0] * inside > band[1] * inside ? band : [band[1], band[0]]; // the inside end first
  return [end(first), " to ", end(second)];
}
