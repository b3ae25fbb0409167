/** The schedule: when she is at each waypoint and wheel-over, how fast she goes, and what she steers. */

import { el, replace, show, tableBox } from "../dom.js";
import { figure, missing, position } from "../figures.js";
import { courseText, decimals, known, nmText, numberText, oneDecimal } from "../format.js";
import { pager, pageRows } from "../paging.js";
import { redraw } from "../redraw.js";
import { legName, turnName } from "../sailing.js";
import { select, state, watch } from "../state.js";
import { clockText, spanText } from "../times.js";
import { startDepartures } from "./departures.js";
import { gradeMark } from "./grades.js";
import { paneHead } from "./pane.js";

const SPEEDS = { leg: "given", ground: "from SOG given", eta: "computed from ETA", ship: "ship" };
const CURRENTS = { leg: "the leg's", stream: "table", plan: "the plan's" };
const knots = (value) => decimals(value, 2);
const view = { page: 0, turnPage: 0, legPage: 0, fuelPage: 0 };
let again = () => {};

const th = (content) => el("th", { scope: "row" }, content);
const td = (head, content, testId) => el("td", { class: "num", "data-label": head, "data-testid": testId }, content);
const sub = (...content) => el("span", { class: "sub" }, content);

/** A time of the clock; without a departure how long after it. */
function moment(utc, after_s, reason, seconds = false) {
  if (utc) return el("span", { class: "figure", "data-utc": utc }, clockText(utc, seconds));
  return known(after_s) ? figure(after_s, "s", (value) => `${spanText(value)} after departure`) : missing(reason);
}

function table(caption, testId, heads, rows) {
  return tableBox(`${caption}, scrolls sideways`, el("table", { class: "nearest-table times-table stacks", "data-testid": testId }, el("caption", {}, caption),
    el("thead", {}, el("tr", {}, heads.map((head) => el("th", { scope: "col" }, head)))), el("tbody", {}, rows)));
}

function windowWords(window) {
  if (!window) return null;
  const ends = [window.from_utc && `from ${clockText(window.from_utc)}`, window.to_utc && `to ${clockText(window.to_utc)}`].filter(Boolean).join(" ");
  const rests = window.reason && sub(window.reason);
  if (window.result === "met") return [ends, sub("met"), rests];
  if (window.result === "not_known") return [ends, el("span", { class: "missing" }, `not checked: ${window.reason}`)];
  const grade = window.result === "late" ? "must_resolve" : "must_explain";
  return [ends, el("strong", { class: `not-met grade-${grade}` }, gradeMark(grade), window.result.toUpperCase(), " by ", figure(window.off_s, "s", spanText)), rests];
}

/** Whether an ETA was given or computed; of one that is not made both stand. */
function sourceWords({ eta_source: source, eta_given_utc: given, waypoint_index: index }) {
  if (index === 0) return source === "given" ? "departure, given" : "departure";
  if (given && source !== "given") return ["computed; given ", el("strong", { class: "not-met" }, clockText(given))];
  return source;
}

/** The clock on board, and its zone description. */
function zoneWords(local, { zone_description_h: hours, zone_source: source }) {
  return [el("span", { "data-zone-time": local }, local.slice(0, 16).replace("T", " ")), ` ZT, ZD ${hours > 0 ? "+" : ""}${hours}${source === "given" ? ", given" : ""}`];
}

const WAYPOINT_HEADS = ["WPT", "ETA UTC", "Stay", "ETD UTC", "Run NM", "To go NM", "Window of arrival"];

function waypointRow(one, windows) {
  const id = one.waypoint_id;
  return el("tr", { "data-testid": `time-${id}` },
    th(el("button", { type: "button", class: "linkish", on: { click: () => select({ kind: "waypoint", index: one.waypoint_index }, "schedule") } }, numberText(one.waypoint_index), one.name && ` ${one.name}`)),
    td(WAYPOINT_HEADS[1], [moment(one.eta_utc, one.eta_after_s, one.reason), one.eta_zone && sub(zoneWords(one.eta_zone, one)), sub(sourceWords(one))], `eta-${id}`), td(WAYPOINT_HEADS[2], one.stay_s > 0 ? figure(one.stay_s, "s", spanText) : null),
    td(WAYPOINT_HEADS[3], one.stay_s > 0 ? moment(one.etd_utc, one.etd_after_s, one.reason) : null), td(WAYPOINT_HEADS[4], figure(one.distance_nm, "NM", nmText)), td(WAYPOINT_HEADS[5], figure(one.to_go_nm, "NM", nmText)),
    td(WAYPOINT_HEADS[6], windowWords(windows.get(one.waypoint_index)), `window-${id}`));
}

const LEG_HEADS = ["Leg", "Course deg T", "Steer deg T", "Speed kn", "SOG kn", "Stream sets deg T, drift kn", "Time"];

function streamWords(one) {
  if (!known(one.drift_kn)) return el("span", { class: "missing" }, one.note || "none given: still water is assumed");
  return [figure(one.set_deg, "deg T", courseText), ", ", figure(one.drift_kn, "kn", knots), sub([CURRENTS[one.current_source], one.station].filter(Boolean).join(" "), !one.covered && el("strong", { class: "not-met" }, ", does not cover all of it"))];
}

function streamSteps(one) {
  if (one.streams.length < 2) return null;
  const rows = one.streams.map((step) => el("li", {}, step.at_utc ? clockText(step.at_utc) : "", ": sets ", figure(step.set_deg, "deg T", courseText), ", ", figure(step.drift_kn, "kn", knots), " kn; steer ", figure(step.steer_deg, "deg T", courseText), ", SOG ", figure(step.speed_over_ground_kn, "kn", knots)));
  return el("details", {}, el("summary", {}, "hour by hour"), el("ul", { class: "plain-list" }, rows));
}

function legRow(plan, one) {
  return el("tr", { "data-testid": `leg-time-${one.leg_index}` },
    th(el("button", { type: "button", class: "linkish", on: { click: () => select({ kind: "leg", index: one.leg_index }, "schedule") } }, legName(plan, one.leg_index))),
    td(LEG_HEADS[1], figure(one.course_deg, "deg T", courseText)), td(LEG_HEADS[2], figure(one.steer_deg, "deg T", (value) => courseText(value), { reason: one.reason }), `steer-${one.leg_index}`),
    td(LEG_HEADS[3], [figure(one.speed_kn, "kn", knots), sub(SPEEDS[one.speed_source] || "")], `speed-${one.leg_index}`), td(LEG_HEADS[4], figure(one.speed_over_ground_kn, "kn", knots), `sog-${one.leg_index}`),
    td(LEG_HEADS[5], [streamWords(one), streamSteps(one)], `leg-stream-${one.leg_index}`), td(LEG_HEADS[6], figure(one.duration_s, "s", spanText)));
}

const TURN_HEADS = ["Turn", "WOP UTC", "Arc starts UTC", "Arc ends UTC", "Lost by slowing s", "To go at WOP NM"];

/** A reason is said once in a row, at the first figure it keeps from being known. */
function turnRow(plan, one) {
  const arcs = one.arc_reason === one.reason ? null : one.arc_reason;
  return el("tr", { "data-testid": `turn-time-${one.turn_index}` },
    th(el("button", { type: "button", class: "linkish", on: { click: () => select({ kind: "turn", index: one.turn_index }, "schedule") } }, turnName(plan, one.turn_index))),
    td(TURN_HEADS[1], moment(one.at_utc, one.after_s, one.reason, true), `wop-time-${one.turn_index}`), td(TURN_HEADS[2], moment(one.arc_start_utc, one.arc_start_after_s, arcs, true)),
    td(TURN_HEADS[3], moment(one.arc_end_utc, one.arc_end_after_s, null, true)), td(TURN_HEADS[4], figure(one.time_lost_s, "s", oneDecimal)), td(TURN_HEADS[5], figure(one.to_go_nm, "NM", nmText)));
}

const AREA_HEADS = ["Area", "Enters UTC", "at", "Leaves UTC", "at"];
const AREA_WORDS = { restricted: "restricted area", special: "special conditions", routeing: "routeing measure" };

const edgeCells = (column, edge, none) => (edge ? [td(AREA_HEADS[column], moment(edge.at_utc, edge.after_s, "no time is known")), td(AREA_HEADS[column + 1], position(edge.position))] : [td(AREA_HEADS[column], none), td(AREA_HEADS[column + 1], null)]);

function areaRow(one, index) {
  return el("tr", { "data-testid": `area-time-${index}` }, th([one.name || one.area_id, sub([AREA_WORDS[one.danger_class] || one.danger_class, one.source === "you" && "own"].filter(Boolean).join(", "))]),
    edgeCells(1, one.enters, "inside from the start"), edgeCells(3, one.leaves, "inside to the end"));
}

const FUEL_HEADS = ["Leg", "Fuel", "t a day", "Burnt t", "During the stay t"];
/** Fuel is rounded up: what is needed is never shown as less. */
const tonnes = (value) => decimals(Math.ceil(value * 100 - 1e-6) / 100, 2);

function fuelRow(plan, one) {
  const why = { reason: one.reason };
  return el("tr", {}, th(legName(plan, one.leg_index)), td(FUEL_HEADS[1], one.fuel || "not named"), td(FUEL_HEADS[2], figure(one.rate_t_per_day, "t/day", tonnes, why)), td(FUEL_HEADS[3], figure(one.burnt_t, "t", tonnes, known(one.rate_t_per_day) ? why : {})), td(FUEL_HEADS[4], figure(one.stay_t, "t", tonnes, known(one.burnt_t) ? why : {})));
}

function fuelLead({ fuels, reason }) {
  if (fuels.length === 0) return el("p", { class: "missing", "data-testid": "fuel-lead" }, `Fuel is not known: ${reason}.`);
  return el("p", { "data-testid": "fuel-lead" }, fuels.map((one) => [one.fuel || "Fuel", ": ", known(one.total_t) ? [figure(one.total_t, "t", tonnes, { unitShown: true }), " in all. "] : [el("strong", { class: "not-met" }, "total not known"), `, ${one.reason}; what is known is `, figure(one.known_t, "t", tonnes, { unitShown: true }), ". "]]));
}

const DEPARTED = { given: "given", computed: "counted back from an ETA" };

function lead({ departure_utc: departure, departure_source: source, arrival_utc: arrival, duration_s: duration, distance_nm: distance }) {
  return el("p", { "data-testid": "schedule-lead" }, departure ? ["Departs ", el("strong", { "data-utc": departure }, clockText(departure)), ` (${DEPARTED[source]})`] : "No departure is given: times count from it.",
    arrival && [", arrives ", el("strong", { "data-utc": arrival, "data-testid": "arrival" }, clockText(arrival))], ". ", known(distance) ? figure(distance, "NM", nmText, { unitShown: true }) : el("span", { class: "missing" }, "Distance and time of the whole are not computed"), known(duration) && [" in ", figure(duration, "s", spanText)], ". Slowing in turns is counted, gathering speed again is not.");
}

function paged(key, rows, what, draw) {
  const { page, rows: shown } = pageRows(rows, view[key]);
  return [pager(rows.length, page, what, (to) => { view[key] = to; again(); }), draw(shown)];
}

function content(plan) {
  const { schedule } = plan.answer;
  const windows = new Map(schedule.windows.map((one) => [one.waypoint_index, one]));
  return [lead(schedule),
    paged("page", schedule.rows, "times", (rows) => table("Waypoints; at a turn the middle of its arc", "schedule-waypoints", WAYPOINT_HEADS, rows.map((one) => waypointRow(one, windows)))),
    paged("legPage", schedule.legs, "leg times", (rows) => table("Legs, from arc to arc", "schedule-legs", LEG_HEADS, rows.map((one) => legRow(plan, one)))),
    schedule.areas.length > 0 && table("Restricted and special areas and routeing measures on the track", "schedule-areas", AREA_HEADS, schedule.areas.map(areaRow)),
    schedule.areas_reason && el("p", { class: "missing" }, `Areas: ${schedule.areas_reason}.`), fuelLead(schedule.fuel),
    schedule.fuel.legs.length > 0 && paged("fuelPage", schedule.fuel.legs, "fuel rows", (rows) => table("Fuel by leg, the turn at its end with it", "schedule-fuel", FUEL_HEADS, rows.map((one) => fuelRow(plan, one)))),
    schedule.wheel_overs.length > 0 && paged("turnPage", schedule.wheel_overs, "turn times", (rows) => table("Planned wheel-overs and arcs", "schedule-turns", TURN_HEADS, rows.map((one) => turnRow(plan, one)))),
  ];
}

export function startSchedule(host) {
  const [drawn, moved] = [el("div", {}), el("div", {})];
  replace(host, paneHead("Schedule", "schedule-title"), drawn, moved);
  startDepartures(moved);
  again = () => {
    const { plan } = state;
    show(host, Boolean(plan?.answer.schedule));
    if (plan?.answer.schedule) redraw(drawn, content(plan));
  };
  watch(["plan"], again);
}
