/** Every loaded danger as a table, a page at a time: the twin of what the Plot draws, near the track or not. */

import { lookLoaded } from "../dangers_loaded.js";
import { el, show, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { countText, decimals, known, metresLeftText, positionText } from "../format.js";
import { pageOf, pager, pageRows } from "../paging.js";
import { redraw } from "../redraw.js";
import { oncePerPlan } from "../sailing.js";
import { sameItem, select, set, state, watch } from "../state.js";
import { metWord } from "./least.js";
import { paneHead } from "./pane.js";

const HEADS = ["Danger", "Id", "Kind", "Depth m", "First position", "Shape", "Clearance m", "Result"];
const SHAPES = { Point: "point", MultiPoint: "points", LineString: "line", MultiLineString: "lines", Polygon: "area", MultiPolygon: "areas" };

const view = { page: 0, text: "" };
const clearances = oncePerPlan((plan) => new Map(plan.answer.clearances.map((row) => [row.hazard_id, row])));

function firstPosition({ geometry }) {
  const [lon_deg, lat_deg] = [geometry?.coordinates].flat(4).slice(0, 2);
  return known(lat_deg) ? positionText({ lat_deg, lon_deg }) : "none";
}

/** The dangers whose name, id or kind holds the text looked for. */
function matching(items) {
  const wanted = view.text.trim().toLowerCase();
  return wanted === "" ? items : items.filter(({ id, name, kind }) => [id, name, kind].some((text) => text?.toLowerCase().includes(wanted)));
}

function row(plan, item) {
  const clearance = clearances(plan).get(item.id);
  const cell = (column, className, ...content) => el("td", { class: className, "data-label": HEADS[column] }, content);
  return el("tr", { "data-any-danger": item.id, "data-testid": `danger-row-${item.id}`, tabindex: "0", class: sameItem({ kind: "hazard", id: item.id }, state.selected) ? "is-selected" : null },
    el("th", { scope: "row" }, item.name || "without a name"),
    cell(1, "", item.id),
    cell(2, "", item.kind || "not given"),
    cell(3, "num", known(item.depth_m) ? figure(item.depth_m, "m", (value) => decimals(value, 1)) : "not given"),
    cell(4, "", firstPosition(item)),
    cell(5, "", SHAPES[item.geometry?.type] || "none"),
    cell(6, "num", clearance ? figure(clearance.clearance_m, "m", metresLeftText) : "beyond search distance"),
    cell(7, "", clearance ? metWord(clearance) : "not near"));
}

function coverage({ status, items, missing, error }) {
  const shown = `${countText(items.length, "loaded danger")}${missing > 0 ? `; ${missing} more are not in this table` : ""}.`;
  const fetch = (words) => el("button", { type: "button", "data-testid": "table-fetch", on: { click: () => lookLoaded(true) } }, words);
  if (status === "working") return el("p", { class: "gap-line", role: "status" }, shown, " They are being fetched.");
  if (status === "many") return el("p", { class: "gap-line" }, shown, " ", fetch(`Fetch ${countText(missing, "danger")}`));
  if (status === "failed") return el("p", { class: "gap-line", role: "alert" }, shown, ` They were not fetched: ${error.detail} `, fetch("Try again"));
  return el("p", { class: "gap-line", "data-testid": "all-dangers-count" }, shown, missing > 0 && " Those lie in cells, far from the track.", " Clearances are given for those within search distance of the track.");
}

function table(plan, items) {
  return el("table", { class: "nearest-table stacks", "data-testid": "all-dangers-table" },
    el("caption", {}, "Loaded dangers in the order of their sets."),
    el("thead", {}, el("tr", {}, HEADS.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, items.map((item) => row(plan, item))));
}

/** The field that looks for a danger; what is typed acts once it is left or Enter is pressed. */
function finder(again) {
  const field = el("input", { type: "text", id: "danger-text", "data-testid": "danger-text", autocomplete: "off", value: view.text, on: { change: () => { Object.assign(view, { text: field.value, page: 0 }); again(); } } });
  return el("div", { class: "inline-form" }, el("label", { for: "danger-text" }, "Only those with this in name, id or kind"), field);
}

function draw(host) {
  const { plan, loaded, dangersTable } = state;
  const wanted = Boolean(plan && dangersTable && loaded?.plan === plan);
  show(host, wanted);
  if (!wanted) return;
  const again = () => draw(host);
  const found = matching(loaded.items);
  const { page, rows } = pageRows(found, view.page);
  view.page = page;
  redraw(host, el("div", { class: "pane-line" }, paneHead("All loaded dangers", "all-dangers-title"),
    el("button", { type: "button", "data-testid": "all-dangers-close", on: { click: () => set({ dangersTable: false }) } }, "Close this table")),
  coverage(loaded), finder(again), view.text && el("p", {}, `${countText(found.length, "danger")} with "${view.text}".`),
  pager(found.length, page, "loaded dangers", (to) => { view.page = to; again(); }),
  rows.length > 0 && tableBox("All loaded dangers, scrolls sideways", table(plan, rows)));
}

/** Turns to the page of what was selected elsewhere, and brings its row into view. */
function follow(host) {
  const { selected, loaded } = state;
  if (host.hidden || selected?.kind !== "hazard" || selected.origin === "all-dangers") return;
  const at = matching(loaded.items).findIndex(({ id }) => id === selected.id);
  if (at < 0) return;
  if (pageOf(at) !== view.page) { view.page = pageOf(at); draw(host); }
  host.querySelector(`[data-any-danger="${CSS.escape(selected.id)}"]`)?.scrollIntoView({ block: "nearest" });
}

export function startAllDangers(host) {
  const pick = ({ target }) => {
    const picked = target.closest("[data-any-danger]");
    if (picked) select({ kind: "hazard", id: picked.dataset.anyDanger }, "all-dangers");
  };
  host.addEventListener("click", pick);
  host.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target.matches("[data-any-danger]")) pick(event); });
  watch(["plan", "dangersTable"], () => { if (state.dangersTable) lookLoaded(); draw(host); });
  watch(["loaded"], () => draw(host));
  watch(["selected"], () => { host.querySelectorAll("[data-any-danger]").forEach((one) => one.classList.toggle("is-selected", sameItem({ kind: "hazard", id: one.dataset.anyDanger }, state.selected))); follow(host); });
}
