/** The reading report: every row as raw text beside what was understood, before anything is taken. */

import { takeRows, takeRowsHere } from "../draft/open.js";
import { leaveRows, readCorrected } from "../reading.js";
import { state } from "../state.js";
import { problemBox } from "./problem.js";
import { el, replace, saveBlob, tableBox } from "../dom.js";
import { countText, fileStem, listText, sizeText } from "../format.js";
import { isUnderstood, rowNames } from "../holes.js";
import { gradeMark } from "./grades.js";

/** The words for one row's state; the reason is the reader's own. */
function stateOf(row) {
  if (row.in_question) return { mark: "must_explain", word: "IN QUESTION", reason: row.problem };
  if (!isUnderstood(row)) return { mark: "must_resolve", word: "NOT UNDERSTOOD", reason: row.problem };
  return { mark: null, word: "understood", reason: null };
}

/** The raw text of a row, to be put right here and read again with the whole file; what is typed stays with the reading. */
function rowEditor(row, edits) {
  const host = el("div", { class: "inline-form" });
  const openIt = () => {
    const input = el("input", { type: "text", autocomplete: "off", spellcheck: "false", "aria-label": `Raw text of line ${row.line}`, "data-testid": `row-text-${row.line}`, on: { input: () => { edits[row.line] = input.value; } } });
    const message = el("p", { class: "field-error", role: "alert", hidden: true });
    const read = async () => {
      const refused = await readCorrected(row, input.value);
      message.textContent = refused || "";
      message.hidden = !refused;
    };
    input.value = edits[row.line] ??= row.raw;
    input.addEventListener("keydown", (event) => { if (event.key === "Enter") read(); });
    replace(host, input, el("button", { type: "button", "data-testid": `row-read-${row.line}`, on: { click: read } }, "Read again"), message);
    return input;
  };
  if (row.line in edits) { openIt(); return host; }
  return replace(host, el("button", { type: "button", class: "linkish", "data-testid": `row-edit-${row.line}`, "aria-label": `Edit line ${row.line}`, on: { click: () => openIt().focus() } }, "edit"));
}

/** The report to take away, as it stands on the page or as the service sent it. */
function saveReport({ fileName, answer }, kind) {
  const names = rowNames(answer.report);
  const lines = answer.report.map((row, at) => {
    const { word, reason } = stateOf(row);
    return [names[at], row.raw, row.understood || "-", reason ? `${word}, ${reason}` : word].join("\t");
  });
  const text = kind === "json" ? JSON.stringify(answer.report, null, 2) : `${lines.join("\n")}\n`;
  saveBlob(`${fileStem(fileName)}_reading.${kind === "json" ? "json" : "txt"}`, new Blob([text], { type: kind === "json" ? "application/json" : "text/plain" }));
}

/** A row that lacks only its hemisphere: the navigator says which, and the file is read again. */
function hemisphereButtons(row) {
  if (row.choices.length === 0) return null;
  const message = el("p", { class: "field-error", role: "alert", hidden: true });
  const choose = async (raw) => {
    const refused = await readCorrected(row, raw);
    message.textContent = refused || "";
    message.hidden = !refused;
  };
  return el("span", { class: "inline-form" }, row.choices.map(({ hemispheres, raw }) => el("button", { type: "button", "data-testid": `row-${row.line}-${hemispheres.replace(" ", "")}`, "aria-label": `Line ${row.line} is ${hemispheres}`, on: { click: () => choose(raw) } }, hemispheres)), message);
}

function reportRow(row, called, edits) {
  const { mark, word, reason } = stateOf(row);
  return el("tr", { class: mark ? "doubtful" : null, "data-testid": `report-row-${row.line}`, "data-state": word },
    el("th", { scope: "row", class: "num", "data-label": "Row" }, called.replace(/^line /, "")),
    el("td", { class: "raw", "data-label": "Raw text" }, row.raw),
    el("td", { class: "position", "data-label": "Understood" }, row.understood || "\u2013"),
    el("td", { "data-label": "State" }, mark && gradeMark(mark), mark ? el("strong", {}, word) : word, reason ? `, ${reason}` : "", mark && called === `line ${row.line}` && [hemisphereButtons(row), rowEditor(row, edits)]));
}

function reportTable(report, edits) {
  const names = rowNames(report);
  return el("table", { class: "report stacks", "data-testid": "report-table" },
    el("caption", {}, "What was read, row by row"),
    el("thead", {}, el("tr", {}, ["line", "raw text", "understood", "state"].map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, report.map((row, at) => reportRow(row, names[at], edits))));
}

/** "22 lines: 20 understood, 1 not, 1 in question." */
function counts(answer) {
  const questioned = answer.report.filter((row) => row.in_question).length;
  const refused = answer.rejected_count - questioned;
  return el("p", { class: "report-counts", "data-testid": "report-counts" },
    `${countText(answer.report.length, "row")}: `,
    count(answer.accepted_count, "understood", "count-accepted"), ", ",
    count(refused, "not understood", "count-rejected"), ", ",
    count(questioned, "in question", "count-questioned"), ".");
}

function count(value, word, testId) {
  return el("span", {}, el("strong", { "data-testid": testId, "data-value": value, "data-unit": word }, String(value)), ` ${word}`);
}

/** The button says what it will do, lines by number. */
function takeLabel(answer) {
  const names = rowNames(answer.report);
  const open = names.filter((_, at) => !isUnderstood(answer.report[at]));
  const take = `Take ${countText(answer.accepted_count, "row")}`;
  if (open.length === 0) return take;
  if (open.length > 8) return `${take}, keep ${open.length} rows as holes`;
  const shared = open.some((name) => name.startsWith("row "));
  const words = shared ? `${open.length === 1 ? "row" : "rows"} ${listText(open.map((name) => name.replace(/^row (\d+), .*/, "$1")))}` : `${open.length === 1 ? "line" : "lines"} ${listText(open.map((name) => name.replace("line ", "")))}`;
  return `${take}, keep ${words} as ${open.length === 1 ? "a hole" : "holes"}`;
}

function actions(reading) {
  const asNew = state.draft ? `${takeLabel(reading.answer)}, as a new plan` : takeLabel(reading.answer);
  return [
    reading.storeError && problemBox("The rows were not stored", reading.storeError),
    el("div", { class: "actions" },
      el("button", { type: "button", class: "primary", disabled: reading.storing, "data-testid": "take-rows", on: { click: takeRows } }, asNew),
      state.draft && el("button", { type: "button", "data-testid": "take-rows-here", on: { click: takeRowsHere } }, "Put them in place of this plan's route (one step)"),
      el("button", { type: "button", "data-testid": "leave-rows", on: { click: leaveRows } }, "Leave, store nothing"),
      el("button", { type: "button", "data-testid": "report-text", on: { click: () => saveReport(reading, "text") } }, "Report as text"),
      el("button", { type: "button", "data-testid": "report-json", on: { click: () => saveReport(reading, "json") } }, "Report as JSON")),
  ];
}

export function readingReport(reading) {
  const { answer } = reading;
  const readAs = answer.read_as || answer.format;
  const notes = answer.notes || [];
  return el("section", { class: "report-part", "data-testid": "report", "aria-label": "Reading report" },
    el("h3", {}, reading.fileName, reading.sizeBytes !== null && ` ${sizeText(reading.sizeBytes)}`, el("span", { class: "read-as" }, `read as: ${readAs}`)),
    counts(answer),
    el("p", {}, "Nothing stored yet, nothing planned yet."),
    notes.length > 0 && el("ul", { class: "notes", "data-testid": "report-notes" }, notes.map((note) => el("li", {}, note))),
    actions(reading),
    tableBox("Reading report, scrolls sideways", reportTable(answer.report, reading.edits)));
}
