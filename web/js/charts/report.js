/** What became of an import: each cell, each file, and what went wrong, in words. */

import { el, tableBox } from "../dom.js";
import { countText, listText } from "../format.js";
import { set } from "../state.js";

const FATES = { new: "new here", renewed: "a new edition here", unchanged: "already here, unchanged", older: "older than the one kept here; not taken", "back in use": "back in use" };

const missingUpdates = (numbers, superseded) => (superseded ? `out of date: ${superseded}` : numbers.length > 0 ? `updates missing: ${numbers.join(", ")}` : "no update known to be missing");

function cellRow(one) {
  return el("tr", { "data-testid": `imported-${one.name}` },
    el("th", { scope: "row" }, one.name),
    el("td", { "data-label": "Edition" }, `${one.producer_edition}, update ${one.producer_update}`),
    el("td", { "data-label": "What became of it" }, FATES[one.fate] || one.fate),
    el("td", { "data-label": "Updates" }, missingUpdates(one.updates_missing, one.superseded)),
    el("td", { "data-label": "Remarks" }, one.remarks.length > 0 ? el("ul", {}, one.remarks.map((words) => el("li", {}, words))) : "none"));
}

const head = (names) => el("thead", {}, el("tr", {}, names.map((name) => el("th", { scope: "col" }, name))));

function cellsPart(cells) {
  return cells.length > 0 && tableBox("Cells of this import, scrolls sideways", el("table", { class: "stacks" }, el("caption", {}, countText(cells.length, "cell")),
    head(["Cell", "Edition", "What became of it", "Updates", "Remarks"]), el("tbody", {}, cells.map(cellRow))));
}

function filesPart(files) {
  return files.length > 0 && el("details", { "data-testid": "import-files", open: files.length <= 12 }, el("summary", {}, `${countText(files.length, "file")}, one by one`),
    tableBox("Files of this import, scrolls sideways", el("table", { class: "stacks" }, head(["File", "What became of it"]),
      el("tbody", {}, files.map((one) => el("tr", { "data-fate": one.fate }, el("th", { scope: "row" }, one.name), el("td", { "data-label": "What became of it" }, one.fate === "refused" ? el("strong", { class: "field-error" }, `NOT READ: ${one.words}`) : one.words)))))));
}

const failuresPart = (failures) => failures.length > 0 && el("ul", { class: "import-failures" }, failures.map((one) => el("li", {}, el("strong", {}, one.cell), ": ", one.words)));

const faultsPart = (errors) => errors.length > 0 && el("ul", {}, errors.map(({ message, line }) => el("li", {}, typeof line === "number" ? `record ${line}: ` : "", message)));

const HEADINGS = { done: "Import ended", failed: "Import ended; something was not read", stopped: "Import stopped" };

/** The report of an import that has ended. */
export function importReport({ state: ended, message, errors, result, files }) {
  const found = result || { cells: [], failures: [], files: [] };
  return el("div", { class: ended === "failed" ? "problem" : "notice-block", role: ended === "failed" ? "alert" : "status", "data-testid": "import-report", "data-ended": ended },
    el("p", { class: ended === "failed" ? "problem-title" : "" }, el("strong", {}, HEADINGS[ended])),
    message && el("p", {}, message), faultsPart(errors), failuresPart(found.failures), cellsPart(found.cells), filesPart(found.files),
    !result && files.length > 0 && el("p", {}, `Files sent: ${listText(files)}. Nothing of them is kept.`),
    found.held_by?.length > 0 && el("p", { class: "field-hint" }, `Read in a process of its own, shut in by: ${listText(found.held_by)}.`),
    el("div", { class: "actions" }, el("button", { type: "button", "data-testid": "import-away", on: { click: () => set({ chartImport: null }) } }, "Put this away")));
}
