/** The rules of the limit set: each met, missed, waived or not checked, where and by how much; waivers with name, rank and reason. */

import { el, replace, show, tableBox } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { figure } from "../figures.js";
import { countText, known, plainText } from "../format.js";
import { ruleWords } from "../limits/words.js";
import { redraw } from "../redraw.js";
import { subjectItem, subjectName } from "../sailing.js";
import { select, set, state, watch } from "../state.js";
import { gradeMark } from "./grades.js";
import { paneHead } from "./pane.js";
import { waiverForm } from "./waiver_form.js";

const HEADS = ["Rule", "Water", "Asked", "Result", "Where missed"];
const RESULTS = { met: null, missed: "must_resolve", waived: "must_explain", not_checked: "not_checked" };
const WORDS = { met: "met", missed: "MISSED", waived: "WAIVED", not_checked: "not checked" };
const MOST_MISSES = 20;

const view = { shown: new Set(Object.keys(WORDS)) };

const number = (value) => plainText(value, 2);
const asked = (value, unit) => (unit ? figure(value, unit, number, { unitShown: true }) : number(value));

function waiverWords({ by, reason, at_utc: at }) {
  return el("span", { class: "sub" }, `waived by ${[by.name, by.rank].filter(Boolean).join(", ")}${at ? `, ${at.slice(0, 16).replace("T", " ")}Z` : ""}: `, el("q", {}, reason));
}

function missRow(plan, rule, miss) {
  const item = miss.hazard_id ? { kind: "hazard", id: miss.hazard_id } : subjectItem(plan, miss.subject);
  const name = [subjectName(plan, miss.subject), miss.hazard_id && subjectName(plan, { kind: "hazard", id: miss.hazard_id })].filter(Boolean).join(", ");
  return el("li", { "data-testid": "rule-miss" },
    item ? el("button", { type: "button", class: "linkish", on: { click: () => select(item, "rules") } }, name) : name,
    known(miss.measured) && el("span", { class: "sub" }, "found ", asked(miss.measured, rule.unit)),
    miss.waiver ? waiverWords(miss.waiver) : !state.frozen && el("button", { type: "button", "data-testid": `waive-${miss.finding_id}`, on: { click: () => set({ waiving: { rule: rule.id, words: ruleWords(rule), name, subject: miss.subject, hazardId: miss.hazard_id } }) } }, "Waive here"));
}

function row(plan, rule) {
  const grade = RESULTS[rule.result];
  return el("tr", { "data-testid": `rule-${rule.id}`, "data-result": rule.result },
    el("th", { scope: "row" }, ruleWords(rule)), el("td", { "data-label": HEADS[1] }, rule.water), el("td", { class: "num", "data-label": HEADS[2] }, asked(rule.asked, rule.unit)),
    el("td", { "data-label": HEADS[3] }, el("span", { class: grade ? `grade-word grade-${grade}` : "" }, grade && gradeMark(grade), WORDS[rule.result]), rule.reason && el("span", { class: "sub" }, rule.reason)),
    el("td", { "data-label": HEADS[4] }, rule.misses.length === 0 ? "nowhere found" : el("ul", { class: "plain-list" }, rule.misses.slice(0, MOST_MISSES).map((miss) => missRow(plan, rule, miss))),
      rule.misses.length > MOST_MISSES && el("p", {}, `${rule.misses.length - MOST_MISSES} more; each is a finding.`)));
}

function filter(rules) {
  return el("div", { class: "filter", role: "group", "aria-label": "Show rules" }, Object.entries(WORDS).map(([result, words]) => el("button", {
    type: "button", "aria-pressed": String(view.shown.has(result)), "data-testid": `rules-${result}`,
    on: { click: () => { if (!view.shown.delete(result)) view.shown.add(result); again(); } },
  }, RESULTS[result] && gradeMark(RESULTS[result]), `${rules.filter((one) => one.result === result).length} ${words}`)));
}

function placeWords(plan, { subject, danger_id: danger }) {
  const legs = plan.request.route.waypoints;
  const index = subject ? legs.findIndex((one) => one.id === subject.id) : -1;
  const place = subject ? `${subject.kind} ${subject.kind === "leg" ? "to" : "at"} WPT ${index < 0 ? subject.id : String(index + 1).padStart(2, "0")}` : "the whole plan";
  return danger ? `${place}, danger ${danger}` : place;
}

/** Every waiver of the plan, used or not. */
function waiverList(plan) {
  const waivers = state.inputs?.waivers || plan.request.waivers || [];
  return waivers.length > 0 && el("div", { "data-testid": "waivers" }, el("h3", {}, "Waivers"), el("ul", { class: "plain-list" }, waivers.map((one, index) => el("li", { class: "loaded", "data-testid": `waiver-${index}` },
    el("span", {}, el("strong", {}, one.rule), `, ${placeWords(plan, one)}. `, waiverWords(one)),
    !state.frozen && el("button", { type: "button", "data-testid": `waiver-drop-${index}`, on: { click: () => edit((inputs) => { const left = inputs.waivers.filter((_, i) => i !== index); return setTop({ waivers: left.length > 0 ? left : undefined })(inputs); }) } }, "Take this waiver back")))));
}

let again = () => {};

function content(plan) {
  const { rules = [], limit_set: limitSet } = plan.answer;
  const shown = rules.filter((one) => view.shown.has(one.result));
  return [
    limitSet && el("p", { class: "gap-line", "data-testid": "rules-set" }, `Limit set ${limitSet.name}${limitSet.edition ? `, edition ${limitSet.edition}` : ", given with the plan"}. Rules of the kinds of water that the legs lead through.`),
    filter(rules), shown.length < rules.length && el("p", { class: "gap-line" }, `${countText(rules.length - shown.length, "rule")} hidden by the choice above.`),
    rules.length === 0 && el("p", { class: "missing" }, "No rule counts: no leg says in which kind of water it lies, or the set asks nothing there."),
    shown.length > 0 && tableBox("Rules, scrolls sideways", el("table", { class: "checks-table stacks", "data-testid": "rules-table" }, el("caption", {}, "Each rule, and where it is missed"),
      el("thead", {}, el("tr", {}, HEADS.map((head) => el("th", { scope: "col" }, head)))), el("tbody", {}, shown.map((one) => row(plan, one))))),
    waiverList(plan),
  ];
}

/** The form stands apart from what is drawn anew, so that nothing typed in it is lost. */
function form() {
  const { waiving } = state;
  if (!waiving) return null;
  const { rule, words, name, subject, hazardId } = waiving;
  const id = subject.kind === "leg" ? state.plan.answer.legs[subject.index]?.to_id : state.plan.answer.turns[subject.index]?.waypoint_id;
  const placed = ["leg", "turn"].includes(subject.kind) && id !== undefined;
  const take = (given) => {
    const one = { id: `waiver-${crypto.getRandomValues(new Uint32Array(1))[0].toString(16)}`, rule, ...(placed && { subject: { kind: subject.kind, id } }), ...(hazardId && { danger_id: hazardId }), ...given };
    edit((inputs) => setTop({ waivers: [...(inputs.waivers || []), one] })(inputs));
    set({ waiving: null });
  };
  return waiverForm({ id: "waiver", heading: `Waive: ${words}`, lead: `On ${name}. The miss keeps its place and wants an explanation; the waiver stands beside it, on paper too.`, act: "Record this waiver", take, leave: () => set({ waiving: null }) });
}

export function startRules(host) {
  const [place, drawn] = [el("div", {}), el("div", {})];
  replace(host, paneHead("Rules of the limit set", "rules-title"), place, drawn);
  again = () => {
    const { plan } = state;
    const any = Boolean(plan && (plan.answer.limit_set || plan.request.waivers?.length > 0));
    show(host, any);
    if (any) redraw(drawn, content(plan));
  };
  watch(["plan", "inputs", "frozen"], () => again());
  watch(["waiving"], () => { replace(place, form()); place.querySelector("textarea")?.focus(); });
  watch(["place"], () => { if (state.waiving) set({ waiving: null }); });
}
