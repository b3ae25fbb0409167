/** Everything about one turn: the four methods side by side, the arc, and the two rates. */

import { el, tableBox } from "../dom.js";
import { figure, missing, position } from "../figures.js";
import { courseText, decimals, known, metresText, nmText, oneDecimal, secondsText, sideText } from "../format.js";
import { METHOD_NAMES, METHOD_WORDS } from "../sailing.js";

function methodRow(row, planned) {
  const done = row.status === "computed";
  const isPlanned = planned?.method === row.method;
  const cell = (content) => el("td", { class: "num" }, done ? content : "\u2013");
  return el("tr", { "data-testid": `method-${row.method}`, "data-state": row.status },
    el("th", { scope: "row" }, el("strong", {}, METHOD_WORDS[row.method] || row.method), ` ${METHOD_NAMES[row.method] || ""}`, isPlanned && el("span", { class: "wo-plate" }, "WO")),
    el("td", {}, done ? "computed" : `not applicable: ${row.reason || "no reason given"}`),
    cell(figure(row.distance_nm, "NM", nmText)), cell(figure(row.tangent_m, "m", metresText)), cell(figure(row.reach_m, "m", metresText)), cell(position(row.position)));
}

function methodTable(turn) {
  const heads = ["Method", "State", "Before waypoint NM", "Tangent m", "Reach m", "Position"];
  return el("table", { class: "methods" },
    el("caption", {}, "Wheel-over by each method"),
    el("thead", {}, el("tr", {}, heads.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, turn.wheel_overs.map((row) => methodRow(row, turn.planned))));
}

/** The exact rate beside the rule V/R, and how far apart they lie. */
function rates(turn) {
  const exact = turn.rate_of_turn_deg_per_min;
  const rule = turn.trade_rate_of_turn_deg_per_min;
  const write = (value) => oneDecimal(Math.abs(value));
  return [figure(exact, "deg/min", write, { unitShown: true }), ", rule V/R ", figure(rule, "deg/min", write, { unitShown: true }), known(exact) && known(rule) && difference(Math.abs(exact), Math.abs(rule))];
}

/** Written from the two numbers as sent; a comparison for reading, used nowhere else. */
function difference(exact, rule) {
  const apart = rule - exact;
  return [", the rule reads ", figure(apart, "deg/min", (value) => decimals(Math.abs(value), 1), { unitShown: true }), apart < 0 ? " lower" : " higher"];
}

function wheelOverLine(line) {
  if (!line) return missing();
  return [figure(line.offset_m, "m", (value) => metresText(Math.abs(value)), { unitShown: true }), ` to ${sideText(line.offset_side)} of the new leg, `,
    figure(line.offset_nm, "NM", (value) => nmText(Math.abs(value)), { unitShown: true }), ", lies ", figure(line.course_deg, "deg T", courseText, { unitShown: true })];
}

function entry(term, ...content) {
  return el("div", {}, el("dt", {}, term), el("dd", {}, content));
}

export function turnDetail(turn) {
  const metres = (value) => figure(value, "m", metresText, { unitShown: true });
  return el("div", { class: "turn-detail" },
    turn.reason && el("p", { class: "missing" }, `No circle: ${turn.reason}`),
    tableBox("Wheel-over by each method, scrolls sideways", methodTable(turn)),
    el("dl", { class: "facts" },
      entry("Courses", figure(turn.course_in_deg, "deg T", courseText, { unitShown: true }), " to ", figure(turn.course_out_deg, "deg T", courseText, { unitShown: true })),
      entry("Rate, exact", rates(turn)),
      entry("Speed in the turn", figure(turn.speed_kn, "kn", oneDecimal, { unitShown: true })),
      entry("Duration", figure(turn.duration_s, "s", secondsText, { unitShown: true })),
      entry("Tangent in, out", metres(turn.tangent_in_m), ", ", metres(turn.tangent_out_m)),
      entry("Arc", metres(turn.arc_m)),
      entry("Reach", metres(turn.reach_m), turn.reach_source && ` (${turn.reach_source})`),
      entry("Wheel-over position", position(turn.planned?.position)),
      entry("Wheel-over line", wheelOverLine(turn.wheel_over_line)),
      entry("Turn begins", position(turn.start)),
      entry("Turn ends", position(turn.end)),
      entry("Centre", position(turn.centre))));
}
