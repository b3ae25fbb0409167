/** The Desk: the stored plans, last changed first, and the ways to begin another. */

import { el, replace, show, tableBox } from "../dom.js";
import { plansWithEdits } from "../draft/kept.js";
import { listPlans } from "../draft/open.js";
import { countText, dateText } from "../format.js";
import { state, watch } from "../state.js";
import { problemBox } from "./problem.js";

const HEADS = ["Plan", "State", "Changed UTC", "Waypoints", "Revisions"];

function planRow(plan) {
  return el("tr", { "data-testid": `plan-row-${plan.id}` },
    el("th", { scope: "row", "data-label": HEADS[0] }, el("a", { href: `/plans/${encodeURIComponent(plan.id)}`, "data-go": true }, plan.name || "Route without a name"),
      plan.demonstration && el("span", { class: "demo-word" }, "DEMONSTRATION")),
    el("td", { "data-label": HEADS[1] }, plan.state.toUpperCase()),
    el("td", { "data-label": HEADS[2] }, dateText(plan.changed_utc)),
    el("td", { class: "num", "data-label": HEADS[3] }, String(plan.waypoint_count)),
    el("td", { class: "num", "data-label": HEADS[4] }, plan.revision_count === 0 ? "none" : String(plan.revision_count)));
}

function table(items) {
  return tableBox("Stored plans", el("table", { class: "desk-table stacks", "data-testid": "plans" },
    el("caption", {}, "Stored on this server, last changed first"),
    el("thead", {}, el("tr", {}, HEADS.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, items.map(planRow))));
}

function listPart({ status, items, cursor, error }) {
  if (status === "failed") return problemBox("The plans could not be listed", error, () => listPlans());
  if (status === "working" && items.length === 0) return el("p", { role: "status" }, "Working: asking for the list of plans.");
  if (items.length === 0) return el("p", { class: "empty", "data-testid": "desk-empty" }, "No plan is stored here yet. Bring a route below, or open the demonstration.");
  return [table(items),
    cursor && el("button", { type: "button", "data-testid": "plans-more", on: { click: () => listPlans(cursor) } }, `More plans (${countText(items.length, "plan")} shown)`)];
}

/** Plans with edits that only this browser has. */
function keptPart() {
  const kept = plansWithEdits();
  return kept.length > 0 && el("ul", { class: "plain-list", "data-testid": "desk-kept" }, kept.map(({ id, name, count }) => el("li", { class: "notice" },
    el("span", {}, el("strong", {}, name || "Route without a name"), `: ${countText(count, "edit")} kept in this browser, not stored on the server.`),
    el("a", { class: "button", href: `/plans/${encodeURIComponent(id)}`, "data-go": true, "data-testid": `open-kept-${id}` }, "Open"))));
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
