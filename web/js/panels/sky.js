/** Courses by each compass, and the sun at every waypoint and wheel-over: as the service found them. */

import { el, replace, show, tableBox } from "../dom.js";
import { figure, missing } from "../figures.js";
import { courseText, decimals, known, numberText } from "../format.js";
import { pager, pageRows } from "../paging.js";
import { redraw } from "../redraw.js";
import { legName } from "../sailing.js";
import { select, state, watch } from "../state.js";
import { clockText } from "../times.js";
import { paneHead } from "./pane.js";

const LIGHTS = { day: "day", civil: "civil twilight", nautical: "nautical twilight", astronomical: "astronomical twilight", night: "night" };
const view = { legPage: 0, page: 0 };
let again = () => {};

const th = (content) => el("th", { scope: "row" }, content);
const td = (head, content, testId) => el("td", { class: "num", "data-label": head, "data-testid": testId }, content);
const sub = (...content) => el("span", { class: "sub" }, content);
const goTo = (item, words) => el("button", { type: "button", class: "linkish", on: { click: () => select(item, "sky") } }, words);

const eastWest = (value) => `${decimals(Math.abs(value), 1)} ${value < 0 ? "W" : "E"}`;

function table(caption, testId, heads, rows) {
  return tableBox(`${caption}, scrolls sideways`, el("table", { class: "nearest-table times-table stacks", "data-testid": testId }, el("caption", {}, caption),
    el("thead", {}, el("tr", {}, heads.map((head) => el("th", { scope: "col" }, head)))), el("tbody", {}, rows)));
}

/* Courses */

const COURSE_HEADS = ["Leg", "True T", "Variation", "Magnetic M", "Deviation", "By compass C", "By gyro G"];
const ZONES = { caution: "weak field: compass with caution", blackout: "blackout: compass unreliable" };

/** The course, and under it the course to steer, by one compass. */
function both(courses, member, unit, write, testId) {
  const steer = courses.to_steer;
  return [figure(courses[member], unit, write), steer && sub("steer ", figure(steer[member], unit, write))].map((one, at) => (at === 0 ? el("span", { "data-testid": testId }, one) : one));
}

function courseRow(plan, leg, index) {
  const { courses } = leg;
  const id = (name) => `${name}-${index}`;
  return el("tr", { "data-testid": id("courses") },
    th([goTo({ kind: "leg", index }, legName(plan, index)), courses.not_known.length > 0 && el("details", {}, el("summary", {}, "not known"), el("ul", { class: "plain-list" }, courses.not_known.map((one) => el("li", {}, one)))), courses.notes.map((one) => sub(one))]),
    td(COURSE_HEADS[1], both(courses, "true_deg", "deg T", courseText, id("true"))),
    td(COURSE_HEADS[2], [figure(courses.variation_deg, "deg", eastWest), known(courses.uncertainty_deg) && sub("\u00b1 ", figure(courses.uncertainty_deg, "deg", (value) => decimals(Math.ceil(value * 10) / 10, 1))), courses.zone && el("strong", { class: "not-met" }, ZONES[courses.zone])], id("variation")),
    td(COURSE_HEADS[3], both(courses, "magnetic_deg", "deg M", courseText, id("magnetic"))),
    td(COURSE_HEADS[4], both(courses, "deviation_deg", "deg", eastWest, id("deviation"))),
    td(COURSE_HEADS[5], both(courses, "compass_deg", "deg C", courseText, id("compass"))),
    td(COURSE_HEADS[6], both(courses, "gyro_deg", "deg G", courseText, id("gyro"))));
}

/* The sun */

const SUN_HEADS = ["Point", "UTC", "Light", "Sun up", "Civil twilight", "Nautical twilight", "Astronomical twilight"];

/** The full minute at or after a time: light is never shown before it is there. */
const minuteAfter = (utc) => new Date(Math.ceil(Date.parse(utc) / 60_000) * 60_000).toISOString();

/** From when to when the sun is above a height, in words where that lasts. */
function span(one, always, never, day) {
  if (one.lasting) return el("span", { "data-lasting": one.lasting }, one.lasting === "always" ? always : never);
  const end = (utc, shown) => (utc ? el("span", { class: "figure", "data-utc": utc }, shown.slice(0, 10) === day ? `${shown.slice(11, 16)}Z` : clockText(shown)) : "none");
  return [end(one.from_utc, one.from_utc && minuteAfter(one.from_utc)), " to ", end(one.to_utc, one.to_utc)];
}

function sunRow(one) {
  const { waypoint_id: id, part, at_utc: at, light } = one;
  const name = `${numberText(one.waypoint_index)} ${part === "wheel_over" ? "wheel-over" : "waypoint"}`;
  const day = at?.slice(0, 10);
  const twilight = (span_) => (at ? span(span_, "all night", "none", day) : null);
  return el("tr", { "data-testid": `sun-${id}-${part}` }, th(goTo({ kind: "waypoint", index: one.waypoint_index }, name)),
    td(SUN_HEADS[1], at ? el("span", { class: "figure", "data-utc": at }, clockText(at)) : missing(one.reason)),
    td(SUN_HEADS[2], light ? el("strong", { "data-light": light }, LIGHTS[light]) : missing(at && one.reason), `light-${id}-${part}`),
    td(SUN_HEADS[3], at ? span(one.up, "sun always up", "sun never up", day) : null),
    td(SUN_HEADS[4], twilight(one.civil)), td(SUN_HEADS[5], twilight(one.nautical)), td(SUN_HEADS[6], twilight(one.astronomical)));
}

function paged(key, rows, what, draw) {
  const { page, rows: shown } = pageRows(rows, view[key]);
  return [pager(rows.length, page, what, (to) => { view[key] = to; again(); }), draw(shown)];
}

function content(plan) {
  const { legs, schedule } = plan.answer;
  const numbered = legs.map((leg, index) => [leg, index]);
  return [
    el("p", {}, `Variation by ${legs[0]?.courses.model ?? "the model"} where each leg begins, on the day she begins it; local anomalies are not in it. Where a stream is known the course to steer stands below the course. Add the gyro error to the gyro's reading for true.`),
    paged("legPage", numbered, "legs", (rows) => table("Courses by each compass", "courses-table", COURSE_HEADS, rows.map(([leg, index]) => courseRow(plan, leg, index)))),
    el("p", {}, "Sun of the day, midnight to midnight by the sun, for a horizon at sea level. Twilights from their morning beginning to their evening end."),
    paged("page", schedule.sun, "points", (rows) => table("Day or night at each waypoint and planned wheel-over", "sun-table", SUN_HEADS, rows.map(sunRow))),
  ];
}

export function startSky(host) {
  const drawn = el("div", {});
  replace(host, paneHead("Sun and compass", "sky-title"), drawn);
  again = () => {
    const { plan } = state;
    const has = Boolean(plan?.answer.schedule?.sun);
    show(host, has);
    if (has) redraw(drawn, content(plan));
  };
  watch(["plan"], again);
}
