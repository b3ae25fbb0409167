/** The facts of one turn: courses, arc, tangents, and the exact rate beside the rule. */

import { el } from "../dom.js";
import { figure, missing, position } from "../figures.js";
import { courseText, decimals, known, metresInNm, metresText, nmInCables, nmText, oneDecimal, secondsText, sideText } from "../format.js";

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

/** A length in cables, with its metres. */
function cables(value_m) {
  if (!known(value_m)) return missing();
  return [figure(nmInCables(metresInNm(value_m)), "cab", nmText, { unitShown: true }), " (", figure(value_m, "m", metresText, { unitShown: true }), ")"];
}

export function turnFacts(turn) {
  const metres = (value) => figure(value, "m", metresText, { unitShown: true });
  return el("dl", { class: "facts" },
    entry("Radius", figure(turn.radius_nm, "NM", nmText, { unitShown: true, reason: turn.reason }), turn.radius_source && ` (${turn.radius_source})`),
    entry("ROT, exact", rates(turn)),
    entry("Speed in the turn", figure(turn.speed_kn, "kn", oneDecimal, { unitShown: true })),
    entry("Duration", figure(turn.duration_s, "s", secondsText, { unitShown: true })),
    entry("Tangent in", cables(turn.tangent_in_m)),
    entry("Tangent out", cables(turn.tangent_out_m)),
    entry("Arc", metres(turn.arc_m)),
    entry("Reach", cables(turn.reach_m), turn.reach_source && ` (${turn.reach_source})`),
    entry("WOP position", position(turn.planned?.position)),
    entry("WOL", wheelOverLine(turn.wheel_over_line)),
    entry("Turn begins", position(turn.start)),
    entry("Turn ends", position(turn.end)),
    entry("Centre", position(turn.centre)));
}
