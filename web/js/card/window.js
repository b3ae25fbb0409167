/** The window of the wheel-over: between which places every limit is held, and what binds each end. */

import { el, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { decimals, known, plainText } from "../format.js";
import { boundWords, endCables, isEmpty, planWhere, toClose } from "./bounds.js";

const HEADS = ["Helm", "Opens cab", "Bound by", "Closes cab", "Bound by", "WOP to close"];

const HELP = "The window is where the helm may be given so that the same run keeps every limit that is set: off the new track, hull to each danger, XTD of both legs. It is looked for from 2 NM before the planned WOP, or the start of the leg, to three lengths beyond the waypoint.";
const NOT_CHECKED = "Not part of the window: traffic, the push of wind and waves, a current or depth that changes along the turn, what she does after she is steady.";

function cells(window) {
  const cell = (head, content, number) => el("td", { class: number ? "num" : null, "data-label": head }, content);
  return [cell(HEADS[1], endCables(window.earliest), true), cell("Bound by", boundWords(window.earliest.bound)), cell(HEADS[3], endCables(window.latest), true),
    cell("Bound by", boundWords(window.latest.bound)), cell(HEADS[5], toClose(window))];
}

/** A row of the table: two ends, or why there are none. */
function row(testId, words, window, reason) {
  const whole = (...content) => el("td", { colspan: HEADS.length - 1, "data-label": "Window" }, content);
  let content = whole(el("span", { class: "missing" }, `not computed: ${reason || "no reason given"}`));
  if (window && isEmpty(window)) content = whole(el("strong", {}, "No wheel-over tried held every limit."), window.tightest && [" Tightest: ", boundWords(window.tightest), "."]);
  else if (window) content = cells(window);
  return el("tr", { "data-testid": testId }, el("th", { scope: "row", "data-label": "Helm" }, words), content);
}

/** The sentence above the table. */
function sentence({ window, window_reason: reason }) {
  if (!window) return el("p", { class: "missing" }, `not computed: ${reason || "no reason given"}`);
  if (isEmpty(window)) return el("p", { class: "window-line" }, el("strong", {}, "No wheel-over tried held every limit"), window.tightest && ["; the tightest is ", boundWords(window.tightest)], ".");
  const late = planWhere(window).state === "late" ? [toClose(window), ", rounded up."] : ["From the planned WOP to the close ", toClose(window), window.planned_inside ? ", rounded down." : "."];
  return el("p", { class: "window-line" }, "Opens ", endCables(window.earliest, { unitShown: true }), " before the waypoint (", boundWords(window.earliest.bound), "), closes ", endCables(window.latest, { unitShown: true }),
    " (", boundWords(window.latest.bound), "). ", late, window.window_count > 1 && ` There are ${plainText(window.window_count)} windows with gaps between; this is the one of the planned WOP, or the nearest to it.`);
}

/** What each second of delay does beside the new track. */
function eachSecond(window) {
  const perSecond = window?.off_track_m_per_s;
  return known(perSecond) && el("p", {}, "Each second later puts her ", figure(perSecond, "m/s", (value) => decimals(Math.abs(value), 1)), ` m farther to ${perSecond > 0 ? "starboard" : "port"} beside the new track (m/s).`);
}

/** What of the water between the ends was not checked. */
function waterLine(window) {
  if (!window || (!window.not_checked && !window.on_coast)) return false;
  return el("p", { class: "gap-line", "data-testid": "window-water" }, window.on_coast && el("strong", {}, "Coastline lies in the water between its ends, and ends no window. "), window.not_checked && `Not checked: ${window.not_checked}.`);
}

export function windowPart(card) {
  const { hard_over: hard } = card;
  return [sentence(card), waterLine(card.window), eachSecond(card.window),
    tableBox("Windows of the wheel-over", el("table", { class: "stacks windows", "data-testid": "window-table" },
      el("caption", {}, "Cables before the waypoint along the inbound leg; seconds over the ground, rounded down to the close."),
      el("thead", {}, el("tr", {}, HEADS.map((head) => el("th", { scope: "col" }, head)))),
      el("tbody", {}, row("window-planned", "as planned", card.window, card.window_reason),
        row("window-hard-over", hard?.manoeuvre ? ["hard over, rudder ", figure(hard.manoeuvre.rudder_deg, "deg", (value) => plainText(value, 1), { unitShown: true })] : "hard over", hard?.window, hard ? hard.window_reason : card.hard_over_reason)))),
    el("p", { class: "field-hint", "data-testid": "window-help" }, HELP), el("p", { class: "gap-line", "data-testid": "window-not-checked" }, NOT_CHECKED)];
}
