/** The turn as this ship makes it: the orders of the simulated row, where the planned wheel-over leaves her, or why not. */

import { el } from "../dom.js";
import { figure } from "../figures.js";
import { courseText, known, nmText, oneDecimal, plainText, secondsText, sideText } from "../format.js";
import { METHOD_WORDS } from "../sailing.js";
import { isAside, offTrack } from "./off_track.js";

/** The simulated row of a turn. */
export const simulatedRow = (turn) => turn.wheel_overs.find((row) => row.method === "simulated");

/** Why the turn is not simulated, or null where it is. */
export function notSimulated(turn) {
  const row = simulatedRow(turn);
  return row?.status === "computed" ? null : row?.reason || "no reason given";
}

/** "stbd 15", "midships": an angle that is no whole degree keeps one decimal. */
function orderWords({ order: name, rudder_deg, rate_deg_per_min: rate, radius_nm }) {
  const side = (value) => sideText(value > 0 ? "starboard" : "port");
  if (name === "rate") return ["ROT ", side(rate), " ", figure(rate, "deg/min", (value) => oneDecimal(Math.abs(value)), { unitShown: true })];
  if (name === "radius") return ["radius ", figure(radius_nm, "NM", nmText, { unitShown: true })];
  if (name === "steady") return "ease, to steady on the new heading";
  if (rudder_deg === 0) return "midships";
  return [side(rudder_deg), " ", figure(rudder_deg, "deg", (value) => plainText(Math.abs(value), 1))];
}

const seconds = (value) => figure(value, "s", secondsText, { unitShown: true });
const heading = (value) => figure(value, "deg T", courseText);

/** One order: the first at the wheel-over, the others at a heading, with the time since. */
function order(one) {
  const when = one.at_s === 0 ? [" at the WOP, heading ", heading(one.heading_deg)] : [" at heading ", heading(one.heading_deg), ", after ", seconds(one.at_s)];
  return el("li", { "data-order": one.order }, orderWords(one), when);
}

function orders(run) {
  return el("ol", { class: "orders", "data-testid": "helm-orders" }, run.orders.map(order),
    el("li", { "data-order": "steady" }, "steady on heading ", heading(run.heading_out_deg), " after ", seconds(run.steady_at_s), ", at ", figure(run.steady_speed_kn, "kn", oneDecimal, { unitShown: true })));
}

/** Where the orders leave her when the first is given at the planned wheel-over. */
function planned(turn) {
  const { planned: chosen } = turn;
  const word = METHOD_WORDS[chosen.method] || chosen.method;
  if (!known(chosen.off_track_m)) return el("p", { class: "missing" }, `The planned WOP (${word}) has no distance, so where it leaves her is not computed.`);
  return el("p", { "data-testid": "planned-off-track" }, `Begun at the planned WOP (${word}, `, figure(chosen.distance_nm, "NM", nmText, { unitShown: true }),
    "), she ends ", offTrack(chosen), isAside(chosen) ? " of the new track" : " off the new track",
    known(chosen.off_track_lengths) && isAside(chosen) && [", ", figure(chosen.off_track_lengths, "lengths", (value) => plainText(value, 2), { unitShown: true })], ".");
}

const STEERED = { rate: "Steered by rate of turn; greatest rudder ", radius: "Steered by radius; greatest rudder " };

function computed(turn, run) {
  return [
    el("p", {}, STEERED[run.steering] || (run.rudder_for === "rudder" ? "Rudder as planned: " : "Rudder that holds the planned radius: "), figure(run.rudder_deg, "deg", (value) => plainText(value, 1), { unitShown: true }),
      run.steering === "rudder" ? ", the same to check her; greatest ROT " : "; greatest ROT ", figure(run.rate_max_deg_per_min, "deg/min", (value) => oneDecimal(Math.abs(value)), { unitShown: true }), ". Below, rudder in deg, headings in deg T, s since the helm order."),
    orders(run), planned(turn),
    el("p", { class: "field-hint" }, "For the planning desk: on the bridge the helmsman checks her as she answers, by her own rate of turn."),
  ];
}

/** The part of the card beside the methods. */
export function simulatedPart(turn) {
  const run = simulatedRow(turn)?.manoeuvre;
  return el("section", { class: "pane", "data-testid": "simulated-part" }, el("h3", {}, "SIM: the turn as she makes it, simulated"),
    run ? computed(turn, run) : el("p", { class: "missing", "data-testid": "not-simulated" }, `not computed: ${notSimulated(turn)}`));
}
