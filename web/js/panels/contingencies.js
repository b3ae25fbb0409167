/** Contingencies: an anchorage, an alternative, a refuge or another berth, each with a route of its own that is checked like the main one. */

import { positions } from "../api.js";
import { button, dropRow, legOptions, legWords, newRowId, putRow, refusedOf, said } from "../bridge/rows.js";
import { CONTINGENCY_KINDS, wordsOf } from "../bridge/words.js";
import { el, replace } from "../dom.js";
import { figure } from "../figures.js";
import { countText, dateText, known, metresLeftText, metresNeededText, nmEarlyText, nmText, oneDecimal, positionText } from "../format.js";
import { choiceField, formField, formMessage } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";

const linesOf = (text) => text.split(/\r?\n/).map((one) => one.trim()).filter(Boolean);
const textOf = (route) => route.waypoints.map(positionText).join("\n");

/** The waypoints of typed lines as the service reads them: {waypoints} or {error} that names the line. */
async function readLines(text, id) {
  const waypoints = [];
  for (const [index, line] of linesOf(text).entries()) {
    try {
      const { position } = await positions.read(line);
      waypoints.push({ id: `${id}-${index + 1}`, lat_deg: position.lat_deg, lon_deg: position.lon_deg });
    } catch (error) {
      if (error.status === undefined && !error.unreachable) throw error;
      return { error: `Line ${index + 1}: ${error.errors?.[0]?.message || error.message}` };
    }
  }
  return waypoints.length < 2 ? { error: "Two positions are needed at least, a line for each." } : { waypoints };
}

/** A route as it was, where its positions were not changed; so its speeds, radii and wishes stay. */
const sameLines = (route, text) => route && textOf(route) === linesOf(text).join("\n");

function form(host) {
  const kind = choiceField({ id: "contingency-kind", label: "Kind" });
  const from = choiceField({ id: "contingency-from", label: "Leaves from" });
  const name = formField({ id: "contingency-name", label: "Name" });
  const copy = choiceField({ id: "contingency-copy", label: "Route as of", hint: "or type and draw it below" });
  const lines = formField({ id: "contingency-lines", label: "Its waypoints: a position on each line, the first on the leg it leaves", area: true, attributes: { rows: 5 } });
  const remark = formField({ id: "contingency-remark", label: "Remark", wide: true });
  const message = formMessage("contingency-refused");
  const act = el("button", { type: "submit", "data-testid": "contingency-take" }, "Add this contingency");
  const draw = button("contingency-draw", "Draw it on the Plot", () => {
    const begin = state.picking !== "contingency";
    set({ picking: begin && "contingency" });
    if (begin) document.getElementById("plot").scrollIntoView({ block: "nearest" });
  });
  let [changing, kept] = [null, null];
  kind.fill(CONTINGENCY_KINDS);
  const clear = () => { [changing, kept] = [null, null]; [name, lines, remark].forEach((one) => { one.input.value = ""; one.say(null); }); copy.input.value = ""; act.textContent = "Add this contingency"; set({ picking: false }); };
  copy.input.addEventListener("change", () => {
    kept = state.inputs.alternatives?.find((one) => one.id === copy.text())?.route ?? null;
    if (kept) lines.input.value = textOf(kept);
  });
  const take = async (event) => {
    event.preventDefault();
    name.say(name.text() ? null : "A name is needed.");
    from.say(from.text() ? null : "A leg is needed.");
    if (!name.text() || !from.text()) return;
    const id = changing ?? newRowId("contingencies", kind.text());
    const read = sameLines(kept, lines.input.value) ? { waypoints: kept.waypoints } : await readLines(lines.input.value, id);
    lines.say(read.error);
    if (read.error) return;
    putRow("contingencies", said({ id, kind: kind.text(), from_id: from.text(), route: { name: name.text(), waypoints: read.waypoints }, remark: remark.text() }));
    clear();
  };
  replace(host, el("form", { class: "strip-form", novalidate: true, "data-testid": "contingency-form", on: { submit: take } },
    el("div", { class: "fields" }, [kind, from, name, copy, lines, remark].map(({ node }) => node)), message.node, el("div", { class: "actions" }, draw, act)));
  watch(["inputs"], () => {
    if (!state.inputs) return;
    from.fill(legOptions("choose a leg"));
    copy.fill([["", "no route yet"], ...(state.inputs.alternatives || []).map((one) => [one.id, `alternative ${one.route.name}`])]);
  });
  watch(["fieldErrors"], () => message.say(refusedOf("contingencies", "Contingency")));
  watch(["picking"], () => { draw.textContent = state.picking === "contingency" ? "Leave the Plot" : "Draw it on the Plot"; });
  let drawing = false;
  watch(["picking", "picked"], () => {
    if (state.picking === "contingency") { drawing = true; return; }
    if (!drawing) return;
    drawing = false;
    if (!state.picked || state.openPanel !== "contingencies") return;
    lines.input.value = [...linesOf(lines.input.value), positionText(state.picked)].join("\n");
    setTimeout(() => set({ picked: null, picking: "contingency" })); // the next press puts the next waypoint
  });
  document.addEventListener("keydown", (event) => { if (state.picking === "contingency" && event.key === "Escape") { drawing = false; set({ picking: false }); draw.focus(); } });
  return (id) => {
    const one = state.inputs.contingencies.find((row) => row.id === id);
    [changing, kept] = [id, one.route];
    kind.input.value = one.kind;
    from.input.value = one.from_id;
    name.input.value = one.route.name;
    lines.input.value = textOf(one.route);
    remark.input.value = one.remark ?? "";
    act.textContent = "Put the changed contingency in its place";
    name.input.focus();
  };
}

const COUNTED = [["must_resolve", "must resolve"], ["must_explain", "must explain"], ["note", "note"], ["not_checked", "not checked"]];

const CLEARANCES = ["leg_clearance", "turn_clearance"];

/** Why no least clearance stands there: nothing loaded at all was never looked at; else what was left out is said beside it. */
function noClearance(checks) {
  const open = checks.rows.filter(({ check, result }) => result === "not_checked" && CLEARANCES.includes(check)).map(({ reason, title }) => reason || title);
  const reasons = [...new Set(open)];
  const nothing = checks.rows.some(({ check, reason }) => CLEARANCES.includes(check) && reason === "no dangers are loaded");
  if (nothing) return "not checked: no dangers are loaded";
  return reasons.length === 0 ? "none of the loaded dangers is near" : `none of the loaded dangers is near; not checked in full: ${reasons.join("; ")}`;
}

/** A least clearance, or why none stands there. */
const clearance = (value, none) => (known(value) ? figure(value, "m", metresLeftText, { unitShown: true }) : el("span", { class: "missing", "data-state": "missing" }, none));

/** The turn from the planned track onto its first leg; ``none`` says why no clearance stands there. */
function leavingOf(id, one, none) {
  if (one.reason !== null || !one.turn) return el("p", { class: "missing", "data-testid": `contingency-leaving-${id}` }, `Turn onto its first leg not computed: ${one.reason || "no turn stands there"}.`, one.notes.map((words) => ` ${words[0].toUpperCase()}${words.slice(1)}.`));
  const least = one.turn.least_clearance;
  return el("p", { "data-testid": `contingency-leaving-${id}` }, "Turn onto its first leg: ", figure(Math.abs(one.turn.course_change_deg), "deg", oneDecimal, { unitShown: true }), ` to ${one.turn.side}, wheel-over `, figure(one.wheel_over_m, "m", metresNeededText, { unitShown: true }), " before the place of leaving",
    known(one.late_m) ? [": ", el("strong", {}, "past "), figure(one.late_m, "m", metresNeededText, { unitShown: true }), " before she steadies on the leg"] : one.decide && [". Decide by ", figure(one.decide.before_nm, "NM", nmEarlyText, { unitShown: true }), ` before ${one.decide.leg_to_id}`, one.decide.at_utc && `, ${dateText(one.decide.at_utc)}`],
    ". Least clearance in it ", clearance(least?.clearance_m, none), ".",
    one.notes.map((words) => el("span", { class: "field-hint" }, ` ${words[0].toUpperCase()}${words.slice(1)}.`)),
    one.not_checked.length > 0 && el("details", {}, el("summary", {}, `Not checked of this turn: ${one.not_checked.length}`), el("ul", {}, one.not_checked.map((words) => el("li", {}, words)))));
}

/** What the plan on show says of a contingency. */
function resultOf(id) {
  const one = state.plan?.answer.contingencies?.find((row) => row.id === id);
  if (!one) return el("p", { class: "missing" }, "working");
  const worst = [...one.plan.findings, ...one.leaving.findings].filter(({ grade }) => grade === "must_resolve" || grade === "must_explain");
  const none = noClearance(one.plan.checks);
  return el("div", {},
    el("p", {}, "Length ", figure(one.distance_nm, "NM", nmText, { unitShown: true, reason: "a leg has no length" }), ", least clearance ", clearance(one.least_clearance_m, none), ". Findings: ",
      COUNTED.map(([grade, words], index) => [index > 0 && ", ", el("span", { "data-grade-count": grade, "data-value": one.findings_count[grade], "data-unit": "count" }, `${one.findings_count[grade]} ${words}`)]), "."),
    one.leaves && el("p", {}, `Leaves ${legWords(one.leaves.leg_to_id)}, `, figure(one.leaves.before_nm, "NM", nmText, { unitShown: true }), " before its end", one.leaves.at_utc && `, ${dateText(one.leaves.at_utc)}`, known(one.off_track_nm) && one.off_track_nm >= 0.005 && [", ", figure(one.off_track_nm, "NM", nmText, { unitShown: true }), ` to ${one.off_track_side} of it`], "."),
    leavingOf(id, one.leaving, none),
    worst.length > 0 && el("ul", { class: "plain-list" }, worst.map(({ grade, message }) => el("li", {}, el("strong", {}, grade === "must_resolve" ? "Must resolve: " : "Must explain: "), message))),
    el("details", {}, el("summary", {}, `Not checked: ${one.not_checked.length}`), el("ul", {}, one.not_checked.map((words) => el("li", {}, words)))),
    one.notes.map((words) => el("p", { class: "field-hint" }, words)));
}

function list(change) {
  const rows = state.inputs?.contingencies || [];
  if (rows.length === 0) return el("p", { class: "missing", "data-testid": "contingencies-none" }, "No contingency is given: no anchorage, alternative or refuge.");
  return el("ul", { class: "alternatives" }, rows.map((one) => el("li", { class: "alternative", "data-testid": `contingency-${one.id}` },
    el("p", {}, el("strong", {}, one.route.name), `, ${wordsOf(CONTINGENCY_KINDS, one.kind)}, leaves from ${legWords(one.from_id)}, ${countText(one.route.waypoints.length, "waypoint")}`, one.remark && `. ${one.remark}`),
    resultOf(one.id),
    el("div", { class: "actions" }, button(`contingency-change-${one.id}`, "Change it", () => change(one.id)), button(`contingency-drop-${one.id}`, "Take it away", () => dropRow("contingencies", one.id))))));
}

export function startContingencies(host) {
  const [rows, formHost] = [el("div", {}), el("div", {})];
  const change = form(formHost);
  replace(host, el("h2", {}, "Contingencies"), el("p", { class: "panel-lead" }, "Where she goes if the plan is given up. Each has a route of its own, held against the same dangers, charts, depths and land as the main one; its findings count here and in the findings of the plan."), rows, formHost);
  watch(["inputs", "plan"], () => redraw(rows, list(change)));
}
