/** The Desk: every plan in use first, then the others, last changed first, each with whom it waits on; and the ways to begin another. */

import { revisionAddress } from "../address.js";
import { el, replace, show, tableBox } from "../dom.js";
import { plansWithEdits } from "../draft/kept.js";
import { listPlans } from "../draft/open.js";
import { countText, dateText } from "../format.js";
import { newestOf, stateWords, waitingOn } from "../record/words.js";
import { state, watch } from "../state.js";
import { problemBox } from "./problem.js";

const HEADS = ["Plan", "State", "Waiting on", "Newest revision", "Changed UTC", "Waypoints"];

const planAddress = (id) => `/plans/${encodeURIComponent(id)}`;

function newestLink(plan) {
  const newest = newestOf(plan);
  return newest === 0 ? "none" : el("a", { href: revisionAddress(plan.id, newest), "data-go": true, "data-testid": `newest-${plan.id}` }, `r${newest}`);
}

function waiting(plan) {
  const found = waitingOn(plan);
  return found.length === 0 ? "nobody" : found.map(({ who, what, revision }) => el("span", { class: "waits" }, el("strong", {}, who), ": ",
    revision ? el("a", { href: revisionAddress(plan.id, revision), "data-go": true, "data-testid": `waits-${plan.id}` }, what) : what));
}

function planRow(plan) {
  const cell = (column, content) => el("td", { "data-label": HEADS[column] }, content);
  return el("tr", { "data-testid": `plan-row-${plan.id}` },
    el("th", { scope: "row", "data-label": HEADS[0] }, el("a", { href: planAddress(plan.id), "data-go": true }, plan.name || "Route without a name"),
      plan.demonstration && el("span", { class: "demo-word" }, "DEMONSTRATION")),
    cell(1, el("span", { class: "state-words", "data-testid": `state-${plan.id}` }, stateWords(plan))), cell(2, waiting(plan)), cell(3, newestLink(plan)), cell(4, dateText(plan.changed_utc)),
    el("td", { class: "num", "data-label": HEADS[5] }, String(plan.waypoint_count)));
}

function table(testId, caption, items) {
  return tableBox(caption, el("table", { class: "desk-table stacks", "data-testid": testId },
    el("caption", {}, caption),
    el("thead", {}, el("tr", {}, HEADS.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, items.map(planRow))));
}

/** How many of the plans listed wait on whom. */
function waitingLine(plans) {
  const count = (who) => plans.filter((plan) => waitingOn(plan).some((one) => one.who === who)).length;
  return el("p", { class: "gap-line", "data-testid": "desk-waiting" }, `${countText(plans.length, "plan")} listed. Waiting on the navigator: ${count("navigator")}; on the master: ${count("master")}.`);
}

function listPart({ status, items, inUse, cursor, error }) {
  if (status === "failed") return problemBox("The plans could not be listed", error, () => listPlans());
  if (status === "working" && items.length === 0) return el("p", { role: "status" }, "Working: asking for the list of plans.");
  if (items.length === 0) return el("p", { class: "empty", "data-testid": "desk-empty" }, "No plan is stored here yet. Bring a route below, or open the demonstration.");
  const shown = new Set(inUse.map((plan) => plan.id));
  const others = items.filter((plan) => !shown.has(plan.id));
  return [waitingLine([...inUse, ...others]),
    inUse.length > 0 && table("plans-in-use", "In use", inUse),
    others.length > 0 && table("plans", inUse.length > 0 ? "Other plans on this server, last changed first" : "Stored on this server, last changed first", others),
    cursor && el("button", { type: "button", "data-testid": "plans-more", on: { click: () => listPlans(cursor) } }, `More plans (${countText(shown.size + others.length, "plan")} shown)`)];
}

/** Plans with edits that only this browser has. */
function keptPart() {
  const kept = plansWithEdits();
  return kept.length > 0 && el("ul", { class: "plain-list", "data-testid": "desk-kept" }, kept.map(({ id, name, count }) => el("li", { class: "notice" },
    el("span", {}, el("strong", {}, name || "Route without a name"), `: ${countText(count, "edit")} kept in this browser, not stored on the server.`),
    el("a", { class: "button", href: planAddress(id), "data-go": true, "data-testid": `open-kept-${id}` }, "Open"))));
}

export function startDesk(host) {
  watch(["desk", "place"], () => {
    show(host, state.place.kind === "desk");
    if (state.place.kind !== "desk") return;
    replace(host, el("h2", {}, "Plans"),
      keptPart(),
      listPart(state.desk));
  });
}
