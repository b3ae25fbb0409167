/** Findings: grade, subject, sentence. A filter never hides a count. */

import { el, replace, show } from "../dom.js";
import { figure } from "../figures.js";
import { countText, known, plainText } from "../format.js";
import { pager, pageRows } from "../paging.js";
import { redraw } from "../redraw.js";
import { sailingPlace, subjectItem, subjectName } from "../sailing.js";
import { sameItem, select, state, watch } from "../state.js";
import { findingAnchor, GRADES, gradeCounts, gradeMark, gradeWord, GRADE_WORDS } from "./grades.js";
import { explainedPart, startExplaining } from "./explanations.js";
import { commentButton } from "../threads/comment_button.js";
import { paneHead } from "./pane.js";

const view = { order: "grade", shown: new Set(GRADES), page: 0 };

/** Findings in the order asked for; equal ones keep the order of the service. */
function ordered(plan) {
  const place = (finding) => sailingPlace(plan, finding.subject);
  const grade = (finding) => GRADES.indexOf(finding.grade);
  const bySailing = (a, b) => (place(a) === place(b) ? 0 : place(a) - place(b));
  const byGrade = (a, b) => grade(a) - grade(b) || bySailing(a, b);
  return [...plan.answer.findings].sort(view.order === "grade" ? byGrade : bySailing);
}

/** What was measured and the limit, each with its unit. */
function numbers(finding) {
  const { measured, limit, unit } = finding;
  const places = known(measured) && known(limit) && measured !== limit && Math.abs(measured - limit) < 0.01 ? 6 : 2;
  const write = (value) => plainText(value, places);
  const number = (value) => (unit ? figure(value, unit, write, { unitShown: true }) : write(value));
  const parts = [known(measured) && ["found ", number(measured)], known(limit) && ["limit ", number(limit)]].filter(Boolean);
  return parts.length > 0 && el("span", { class: "sub" }, parts[0], parts[1] && [", ", parts[1]]);
}

function findingRow(plan, finding) {
  const item = subjectItem(plan, finding.subject);
  const name = subjectName(plan, finding.subject);
  return el("li", {
    class: sameItem(item, state.selected) ? "finding is-selected" : "finding", id: findingAnchor(finding), tabindex: "-1",
    "data-testid": "finding", "data-finding-id": finding.id, "data-code": finding.code, "data-grade": finding.grade,
  },
    gradeWord(finding.grade),
    item ? el("button", { type: "button", class: "linkish subject", on: { click: () => select(item, "findings") } }, name) : el("span", { class: "subject" }, name),
    el("span", { class: "message" }, finding.message, numbers(finding)),
    el("div", { class: "finding-acts" }, explainedPart(finding, name), state.frozen && commentButton("finding", finding.id, `the finding on ${name}`)));
}

/** The filter: one pressable count for each grade. */
function filter(counts, again) {
  return el("div", { class: "filter", role: "group", "aria-label": "Show grades" }, GRADES.map((grade) => el("button", {
    type: "button", "aria-pressed": String(view.shown.has(grade)), "data-testid": `filter-${grade}`,
    on: { click: () => { if (!view.shown.delete(grade)) view.shown.add(grade); again(); } },
  }, gradeMark(grade), `${counts[grade]} ${GRADE_WORDS[grade]}`)));
}

function order(again) {
  const choice = (key, label) => el("label", { class: "choice" },
    el("input", { type: "radio", name: "finding-order", value: key, checked: view.order === key, "data-testid": `order-${key}`, on: { change: () => { view.order = key; again(); } } }), label);
  return el("div", { class: "order", role: "radiogroup", "aria-label": "Order of findings" }, el("span", {}, "by:"), choice("sailing", "sailing order"), choice("grade", "grade"));
}

function list(plan, again) {
  const all = ordered(plan);
  const shown = all.filter((finding) => view.shown.has(finding.grade));
  const hidden = all.length - shown.length;
  const { page, rows } = pageRows(shown, view.page);
  view.page = page;
  return [
    hidden > 0 && el("p", { class: "gap-line", "data-testid": "findings-hidden" }, `${countText(hidden, "finding")} hidden by the choice above.`),
    all.length === 0 && el("p", {}, "No findings were sent. What was not checked stands under Checks."),
    pager(shown.length, page, "findings", (to) => { view.page = to; again(); }),
    el("ul", { class: "finding-list" }, rows.map((finding) => findingRow(plan, finding))),
  ];
}

function render(host, drawn) {
  const { plan } = state;
  show(host, Boolean(plan));
  if (!plan) return;
  const again = () => render(host, drawn);
  redraw(drawn, el("div", { class: "finding-tools" }, filter(gradeCounts(plan.answer.findings), again), order(again)), list(plan, again));
}

function markSelected(host) {
  const { plan, selected } = state;
  if (!plan) return;
  const byId = new Map(plan.answer.findings.map((finding) => [finding.id, finding]));
  host.querySelectorAll(".finding").forEach((row) => {
    const finding = byId.get(row.dataset.findingId);
    row.classList.toggle("is-selected", sameItem(subjectItem(plan, finding?.subject), selected));
  });
}

export function startFindings(host) {
  const [place, drawn] = [el("div", {}), el("div", {})];
  replace(host, paneHead("Findings", "findings-title"), place, drawn);
  watch(["plan", "record", "explanations"], () => render(host, drawn));
  startExplaining(place);
  watch(["selected"], () => markSelected(host));
}
