/** The Ledger: one table in sailing order. It is complete without the Plot. */

import { el, replace, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { countText, nmText } from "../format.js";
import { sailingOrder } from "../sailing.js";
import { sameItem, select, state, watch } from "../state.js";
import { paneHead } from "./pane.js";
import { findingsByRow, ledgerRow } from "./ledger_rows.js";
import { commonReasons } from "./least.js";

export const COLUMNS = ["No.", "Item", "Course or change deg T", "Distance or radius NM", "Rate deg/min", "Wheel-over before NM", "Least clearance m"];

/** The one row shown when there is nothing to show. */
function emptyRow() {
  const words = state.route
    ? `${countText(state.route.waypoints.length, "waypoint")} taken; no plan computed yet.`
    : "No waypoints. Bring a file, or open the demonstration.";
  return el("tr", { "data-testid": "ledger-empty" }, el("td", { colspan: COLUMNS.length, class: "empty" }, words));
}

/** What the missing inputs mean, said above the table and not only in its cells. */
function gaps(plan) {
  const { ship, hazards } = plan.request;
  return [
    !ship && el("p", { class: "gap-line" }, "No ship: rates, reach and wheel-overs that need one are not computed."),
    !hazards && el("p", { class: "gap-line" }, "No dangers loaded: clearances are not checked on any leg or turn."),
    hazards && commonReasons(plan).map((reason) => el("p", { class: "gap-line" }, `Not checked in full on most legs and turns: ${reason}.`)),
  ];
}

function totalRow({ answer }, hasHoles) {
  return el("tr", { class: "total", "data-testid": "track-total" },
    el("td", {}), el("th", { scope: "row", colspan: 2 }, hasHoles ? "Track total, holes left out" : "Track total"),
    el("td", { class: "num" }, figure(answer.track?.distance_nm, "NM", nmText)), el("td", { colspan: 3 }));
}

function head() {
  return el("thead", {}, el("tr", {}, COLUMNS.map((name) => el("th", { scope: "col" }, name))));
}

function body(plan) {
  if (!plan) return el("tbody", {}, emptyRow());
  const marks = findingsByRow(plan);
  return el("tbody", {}, sailingOrder(plan).map((row) => ledgerRow(plan, row, marks)));
}

function render(host) {
  const { plan } = state;
  const table = el("table", { class: "ledger-table", "data-testid": "ledger-table" },
    el("caption", {}, "In sailing order, courses true. Least clearance: the loaded danger nearest to that leg or turn, within 2 NM or its limit."),
    head(), body(plan),
    plan && el("tfoot", {}, totalRow(plan, sailingOrder(plan).some((row) => row.kind === "hole"))));
  replace(host, paneHead("Ledger", "ledger-title"), plan && gaps(plan), tableBox("Ledger, scrolls sideways", table));
  table.addEventListener("click", (event) => rowClicked(event));
  rove(host, host.querySelector("[data-item]"));
}

/** A click anywhere on a row selects it, unless it was on a button in the row. */
function rowClicked(event) {
  const row = event.target.closest("[data-item]");
  if (row && !event.target.closest("button, a")) select(itemOf(row), "ledger");
}

/** The item a row stands for. */
export function itemOf(row) {
  return { kind: row.dataset.item, index: Number(row.dataset.index) };
}

/** One row at a time is a tab stop. */
function rove(host, row) {
  host.querySelectorAll("[data-item]").forEach((one) => { one.tabIndex = one === row ? 0 : -1; });
}

function markSelected(host) {
  const { selected } = state;
  host.querySelectorAll("[data-item]").forEach((row) => {
    const on = sameItem(itemOf(row), selected);
    row.classList.toggle("is-selected", on);
    if (!on) {
      row.removeAttribute("aria-current");
      return;
    }
    row.setAttribute("aria-current", "true");
    rove(host, row);
    if (selected.origin !== "ledger") row.scrollIntoView({ block: "nearest" });
  });
}

export function startLedger(host) {
  watch(["plan", "route"], () => render(host));
  watch(["selected"], () => markSelected(host));
}
