/** Charts: bring cells, see what is kept, say which of them the plan is held against; and the coastline. */

import { cellChoice, cellOf, addCell, leaveCell, listCells, named, useAll, useNamed, useNone } from "../charts/cells.js";
import { charts } from "../charts/api.js";
import { beginImport, findImport, stopImport } from "../charts/importing.js";
import { importReport } from "../charts/report.js";
import { el, replace, tableBox } from "../dom.js";
import { countText, grouped, listText, sizeText } from "../format.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";
import { startCoastPart } from "./coast.js";
import { problemBox } from "./problem.js";

const HEADS = ["Cell", "Producer's edition", "Updates", "Issued", "Scale", "Datums", "Objects", "Kept here", "In this plan"];

function button(testId, words, click, more = {}) {
  return el("button", { type: "button", "data-testid": testId, on: { click }, ...more }, words);
}

/* Bringing cells */

function progress({ job, waiting }) {
  const percent = Math.max(0, Math.min(100, job.percent || 0));
  return el("div", { class: "working", "data-testid": "import-progress", "data-percent": percent },
    el("span", { role: "status" }, `Import: ${job.stage}, ${percent} %`, waiting && ". The server does not answer just now; it is asked again."),
    el("progress", { max: 100, value: percent, "aria-label": "Import" }),
    button("import-stop", "Stop this import", stopImport));
}

function importPart() {
  const { chartImport: now } = state;
  if (!now) return null;
  if (now.status === "sending") return el("p", { class: "working", role: "status", "data-testid": "import-sending" }, `Sending ${countText(now.names.length, "file")}, ${sizeText(now.sizeBytes)}.`);
  if (now.status === "refused") return problemBox("The files were not taken", now.error, now.again, () => set({ chartImport: null }));
  if (now.status === "lost") return problemBox("This import is not known to the service any more", now.error, null, () => set({ chartImport: null }));
  return now.status === "ended" ? importReport(now.job) : progress(now);
}

function dropPart() {
  const input = el("input", {
    type: "file", id: "cells-file", class: "file-input", multiple: true, "data-testid": "cells-file",
    on: { change: () => { const files = [...input.files]; input.value = ""; beginImport(files); } },
  });
  return el("div", { class: "drop", on: { drop: (event) => beginImport(event.dataTransfer?.files || []) } },
    el("label", { for: "cells-file", class: "file-label" }, "Drop S-57 cells here, or pick them (opens bright)"),
    el("p", { class: "field-hint" }, "A cell (.000) with its updates (.001 and so on), or a zip of them; several at once. Nothing is kept of a cell that is not read whole."), input);
}

/* Which cells count */

function choicePart() {
  const { inputs } = state;
  if (!inputs) return null;
  const now = cellChoice(inputs);
  const choice = (value, words, act) => el("label", { class: "choice" }, el("input", { type: "radio", name: "cell-choice", value, checked: now === value, "data-testid": `cells-${value}`, on: { change: act } }), words);
  const first = () => { const pinned = named(inputs); useNamed(pinned.length > 0 ? pinned : state.charts.items.filter((one) => !one.withdrawn_utc).slice(0, 1)); };
  return el("div", { class: "order", role: "radiogroup", "aria-label": "Cells the plan is held against" }, el("span", {}, "The plan is held against:"),
    choice("none", "no cell", useNone), choice("all", "every kept cell that the track touches, in its newest edition", useAll),
    state.charts.items.length > 0 && choice("named", "cells named below", first));
}

function inPlan(one) {
  const { inputs } = state;
  const how = cellChoice(inputs);
  const used = named(inputs).find(({ id }) => id === one.id);
  if (!inputs) return "no plan open";
  if (how === "all") return one.withdrawn_utc ? "out of use, left out" : "where the track touches it";
  if (!used) return one.withdrawn_utc ? "no" : [el("span", {}, "no "), button(`cell-use-${one.name}`, "Use it", () => addCell(one))];
  return [el("span", {}, `edition ${used.edition} kept here `), used.edition < one.edition && button(`cell-newest-${one.name}`, `Use edition ${one.edition}`, () => addCell(one)), button(`cell-leave-${one.name}`, "Leave it out", () => leaveCell(one.id))];
}

async function withdraw(one) {
  try {
    await charts.withdraw(one.id);
    await listCells();
  } catch (error) {
    if (error.status === undefined && !error.unreachable) throw error;
    set({ charts: { ...state.charts, error } });
  }
}

function updatesWords({ producer_update: applied, updates_missing: gone, superseded }) {
  if (superseded) return [el("strong", { class: "not-met" }, "OUT OF DATE"), el("span", { class: "sub" }, superseded)];
  return gone.length > 0 ? [el("strong", { class: "not-met" }, `MISSING ${listText(gone.map(String))}`), el("span", { class: "sub" }, `applied to ${applied}`)] : applied === 0 ? "none applied" : `applied to ${applied}`;
}

function cellRow(one) {
  const cell = (column, ...content) => el("td", { "data-label": HEADS[column] }, content);
  return el("tr", { "data-testid": `cell-row-${one.name}` },
    el("th", { scope: "row" }, el("strong", {}, one.name), one.withdrawn_utc && el("span", { class: "sub" }, "out of use"), !one.coverage && el("span", { class: "sub" }, "says of no water that it covers it")),
    cell(1, String(one.producer_edition)), cell(2, updatesWords(one)), cell(3, el("span", { class: "half" }, one.issued || "not said")), cell(4, el("span", { class: "half" }, `1:${grouped(String(one.scale))}`)),
    cell(5, `depths: ${one.depth_datum || "not said"}`, el("span", { class: "sub" }, `heights: ${one.height_datum || "not said"}`)),
    cell(6, grouped(String(one.object_count))), cell(7, `edition ${one.edition}`, el("span", { class: "sub half" }, one.created_utc.slice(0, 10))),
    cell(8, el("div", {}, inPlan(one)), button(`cell-show-${one.name}`, "Show on the Plot", () => { set({ showCell: one.id, cellsDrawn: true }); document.getElementById("plot-frame")?.scrollIntoView({ block: "nearest" }); }),
      !one.withdrawn_utc && button(`cell-withdraw-${one.name}`, "Take out of use", () => withdraw(one))));
}

/** Cells the plan names that are not in the list, so that none is lost from sight. */
function unknownPart() {
  const gone = named(state.inputs).filter(({ id }) => !cellOf(id));
  return gone.length > 0 && el("ul", { class: "plain-list" }, gone.map(({ id, edition }) => el("li", { class: "loaded" }, `${id}, edition ${edition ?? "newest"}: named by the plan, not in the list here`, button(`cell-leave-${id}`, "Leave it out", () => leaveCell(id)))));
}

function listPart() {
  const { items, error, status } = state.charts;
  if (error) return problemBox("The cells were not listed", error, listCells);
  if (status === "idle") return el("p", { role: "status" }, "Working: asking which cells are kept.");
  if (items.length === 0) return el("p", { class: "missing", "data-testid": "no-cells" }, "No cell is kept here. Nothing is checked against official charts.");
  return tableBox("Chart cells, scrolls sideways", el("table", { class: "cells-table stacks", "data-testid": "cells-table" }, el("caption", {}, `${countText(items.length, "cell")} kept, last changed first`),
    el("thead", {}, el("tr", {}, HEADS.map((one) => el("th", { scope: "col" }, one)))), el("tbody", {}, items.map(cellRow))));
}

export function startCharts(host) {
  const [bring, work, choice, list, coast] = Array.from({ length: 5 }, () => el("div", {}));
  replace(host, el("h2", {}, "Charts"), el("p", { class: "panel-lead" }, "Cells are kept with their editions. Where none of them covers the water, legs and turns read not checked."), choice, work, bring, list, coast);
  replace(bring, dropPart());
  startCoastPart(coast);
  watch(["chartImport"], () => redraw(work, importPart()));
  watch(["inputs", "charts"], () => { redraw(choice, choicePart()); redraw(list, unknownPart(), listPart()); });
  findImport();
  watch(["openPanel"], () => { if (state.openPanel === "charts") listCells(); });
}
