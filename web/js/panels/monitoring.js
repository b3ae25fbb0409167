/** Monitoring: what the bridge team does on each leg, one leg at a time or many at once, and how often each leg wants a fix. */

import { startPoints } from "../bridge/points_part.js";
import { METHODS, STAGES, withNone } from "../bridge/words.js";
import { el, replace, tableBox } from "../dom.js";
import { setOnLegs } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { readNumber } from "../fields.js";
import { figure } from "../figures.js";
import { decimals, known, metresInNm, numberText, oneDecimal, secondsText } from "../format.js";
import { choiceField, formField, formMessage } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";
import { legTable } from "./leg_table.js";

const words = (text) => ({ value: text.trim() || undefined });
const [TEAM, FIXING] = [["monitoring"], ["monitoring", "fixing"]];

const COLUMNS = [
  { part: TEAM, member: "stage", label: "Stage", options: withNone(STAGES) },
  { part: FIXING, member: "primary", label: "Primary fixing", options: withNone(METHODS) },
  { part: FIXING, member: "secondary", label: "Secondary fixing", options: withNone(METHODS) },
  { part: FIXING, member: "interval_min", label: "Interval", unit: "min" },
  { part: TEAM, member: "watch", label: "Watch condition", reader: words },
  { part: TEAM, member: "call_master", label: "Call the master", reader: words },
  { part: TEAM, member: "machinery", label: "Machinery and notice", reader: words },
  { part: TEAM, member: "pilot", label: "Pilot", reader: words },
  { part: TEAM, member: "tugs", label: "Tugs", reader: words },
  { part: TEAM, member: "notes", label: "Notes", reader: words },
];

const legWords = (index) => `leg ${numberText(index - 1)}-${numberText(index)}`;

/** One value for many legs, in one step. */
function manyForm(host) {
  const what = choiceField({ id: "monitoring-many-what", label: "What" });
  const chosen = choiceField({ id: "monitoring-many-choice", label: "Value" });
  const typed = formField({ id: "monitoring-many-text", label: "Value", hint: "empty takes it out" });
  const from = choiceField({ id: "monitoring-many-from", label: "From" });
  const to = choiceField({ id: "monitoring-many-to", label: "To" });
  const message = formMessage("monitoring-many-refused");
  what.fill(COLUMNS.map(({ member, label, unit }) => [member, unit ? `${label} ${unit}` : label]));
  const column = () => COLUMNS.find(({ member }) => member === what.text());
  const dress = () => {
    const { options } = column();
    chosen.node.hidden = !options;
    typed.node.hidden = Boolean(options);
    if (options) chosen.fill(options);
  };
  what.input.addEventListener("change", dress);
  const take = (event) => {
    event.preventDefault();
    const { part, member, options, unit, reader = (text) => readNumber(text, unit) } = column();
    const { value, error } = options ? { value: chosen.text() || undefined } : reader(typed.text());
    typed.say(error);
    const [first, last] = [Number(from.text()), Number(to.text())];
    message.say(first > last ? "The first leg comes after the last." : null);
    if (error || first > last) return;
    edit(setOnLegs(state.inputs.route.waypoints.slice(first, last + 1).map(({ id }) => id), [...part, member], value));
  };
  replace(host, el("form", { class: "strip-form", novalidate: true, "data-testid": "monitoring-many", on: { submit: take } },
    el("h3", {}, "One value for many legs"), el("div", { class: "fields" }, what.node, chosen.node, typed.node, from.node, to.node), message.node,
    el("div", { class: "actions" }, el("button", { type: "submit", "data-testid": "monitoring-many-take" }, "Set it on these legs"))));
  dress();
  watch(["inputs"], () => {
    if (!state.inputs) return;
    const legs = state.inputs.route.waypoints.map((_, index) => [String(index), legWords(index)]).slice(1);
    from.fill(legs);
    to.fill(legs);
    if (to.input.dataset.count !== String(legs.length)) { to.input.value = String(legs.length); to.input.dataset.count = String(legs.length); }
  });
  watch(["fieldErrors"], () => {
    const found = [...state.fieldErrors].filter(([pointer]) => /^\/route\/waypoints\/\d+\/leg\/monitoring/.test(pointer)).map(([pointer, text]) => `${legWords(Number(pointer.split("/")[3]))}: ${text}`);
    message.say(found.join(" ") || null);
  });
}

/** What she could reach first from a leg, in words with its numbers. */
function reachedCell({ reaches: one, searched_nm: searched, reason }) {
  if (!one) return known(searched) ? ["nothing loaded within ", figure(searched, "NM", oneDecimal, { unitShown: true })] : reason ?? "not known";
  const name = one.what === "coastline" ? "the coastline" : one.hazard_name ?? one.hazard_id;
  return [`${name}, `, el("span", { class: "figure-unit" }, el("span", { class: "figure", "data-value": one.clearance_m, "data-unit": "m" }, decimals(Math.floor(metresInNm(one.clearance_m) * 100 + 1e-9) / 100, 2)), "\u00a0NM"), one.side ? ` to ${one.side}` : "", known(one.xtd_nm) ? [", limit ", figure(one.xtd_nm, "NM", (value) => decimals(value, 2), { unitShown: true })] : ", no limit given"];
}

function fixingRow(leg, index) {
  const { fixing, missing } = leg.monitoring;
  const judged = fixing.in_time === null ? "not checked" : fixing.in_time ? "in time for what is loaded" : "too long";
  return el("tr", { "data-testid": `fixing-${index}`, "data-in-time": String(fixing.in_time) },
    el("th", { scope: "row" }, legWords(index + 1)),
    el("td", { "data-label": "Speed over the ground kn" }, figure(fixing.speed_over_ground_kn, "kn", oneDecimal, { reason: fixing.reason })),
    el("td", { "data-label": "Nearest" }, reachedCell(fixing)),
    el("td", { "data-label": "Fix within s" }, figure(fixing.longest_interval_s, "s", secondsText, { reason: fixing.reason })),
    el("td", { "data-label": "Interval min" }, known(fixing.interval_min) ? figure(fixing.interval_min, "min", String) : "not said"),
    el("td", { "data-label": "Judged" }, judged),
    el("td", { "data-label": "Working" }, [...fixing.working, ...fixing.notes].map((line) => el("div", {}, line))),
    el("td", { "data-label": "Asked for" }, missing.length > 0 ? missing.join(", ") : "nothing more"));
}

function fixingTable() {
  const { answer } = state.plan || {};
  if (!answer) return el("p", { class: "gap-line" }, "Nothing is computed yet.");
  const heads = ["Leg", "Speed over the ground kn", "Nearest", "Fix within s", "Interval min", "Judged", "Working", "Asked for"];
  return [el("p", { class: "panel-lead", "data-testid": "fixing-rule" }, answer.fixing_rule),
    tableBox("How often each leg wants a fix, scrolls sideways", el("table", { class: "stacks", "data-testid": "fixing-table" },
      el("caption", {}, "How often each leg wants a fix"),
      el("thead", {}, el("tr", {}, heads.map((one) => el("th", { scope: "col" }, one)))),
      el("tbody", {}, answer.legs.map(fixingRow))))];
}

export function startMonitoring(host) {
  const [legs, many, fixing, points] = Array.from({ length: 4 }, () => el("div", {}));
  manyForm(many);
  startPoints(points);
  replace(host, el("h2", {}, "Monitoring"), el("p", { class: "panel-lead" }, "What nobody has said of a leg is asked for, and reads not checked; nothing is filled in."), legs, many, fixing, points);
  watch(["inputs", "fieldErrors"], () => { if (state.inputs) redraw(legs, legTable("The bridge team on each leg", "leg-monitoring", COLUMNS)); });
  watch(["plan"], () => redraw(fixing, fixingTable()));
}
