/** Move the departure: what of tide gates, windows of arrival, needs of daylight, light at wheel-overs, warnings and areas is then, beside the plan as it stands. */

import { departures } from "../api.js";
import { el, replace, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { decimals, known } from "../format.js";
import { formField } from "../record/fields.js";
import { dangerName, legName, turnName, waypointName } from "../sailing.js";
import { state, watch } from "../state.js";
import { clockText, readTime, spanText } from "../times.js";
import { gradeMark } from "./grades.js";

const SHIFT = /^([+-]\d+(?:\.\d+)?)\s*h?$/i;
const metres = (value) => decimals(value, 2);

/** "+5, -2.5, 2026-11-25 19:00": {shifts_s, departures_utc} or {error}. */
function readDepartures(text) {
  const parts = text.split(/[,;\n]/).map((one) => one.trim()).filter(Boolean);
  const asked = { shifts_s: [], departures_utc: [] };
  for (const part of parts) {
    const [, hours] = SHIFT.exec(part) || [];
    const { value } = hours === undefined ? readTime(part) : {};
    if (hours === undefined && !value) return { error: `Write hours with a sign, like +5, or a UTC time: ${part}` };
    if (hours === undefined) asked.departures_utc.push(value); else asked.shifts_s.push(Number(hours) * 3600);
  }
  return parts.length === 0 ? { error: "Write by how many hours, like +5." } : asked;
}

/** One word for an outcome; what fails is marked, what is not known never reads as held. */
function outcomeWords(outcome, was) {
  const changed = was && was !== outcome && el("span", { class: "sub" }, `was: ${OUTCOMES[was] || was}`);
  if (outcome === "fails" || outcome === "late" || outcome === "early") return [el("strong", { class: "not-met grade-must_resolve" }, gradeMark("must_resolve"), (OUTCOMES[outcome] || outcome).toUpperCase()), changed];
  if (outcome === "not_known") return [el("span", { class: "missing" }, "not checked"), changed];
  return [OUTCOMES[outcome] || outcome, changed];
}

const OUTCOMES = { holds: "holds", fails: "fails", not_known: "not checked", met: "met", early: "early", late: "late" };

function gateCell(gate, testId) {
  const heights = [known(gate.height_m) && ["tide ", figure(gate.height_m, "m", metres, { unitShown: true })], known(gate.limit_m) && [gate.kind === "keel" ? " of at least " : " of at most ", figure(gate.limit_m, "m", metres, { unitShown: true })]];
  return el("td", { "data-testid": testId, "data-outcome": gate.outcome }, outcomeWords(gate.outcome, gate.was), el("span", { class: "sub" }, heights),
    gate.from_utc && el("span", { class: "sub" }, `${clockText(gate.from_utc)} to ${clockText(gate.to_utc)}`), gate.reason && el("span", { class: "sub" }, gate.reason));
}

function gateName(plan, gate) {
  const piece = gate.piece.kind === "leg" ? legName(plan, gate.piece.index) : turnName(plan, gate.piece.index);
  const what = gate.kind === "keel" ? "under the keel" : `under ${dangerName({ hazard_name: gate.hazard_name, hazard_id: gate.hazard_id, kind: "object" })}`;
  return `${piece}, ${what}, ${gate.station}`;
}

function windowCell(window, testId) {
  return el("td", { "data-testid": testId, "data-outcome": window.result }, outcomeWords(window.result, window.was), known(window.off_s) && el("span", { class: "sub" }, "by ", figure(window.off_s, "s", spanText)), window.reason && el("span", { class: "sub" }, window.reason));
}

const PARTS = { waypoint: "waypoint", wheel_over: "wheel-over" };
const LIGHTS = { day: "day", civil: "civil twilight", nautical: "nautical twilight", astronomical: "astronomical twilight", night: "night" };

function lightCell(need, testId) {
  return el("td", { "data-testid": testId, "data-outcome": need.outcome }, outcomeWords(need.outcome, need.was), need.light && el("span", { class: "sub" }, LIGHTS[need.light] || need.light, need.at_utc && ` at ${clockText(need.at_utc)}`), need.reason && el("span", { class: "sub" }, need.reason));
}

/** Wheel-overs that are not by day then, and the cues that are not seen in that light; an unknown time is said. */
function wheelOverCell(plan, one, testId) {
  const told = (one.wheel_overs || []).filter(({ light, reason, lost_cue_ids: lost }) => light !== "day" || reason || lost.length > 0);
  const line = (then) => el("li", { "data-waypoint": then.waypoint_id, "data-light": then.light || "" }, `${waypointName(plan, plan.request.route.waypoints.findIndex(({ id }) => id === then.waypoint_id))}: `,
    then.light ? LIGHTS[then.light] || then.light : el("span", { class: "missing" }, then.reason || "not known"), then.at_utc && ` at ${clockText(then.at_utc)}`, then.light && then.reason && el("span", { class: "missing sub" }, then.reason),
    then.was && then.was !== then.light && el("span", { class: "sub" }, `was: ${LIGHTS[then.was] || then.was}`),
    then.lost_cue_ids.length > 0 && el("strong", { class: "not-met grade-must_explain sub" }, gradeMark("must_explain"), `not seen by eye then: ${then.lost_cue_ids.join(", ")}`));
  return el("td", { "data-testid": testId }, one.reason || !one.wheel_overs ? el("span", { class: "missing" }, one.reason || "not computed") : told.length > 0 ? el("ul", { class: "plain-list" }, told.map(line)) : "none");
}

const STATES = { in_force: "in force", cancelled: "cancelled by then", later: "counts only later", not_known: "not known" };

/** A warning as she passes it: what of it changes with the departure stands out. */
function warningCell(one, testId) {
  const state = one.state === "not_known" ? el("span", { class: "missing" }, STATES[one.state]) : one.was && one.state !== one.was ? el("strong", {}, STATES[one.state]) : STATES[one.state];
  return el("td", { "data-testid": testId, "data-outcome": one.state }, state, one.was && one.state !== one.was && el("span", { class: "sub" }, `was: ${STATES[one.was]}`), one.from_utc && el("span", { class: "sub" }, `there ${clockText(one.from_utc)}${one.to_utc ? ` to ${clockText(one.to_utc)}` : ""}`));
}

function areaCell(one, testId) {
  const edge = (utc, inside, words) => (inside ? words : utc ? clockText(utc) : el("span", { class: "missing" }, one.reason || "not known"));
  return el("td", { "data-testid": testId, "data-enters-utc": one.enters_utc || "", "data-leaves-utc": one.leaves_utc || "" }, edge(one.enters_utc, one.inside_at_start, "inside from the start"), " to ", edge(one.leaves_utc, one.inside_at_end, "inside to the end"));
}

const head = (one, index) => el("th", { scope: "col", "data-testid": `departed-${index}`, "data-utc": one.departure_utc }, index === 0 ? "as planned" : "moved", el("span", { class: "sub" }, `departs ${one.departure_utc ? clockText(one.departure_utc) : "beyond the calendar"}`));

function row(name, all, cell) {
  return el("tr", {}, el("th", { scope: "row" }, name), all.map(cell));
}

/** The first departure that could be re-timed, the plan's own before the others; it says which rows there are. */
const firstTimed = (answer) => [answer.was, ...answer.moved].find(({ reason }) => !reason) || answer.was;

/** Rows of what each departure has in the same order; one that could not be re-timed says why in its first row. */
function rows(plan, answer) {
  const all = [answer.was, ...answer.moved];
  const first = firstTimed(answer);
  const empty = (one) => el("td", { class: "missing" }, one.reason || "not computed");
  return [
    row("Arrives", all, (one, index) => el("td", { "data-testid": `moved-arrival-${index}` }, one.arrival_utc ? el("span", { "data-utc": one.arrival_utc }, clockText(one.arrival_utc)) : el("span", { class: "missing" }, one.reason || "no time is known"), known(one.duration_s) && el("span", { class: "sub" }, spanText(one.duration_s)))),
    first.gates.map((gate, number) => row(gateName(plan, gate), all, (one, index) => (one.gates[number] ? gateCell(one.gates[number], `gate-${number}-${index}`) : empty(one)))),
    first.windows.map((window, number) => row(`Window of arrival at ${waypointName(plan, plan.request.route.waypoints.findIndex(({ id }) => id === window.waypoint_id))}`, all, (one, index) => (one.windows[number] ? windowCell(one.windows[number], `moved-window-${number}-${index}`) : empty(one)))),
    first.daylight.map((need, number) => row(`Daylight at the ${PARTS[need.part]} of ${waypointName(plan, plan.request.route.waypoints.findIndex(({ id }) => id === need.waypoint_id))}: ${need.need}`, all, (one, index) => (one.daylight[number] ? lightCell(one.daylight[number], `moved-daylight-${number}-${index}`) : empty(one)))),
    first.wheel_overs.length > 0 && row("Wheel-overs not by day, or with cues not seen then", all, (one, index) => wheelOverCell(plan, one, `moved-wheel-overs-${index}`)),
    first.warnings.map((warning, number) => row(`Warning ${warning.name}; its danger counts all the same`, all, (one, index) => (one.warnings[number] ? warningCell(one.warnings[number], `moved-warning-${number}-${index}`) : empty(one)))),
    first.areas.map((area, number) => row(`In ${area.name || area.area_id}`, all, (one, index) => (one.areas[number] ? areaCell(one.areas[number], `moved-area-${number}-${index}`) : empty(one)))),
    row("Cannot be done, or is assumed", all, (one, index) => el("td", { "data-testid": `moved-problems-${index}` }, one.problems.length > 0 ? el("ul", { class: "plain-list" }, one.problems.map((problem) => el("li", {}, problem))) : one.reason ? el("span", { class: "missing" }, one.reason) : "nothing found")),
  ];
}

function content({ plan, answer }) {
  const all = [answer.was, ...answer.moved];
  const first = firstTimed(answer);
  const nothing = !first.reason && first.gates.length + first.windows.length + first.daylight.length + first.warnings.length + first.areas.length === 0;
  return [
    tableBox("The plan at other departures, scrolls sideways", el("table", { class: "nearest-table", "data-testid": "departures-table" }, el("caption", {}, "The plan at other departures, beside its own"),
      el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Of"), all.map(head))), el("tbody", {}, rows(plan, answer)))),
    nothing && el("p", { class: "missing" }, "The plan has no window of arrival, no need of daylight, no warning with times or area to know of near its track, and no sum that hangs on a table of tides: there is nothing else that a departure is held against here."),
    el("p", { class: "field-hint" }, answer.note)];
}

export function startDepartures(host) {
  const drawn = el("div", { role: "status", "data-testid": "departures" });
  const field = formField({ id: "departures-text", label: "Move the departure by hours, or to a UTC time", hint: "+5, or several: +5, +6, 2026-11-25 19:00", attributes: { "data-waits": true } });
  let told = null;
  const show = () => {
    const { plan } = state;
    if (told && told.plan !== plan) replace(drawn, el("p", { class: "missing" }, "The plan has changed since this was compared: compare again."));
  };
  const compare = async (event) => {
    event.preventDefault();
    const { error, ...asked } = readDepartures(field.text());
    field.say(error);
    if (error) return;
    const { plan } = state;
    replace(drawn, el("p", {}, "Working"));
    try {
      const answer = await departures.move({ plan: plan.request, ...Object.fromEntries(Object.entries(asked).filter(([, list]) => list.length > 0)) });
      told = { plan, answer };
      replace(drawn, content(told));
      show();
    } catch (refused) {
      replace(drawn);
      field.say([refused.detail || refused.title || refused.message, ...(refused.errors || []).map(({ message }) => message)].filter((words, index, list) => words && list.indexOf(words) === index).join(" "));
    }
  };
  replace(host, el("h3", {}, "Move the departure"), el("form", { class: "strip-form", novalidate: true, "data-testid": "departures-form", on: { submit: compare } },
    el("div", { class: "fields" }, field.node), el("div", { class: "actions" }, el("button", { type: "submit", "data-testid": "departures-compare" }, "Compare"))), drawn);
  watch(["plan"], show);
}
