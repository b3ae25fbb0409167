/** The layers that the bridge team steers and watches by: how each is called, drawn and labelled. Figures are the service's own. */

import { courseText, decimals, known, nmText, sideText } from "../../format.js";
import { clockText } from "../../times.js";

const words = (...parts) => parts.filter(Boolean).join(" ");
const miles = (value) => known(value) && `${nmText(value)} NM`;
const bearing = (value) => known(value) && `${courseText(value)} T`;

/** A bearing to the tenth: a limit in half degrees must not be rounded again. */
const halves = (value) => known(value) && `${decimals(value, 1).padStart(5, "0")} T`;

/** How long before the wheel-over a warning point lies, as it was asked. */
function before({ before_s: seconds, before_nm: distance }) {
  if (!known(seconds)) return miles(distance);
  return seconds % 60 === 0 && seconds > 0 ? `${seconds / 60} min` : `${seconds} s`;
}

const POINT_WORDS = { call_master: "call master", report: "report", machinery: "machinery", pilot: "pilot", tugs: "tugs", abort: "abort point", no_return: "point of no return", ukc: "under-keel control", other: "action point" };
const pointWord = ({ kind }) => POINT_WORDS[kind] || String(kind).replaceAll("_", " ");

/** `line` is the class of a line, `mark` the symbol of a point. */
export const AID_STYLES = {
  hull: { words: "hull through the turns, each at a moment of its simulation", line: "aid-hull" },
  contingency: { words: "tracks of contingencies, each checked in its own right", line: "aid-contingency", label: (one) => (one.part === "leaving_wheel_over" ? words("WOP to leave for", one.name) : one.part === "leg" && words(one.kind && String(one.kind).replaceAll("_", " "), one.name)) },
  bend_index: { words: "index lines crossed inside a bend: they meet at the centre of its turn", line: "aid-bend", label: (one) => words("centre at", miles(one.radius_nm), one.side && sideText(one.side)) },
  index_limit: { words: "limits of the index ranges, not less or not more than", line: "aid-index-limit", label: (one) => words(one.word, miles(one.range_nm), one.mark_name) },
  parallel_index: { words: "index lines in use, parallel to the track through their object", line: "aid-index", feathers: true, label: (one) => words(one.mark_name, miles(one.set_nm), one.side && sideText(one.side)) },
  clearing_line: { words: "clearing bearings, not less or not more than", line: "aid-clearing", label: (one) => words(one.word, halves(one.set_deg), one.mark_name) },
  transit: { words: "transits and leading lines", line: "aid-transit", label: (one) => words(one.name, halves(one.bearing_deg)) },
  cue_line: { words: "first and second cue of each wheel-over", line: "aid-cue", label: (one) => words(one.order, one.mark_name, bearing(one.bearing_deg), miles(one.range_nm)) },
  mark: { words: "marks near the track", mark: "mark", label: (one) => one.name || one.id },
  warning_point: { words: "warning points before the wheel-overs", mark: "warning", label: (one) => words(before(one), "to WOP") },
  time_label: { words: "planned times along the track", mark: "time", label: (one) => one.text || (one.at_utc && clockText(one.at_utc)) },
  point: { words: "action points: reports, calls, abort and no return, pilot", mark: "point", label: (one) => words(pointWord(one), one.channel) },
};
