/** The register of checks: each check of each subject, done or not, with the reason. */

import { el, replace, show, tableBox } from "../dom.js";
import { subjectName } from "../sailing.js";
import { state, watch } from "../state.js";
import { gradeWord } from "./grades.js";
import { paneHead } from "./pane.js";

function row(plan, check) {
  return el("tr", { "data-testid": "check-row", "data-check": check.check, "data-result": check.result },
    el("th", { scope: "row" }, check.title || check.check),
    el("td", { "data-label": "Of" }, subjectName(plan, check.subject)),
    el("td", { "data-label": "Result" }, gradeWord(check.result)),
    el("td", { "data-label": "Reason" }, check.reason || "\u2013"));
}

function table(plan) {
  const heads = ["Check", "Of", "Result", "Reason"];
  return el("table", { class: "checks-table stacks" },
    el("caption", {}, "Every check expected for this plan"),
    el("thead", {}, el("tr", {}, heads.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, plan.answer.checks.rows.map((check) => row(plan, check))));
}

/** The table is long (several rows a leg and turn), so it is built when somebody opens it. */
function foldedTable(plan, open) {
  const { done_count: done, expected_count: expected, rows } = plan.answer.checks;
  const left = rows.filter((check) => check.result === "not_checked").length;
  const place = el("div", {});
  const details = el("details", { "data-testid": "checks-details", open, on: { toggle: () => { if (details.open && !place.firstChild) replace(place, tableBox("Checks, scrolls sideways", table(plan))); } } },
    el("summary", {}, `${done} of ${expected} checks done, ${left} not checked`), place);
  return details;
}

export function startChecks(host) {
  watch(["plan"], () => {
    const { plan } = state;
    show(host, Boolean(plan));
    if (plan) replace(host, paneHead("Checks", "checks-title"), foldedTable(plan, Boolean(host.querySelector("details")?.open)));
  });
}
