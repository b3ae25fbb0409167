/** The ends of a window in words: how far before the waypoint, what binds there, and how long until the close. */

import { figure, missing } from "../figures.js";
import { decimals, known, metresText, nmInCables, nmText, sideText } from "../format.js";

const NUDGE = 1e-6; // keeps 7.0 from becoming 6 by binary fractions
const down = (value) => decimals(Math.floor(Math.abs(value) + NUDGE), 0);
const up = (value) => decimals(Math.ceil(Math.abs(value) - NUDGE), 0);

/** Cables before the waypoint; an end beyond it is said to be past it. */
export function endCables({ distance_nm: distance }, { unitShown = false } = {}) {
  return [figure(nmInCables(distance), "cab", (value) => nmText(Math.abs(value)), { unitShown }), distance < 0 && " past the WPT"];
}

/** Which limit it is, and of what. */
export function boundWords({ kind, limit_m: limit, hazard_name: name, hazard_id: id, leg, side }) {
  const asked = figure(limit, "m", metresText, { unitShown: true });
  if (kind === "off_track") return ["off the new track, limit ", asked];
  if (kind === "danger") return known(limit) ? [`hull to ${name || id}, limit `, asked] : [`hull at ${name || id}, which has no limit and must not be touched`];
  if (kind === "corridor") return [`hull at the XTD limit ${sideText(side)} of the ${leg} leg, `, asked];
  return kind === "leg_start" ? "the inbound leg begins there" : "no limit was met; nothing was looked at beyond";
}

export const isEmpty = (window) => !window.earliest || !window.latest;

/** How the planned wheel-over lies to the window: {state, seconds}; seconds as the service counts them from it. */
export function planWhere({ earliest, latest, planned_inside: inside }) {
  if (inside) return { state: "inside", seconds: latest.later_s };
  return latest.later_s < 0 ? { state: "late", seconds: latest.later_s } : { state: "early", seconds: earliest.later_s };
}

/** "WOP is late by 6 s", rounded up: outside the window. */
function outsideBy({ state, seconds }) {
  return [`WOP is ${state} by `, figure(seconds, "s", up, { unitShown: true })];
}

/** Seconds from the planned wheel-over to the close, rounded down; where it lies outside the window, by how much. */
export function toClose(window) {
  const where = planWhere(window);
  const { latest } = window;
  if (where.state === "late") return outsideBy(where);
  return [latest.bound.kind === "range" && "at least ", figure(latest.later_s, "s", down, { unitShown: true }), where.state === "early" && ["; ", outsideBy(where)]];
}

/** A window in one line, for what is tried and for kept cases. */
export function windowWords(window, reason) {
  if (!window) return missing(reason);
  if (isEmpty(window)) return ["No wheel-over tried held every limit", window.tightest && ["; tightest: ", boundWords(window.tightest)]];
  return ["window ", endCables(window.earliest), " to ", endCables(window.latest, { unitShown: true }), planWhere(window).state === "late" ? [": ", toClose(window)] : [", to the close ", toClose(window)]];
}
