/** The turn card: everything about one alteration of course. */

import { cardAddress, planAddress } from "../address.js";
import { bendPart } from "../aids/lines.js";
import { askCard, cardNow, startCardAsking, whyNone } from "../card/asking.js";
import { casesPart } from "../card/cases.js";
import { cuesPart } from "../card/cues.js";
import { turnFacts } from "../card/facts.js";
import { bandLine, methodsStrip, methodsTable, spreadLine, workings } from "../card/methods.js";
import { HULL_KEY } from "../card/hull.js";
import { simulatedPart } from "../card/simulated.js";
import { runPart } from "../card/strips.js";
import { startTrying } from "../card/trying.js";
import { startTryPart } from "../card/try_part.js";
import { planView } from "../card/view.js";
import { windowPart } from "../card/window.js";
import { el, replace, show, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { courseText, decimals, known, metresLeftText, numberText, oneDecimal, sideText } from "../format.js";
import { lineKey, SIMULATED_KEY } from "../map/line_key.js";
import { keepTyped, redraw } from "../redraw.js";
import { dangerName, layerFeatures, subjectItem, waypointName } from "../sailing.js";
import { set, state, watch } from "../state.js";
import { aboutMark } from "./about_mark.js";
import { renew } from "./editor_row.js";
import { gradeWord } from "./grades.js";
import { leastCell, metWord } from "./least.js";
import { turnFields } from "./waypoint_editor.js";

/** Said once, instead of an empty place for each. */
const NOT_YET = "Not computed by this version: the push of wind and waves on the turn, and a current or depth that changes along it.";

const view = { inboundUp: false, row: 0, tableOpen: false };

function stepLink(testId, words, turn) {
  return turn ? el("a", { class: "button", "data-go": true, "data-testid": testId, href: cardAddress(turn.waypoint_id) }, words) : el("span", { class: "button is-off", "aria-disabled": "true" }, words);
}

function head(plan, index) {
  const { turns } = plan.answer;
  const turn = turns[index];
  const change = known(turn.course_change_deg) && [": ", figure(turn.course_change_deg, "deg", (value) => decimals(Math.abs(value), 0)), ` deg ${sideText(turn.side)}, `,
    figure(turn.course_in_deg, "deg T", courseText), " to ", figure(turn.course_out_deg, "deg T", courseText), " T"];
  return el("div", { class: "card-head" },
    el("h2", { id: "turn-card-title", "data-testid": "turn-card-title", tabindex: "-1" }, waypointName(plan, turn.waypoint_index).replace("WPT", "Turn"), change),
    known(turn.speed_kn) && el("p", {}, figure(turn.speed_kn, "kn", oneDecimal, { unitShown: true }), ", ROT ", figure(turn.rate_of_turn_deg_per_min, "deg/min", (value) => oneDecimal(Math.abs(value)), { unitShown: true })),
    el("span", { class: "stale-word pane-stale" }, "stale"),
    el("div", { class: "actions" }, stepLink("card-prev", "Previous turn [", turns[index - 1]), stepLink("card-next", "Next turn ]", turns[index + 1]),
      el("a", { class: "button", "data-go": true, "data-testid": "card-close", href: planAddress() }, "Back to the plan")));
}

const hasSimulated = (plan, index) => layerFeatures(plan, "simulated_track").some((one) => one.properties.index === index);

/** The drawing, and which way is up. */
function drawing(plan, index, redraw) {
  const turn = plan.answer.turns[index];
  const up = view.inboundUp && known(turn.course_in_deg) ? turn.course_in_deg : 0;
  const choice = (inbound, words) => el("button", { type: "button", "data-testid": inbound ? "up-inbound" : "up-north", "aria-pressed": String(view.inboundUp === inbound), on: { click: () => { view.inboundUp = inbound; redraw(); } } }, words);
  return el("section", { class: "pane", "aria-label": "Plan view" },
    el("div", { class: "pane-head" }, el("h3", {}, "Plan view of loaded data. Not a chart."), el("div", { class: "actions", role: "group", "aria-label": "Which way is up" }, choice(false, "North up"), choice(true, "Inbound up"))),
    hasSimulated(plan, index) && lineKey(cardNow()?.run ? [...SIMULATED_KEY, ...HULL_KEY] : SIMULATED_KEY, "card-key"),
    planView(plan, index, up, cardNow()?.run) || el("p", { class: "missing" }, `not drawn: ${turn.reason || "the turn has no courses"}`));
}

/** What was found, and what was not checked, of this turn. */
function findings(plan, index) {
  const isOurs = (one) => { const item = subjectItem(plan, one.subject); return item?.kind === "turn" && item.index === index; };
  const found = plan.answer.findings.filter(isOurs);
  const open = plan.answer.checks.rows.filter((row) => isOurs(row) && row.result === "not_checked");
  return el("section", { class: "pane", "data-testid": "card-findings" }, el("h3", {}, "Findings of this turn"),
    found.length === 0 ? el("p", {}, "None was sent for this turn.") : el("ul", { class: "finding-list" }, found.map((one) => el("li", { class: "finding" }, gradeWord(one.grade), el("span", { class: "message" }, one.message)))),
    el("h3", {}, "Not checked in this turn"),
    open.length === 0 ? el("p", {}, "Every check expected for this turn was done.") : el("ul", { "data-testid": "card-not-checked" }, open.map((row) => el("li", {}, `${row.title || row.check}: ${row.reason || "no reason given"}`))),
    el("p", { class: "gap-line", "data-testid": "card-not-yet" }, NOT_YET));
}

function dangers(plan, index) {
  const rows = plan.answer.clearances.filter(({ piece }) => piece.kind === "turn" && piece.index === index);
  return el("section", { class: "pane" }, el("h3", {}, "Dangers nearest to this turn"),
    el("p", {}, "Least: ", leastCell(plan, "turn", index)),
    rows.length > 0 && tableBox("Dangers nearest to this turn", el("table", { class: "stacks" },
      el("thead", {}, el("tr", {}, ["Danger", "Clearance m", "Side of track", "Result"].map((name) => el("th", { scope: "col" }, name)))),
      el("tbody", {}, rows.map((row) => el("tr", {}, el("th", { scope: "row", "data-label": "Danger" }, dangerName(row)), el("td", { class: "num", "data-label": "Clearance m" }, figure(row.clearance_m, "m", metresLeftText)),
        el("td", { "data-label": "Side of track" }, sideText(row.side)), el("td", { "data-label": "Result" }, metWord(row))))))));
}

function methods(turn) {
  const card = cardNow();
  return el("section", { class: "pane card-methods" }, el("h3", {}, "Wheel-over by each method, cables before the waypoint"),
    methodsStrip(turn, card), spreadLine(turn), methodsTable(turn, card, card ? "no SIM" : whyNone()), bandLine(card));
}

/** A part that only the card knows: an older answer stays on show, marked, until the newer one is here. */
function cardPart(testId, title, write) {
  const { card } = state;
  const answer = state.frozen ? cardNow() : card?.answer;
  const stale = answer && !cardNow();
  return el("div", { "data-state": stale ? "stale" : null }, el("section", { class: "pane", "data-testid": testId }, el("div", { class: "pane-head" }, el("h3", {}, title), el("span", { class: "stale-word pane-stale" }, card?.status === "working" ? "stale, working" : "stale")),
    answer ? write(answer) : el("p", { class: "missing" }, `not computed: ${whyNone()}`)));
}

const notSimulatedLine = (reason) => el("p", { class: "missing" }, `not computed: ${reason || "no reason given"}`);

/** Why the card did not come. That it is asked for is said in its parts: a line here would move all below it. */
function progress() {
  const { card } = state;
  if (card?.status !== "failed") return null;
  const { error } = card;
  return el("div", { class: "problem", "data-testid": "card-failed" }, el("p", { class: "problem-title" }, `Her run, the hull and the window of this turn did not come: ${error.title || "a fault of this page"}`), el("p", {}, error.detail || error.message),
    el("div", { class: "actions" }, el("button", { type: "button", on: { click: () => askCard({ again: true }) } }, "Ask again")));
}

/** The fields stay where they are while values around them change: somebody may be typing in one. */
function showFields(host, id) {
  const waypoint = state.inputs.route.waypoints.find((one) => one.id === id);
  if (!waypoint || state.frozen) { replace(host); return; }
  const copy = el("section", { class: "pane", "data-fields": id }, el("h3", {}, "Plan this turn"), turnFields(waypoint));
  const old = host.firstElementChild;
  if (old?.dataset.fields === id) renew(old, copy); else replace(host, copy);
}

export function startTurnCard(host) {
  const [top, asked, fields, trial, cases, mark] = Array.from({ length: 6 }, () => el("div", {}));
  const [left, right] = [el("div", { class: "card-column" }), el("div", { class: "card-column" })];
  asked.setAttribute("role", "status");
  replace(host, top, asked, el("div", { class: "card-grid" }, left, el("div", { class: "card-column" }, fields, trial, cases, right, mark)));
  startCardAsking();
  startTrying();
  startTryPart(trial);
  let shown = null;
  /** What changes when the card comes; the heading, where the focus may be, stays as it is. */
  const renderCard = () => {
    const index = state.plan && state.turnCard ? state.plan.answer.turns.findIndex((turn) => turn.waypoint_id === state.turnCard) : -1;
    if (index < 0) return;
    const turn = state.plan.answer.turns[index];
    redraw(asked, progress());
    keepTyped(left, () => replace(left, drawing(state.plan, index, renderCard), methods(turn), cardPart("window-part", "Window of the wheel-over", (card) => (card.reason ? notSimulatedLine(card.reason) : windowPart(card))),
      cardPart("run-part", "Her run, against the way to go", (card) => (card.run ? runPart(turn, card, view) : notSimulatedLine(card.run_reason ?? card.reason))), simulatedPart(turn), cuesPart(turn), bendPart(turn), findings(state.plan, index)));
  };
  const render = () => {
    const { plan, turnCard, inputs } = state;
    if (!turnCard || !inputs) {
      shown = null;
      [top, asked, fields, cases, mark, left, right].forEach((one) => replace(one)); // its fields have the names of the row's
      return;
    }
    const index = plan ? plan.answer.turns.findIndex((turn) => turn.waypoint_id === turnCard) : -1;
    const held = top.contains(document.activeElement);
    if (index < 0) {
      const number = inputs.route.waypoints.findIndex((waypoint) => waypoint.id === turnCard);
      replace(top, el("p", { "data-testid": "no-turn" }, plan ? `There is no turn at ${number < 0 ? turnCard : `WPT ${numberText(number)} (${turnCard})`}: a turn needs a leg on both sides. ` : "Working: the plan is being computed. ", el("a", { "data-go": true, href: planAddress() }, "Back to the plan")));
      [asked, fields, cases, mark, left, right].forEach((one) => replace(one));
      return;
    }
    const turn = plan.answer.turns[index];
    keepTyped(top, () => replace(top, head(plan, index)));
    showFields(fields, turnCard);
    show(trial, !state.frozen);
    if (state.frozen) replace(mark);
    else if (mark.firstElementChild?.dataset.markOf !== turnCard) replace(mark, aboutMark(turnCard));
    renderCard();
    replace(cases, casesPart());
    replace(right, el("section", { class: "pane" }, el("h3", {}, "The turn"), turn.reason && el("p", { class: "missing" }, `No circle: ${turn.reason}`), turnFacts(turn)),
      el("section", { class: "pane" }, workings(turn) || el("p", { class: "missing" }, "No working was sent with this turn.")), dangers(plan, index));
    if (!held && shown !== turnCard) queueMicrotask(() => top.querySelector("h2")?.focus({ preventScroll: true })); // the card is shown first
    shown = turnCard;
  };
  watch(["turnCard"], () => { if (state.turnCard && state.editing) set({ editing: null }); });
  watch(["plan", "turnCard", "draft", "frozen", "fieldErrors"], render);
  watch(["card"], renderCard);
  watch(["inputs"], () => replace(cases, state.plan && state.turnCard && state.inputs ? casesPart() : null));
}
