/** Nearest dangers: one row for each danger within search distance, least distance and what it was held against. */

import { el, replace, show, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { countText, known, metresInNm, metresLeftText, metresNeededText, metresText, nmText, sideText } from "../format.js";
import { pageOf, pager, pageRows } from "../paging.js";
import { loadedCount, noDangersReason } from "../hazards.js";
import { dangerName, legName, turnName } from "../sailing.js";
import { sameItem, select, set, state, watch } from "../state.js";
import { metWord } from "./least.js";
import { paneHead } from "./pane.js";

const HEADS = ["Danger", "Distance m", "Distance NM", "Side of track", "Nearest on", "Uncertainty m", "Clearance m", "Limit m", "Result"];
const SIDES = { ahead: "beyond the end", astern: "before the start", crossed: "CROSSED" };

function pieceName(plan, piece) {
  return piece.kind === "leg" ? legName(plan, piece.index) : turnName(plan, piece.index);
}

/** Where the limit that counts belongs, when that is not the nearest piece. */
function limitElsewhere(plan, { piece, limit_piece: other }) {
  return other && (other.kind !== piece.kind || other.index !== piece.index) && ` on ${pieceName(plan, other)}`;
}

function row(plan, clearance) {
  const distance = clearance.distance_m;
  const cell = (column, ...content) => el("td", { class: "num", "data-label": HEADS[column] }, content);
  return el("tr", { "data-danger": clearance.hazard_id, "data-testid": `clearance-row-${clearance.hazard_id}`, tabindex: "0" },
    el("th", { scope: "row" }, dangerName(clearance), clearance.hazard_name && clearance.kind && el("span", { class: "sub" }, clearance.kind), clearance.charted && el("span", { class: "sub" }, `${clearance.charted.cell}: ${clearance.charted.why}${clearance.charted.doubtful ? " (the chart does not say enough)" : ""}`)),
    cell(1, figure(distance, "m", metresText)),
    cell(2, figure(known(distance) ? metresInNm(distance) : null, "NM", nmText)),
    el("td", { "data-label": HEADS[3] }, SIDES[clearance.side] || sideText(clearance.side)),
    el("td", { "data-label": HEADS[4] }, el("button", { type: "button", class: "linkish", on: { click: () => select(clearance.piece, "nearest") } }, pieceName(plan, clearance.piece))),
    cell(5, known(clearance.position_uncertainty_m) ? figure(clearance.position_uncertainty_m, "m", metresNeededText) : "not given"),
    cell(6, figure(clearance.clearance_m, "m", metresLeftText)),
    cell(7, known(clearance.limit_m) ? [figure(clearance.limit_m, "m", metresNeededText), el("span", { class: "sub" }, `(${clearance.limit_source})`, limitElsewhere(plan, clearance))] : "none given"),
    el("td", { "data-label": HEADS[8] }, metWord(clearance)));
}

let page = 0;

function table(plan, shown) {
  return el("table", { class: "nearest-table stacks", "data-testid": "nearest-table" },
    el("caption", {}, "Distance is from the danger's edge to the planned track; clearance is what is left of it after the uncertainty of the danger's position."),
    el("thead", {}, el("tr", {}, HEADS.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, shown.map((clearance) => row(plan, clearance))));
}

/** How many of the loaded dangers have a row; the others were too far off to have one. */
function coverage(plan) {
  const none = noDangersReason(plan);
  if (none) return el("p", { class: "missing" }, `Not checked: ${none}.`);
  return el("p", { class: "gap-line", "data-testid": "dangers-measured" }, `${countText(loadedCount(plan), "danger")} loaded and measured, ${plan.answer.clearances.length} within search distance of the track. Dangers not in the file were not checked. `,
    el("button", { type: "button", class: "linkish", "data-testid": "all-dangers-open", on: { click: () => { set({ dangersTable: true }); document.getElementById("all-dangers").scrollIntoView({ block: "start" }); } } }, "All loaded dangers as a table"));
}

function render(host) {
  const { plan } = state;
  show(host, Boolean(plan));
  if (!plan) return;
  const all = plan.answer.clearances;
  const shown = pageRows(all, page);
  page = shown.page;
  const pages = () => pager(all.length, page, "nearest dangers", (to) => { page = to; render(host); markSelected(host); });
  replace(host, paneHead("Nearest dangers", "nearest-title"), coverage(plan), pages(), all.length > 0 && tableBox("Nearest dangers, scrolls sideways", table(plan, shown.rows)));
  host.querySelectorAll("[data-danger]").forEach((one) => {
    const pick = () => select({ kind: "hazard", id: one.dataset.danger }, "nearest");
    one.addEventListener("click", (event) => { if (!event.target.closest("button")) pick(); });
    one.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target === one) pick(); });
  });
}

/** Turns to the page of a danger that was selected elsewhere. */
function turnTo(host, { selected, plan }) {
  if (selected?.kind !== "hazard" || selected.origin === "nearest" || !plan) return;
  const at = plan.answer.clearances.findIndex((one) => one.hazard_id === selected.id);
  if (at < 0 || pageOf(at) === page) return;
  page = pageOf(at);
  render(host);
}

function markSelected(host) {
  const { selected } = state;
  host.querySelectorAll("[data-danger]").forEach((one) => {
    const on = sameItem({ kind: "hazard", id: one.dataset.danger }, selected);
    one.classList.toggle("is-selected", on);
    if (on && selected.origin !== "nearest") one.scrollIntoView({ block: "nearest" });
  });
}

export function startNearest(host) {
  watch(["plan"], () => render(host));
  watch(["selected"], () => { turnTo(host, state); markSelected(host); });
}
