/** A file of trial data: every line as raw text beside what was understood, before any of it is taken. */

import { shipPapers } from "../api.js";
import { el, replace, tableBox } from "../dom.js";
import { ALL_FIELDS } from "../fields.js";
import { countText, sizeText } from "../format.js";
import { MOST_SETS, papersBegun, setBegun } from "../papers/described.js";
import { reshape } from "../papers/keep.js";
import { textsFrom } from "../papers/texts.js";
import { set, state, watch } from "../state.js";
import { gradeMark } from "./grades.js";
import { problemBox } from "./problem.js";

/** Reads a file; nothing is taken by this. */
async function readFile(blob, fileName) {
  const started = { fileName, sizeBytes: blob.size, status: "working" };
  set({ papersFile: started });
  let next;
  try {
    next = { ...started, status: "done", answer: await shipPapers.read(blob, fileName) };
  } catch (error) {
    if (error.status === undefined) throw error;
    next = { ...started, status: "failed", error, retry: () => readFile(blob, fileName) };
  }
  if (state.papersFile === started) set({ papersFile: next }); // a later file has priority over an earlier answer
}

const leave = () => {
  set({ papersFile: null });
  document.getElementById("papers-file").focus();
};

/** Takes the sets of the file, beside what is typed or in place of it. */
function take({ answer, fileName }, beside) {
  const texts = textsFrom(answer.fit);
  if (beside) reshape((papers) => ({ ...papers, ship: { ...papers.ship, ...texts.ship }, sets: [...papers.sets.filter(setBegun), ...texts.sets] }));
  else reshape((papers) => ({ ...texts, engine_orders: papers.engine_orders }), papersBegun(state.papers) ? `what stood here before ${fileName} was taken` : null);
  leave();
}

/** The ship's figures of the file that the form has otherwise, or not at all. */
function shipFigures({ ship = {} }) {
  return ALL_FIELDS.filter(({ pointer }) => pointer.startsWith("/ship/")).map((field) => ({ ...field, name: field.pointer.slice("/ship/".length) }))
    .filter(({ name }) => ship[name] !== undefined)
    .map(({ pointer, label, unit, name }) => ({ pointer, label, unit, text: String(ship[name]), now: state.form[pointer] ?? "" }))
    .filter(({ text, now }) => text !== now && (now === "" || Number(text) !== Number(now)));
}

/** The ship in the file is not the ship of the plan until somebody says so: named beside what her fields say. */
function shipPart({ answer }, commitShip) {
  const figures = shipFigures(answer.fit);
  if (figures.length === 0) return null;
  const put = () => {
    set({ form: { ...state.form, ...Object.fromEntries(figures.map(({ pointer, text }) => [pointer, text])) } });
    commitShip();
    set({ papersFile: { ...state.papersFile } });
  };
  return el("div", { "data-testid": "papers-file-ship" },
    el("p", {}, "The file says of the ship, otherwise than her fields above: "),
    el("ul", {}, figures.map(({ label, unit, text, now }) => el("li", {}, `${label}: `, el("strong", {}, text), unit ? ` ${unit}` : "", now ? `, the field has ${now}` : ", the field is empty"))),
    el("div", { class: "actions" }, el("button", { type: "button", "data-testid": "papers-file-put-ship", on: { click: put } }, "Put these into her fields")));
}

function lineRow(row) {
  const word = row.problem ? "NOT UNDERSTOOD" : "understood";
  return el("tr", { class: row.problem ? "doubtful" : null, "data-testid": `papers-line-${row.line}`, "data-state": word },
    el("th", { scope: "row", class: "num", "data-label": "Line" }, String(row.line)),
    el("td", { class: "raw", "data-label": "Raw text" }, row.raw),
    el("td", { "data-label": "Understood" }, row.understood || "\u2013"),
    el("td", { "data-label": "State" }, row.problem && gradeMark("must_resolve"), row.problem ? [el("strong", {}, word), `, ${row.problem}`] : word));
}

function linesTable(report) {
  return tableBox("Lines of the file, scrolls sideways", el("table", { class: "stacks report" },
    el("caption", {}, "What was read, line by line"),
    el("thead", {}, el("tr", {}, ["line", "raw text", "understood", "state"].map((word) => el("th", { scope: "col" }, word)))),
    el("tbody", {}, report.map(lineRow))));
}

/** The buttons say what they do with what is typed already. */
function takeButtons(file) {
  const sets = file.answer.fit.sets || [];
  const typed = papersBegun(state.papers);
  const room = state.papers.sets.filter(setBegun).length + sets.length <= MOST_SETS;
  const left = file.answer.rejected_count > 0 ? `, leave ${countText(file.answer.rejected_count, "line")} out` : "";
  const words = `Take ${countText(file.answer.accepted_count, "line")}${left}`;
  const button = (testId, label, click, primary) => el("button", { type: "button", class: primary ? "primary" : null, "data-testid": testId, on: { click } }, label);
  return el("div", { class: "actions" },
    sets.length > 0 && (typed ? [room && button("papers-file-beside", `${words}, beside what is typed`, () => take(file, true), true), button("papers-file-take", `${words}, in place of what is typed`, () => take(file, false))] : button("papers-file-take", words, () => take(file, false), true)),
    button("papers-file-leave", "Leave it", leave));
}

function filePart(file, commitShip) {
  if (!file) return null;
  if (file.status === "working") return el("p", { role: "status" }, `Reading ${file.fileName}. Nothing is taken yet.`);
  if (file.status === "failed") return problemBox(`${file.fileName} was not read`, file.error, file.retry, leave);
  const { answer } = file;
  return el("section", { class: "report-part", "data-testid": "papers-report", "aria-label": "Report of the file of trial data" },
    el("h4", {}, `${file.fileName} ${sizeText(file.sizeBytes)}`, el("span", { class: "read-as" }, `read as: ${answer.format}`)),
    el("p", { class: "report-counts", role: "status", "data-testid": "papers-counts" }, `${countText(answer.report.length, "line")}: `, el("strong", {}, String(answer.accepted_count)), " understood, ", el("strong", {}, String(answer.rejected_count)), " not understood. Nothing is taken yet."),
    answer.notes.length > 0 && el("ul", { class: "notes" }, answer.notes.map((note) => el("li", {}, note))),
    shipPart(file, commitShip), takeButtons(file), linesTable(answer.report));
}

export function startPapersFile(host, { commitShip }) {
  const shown = el("div", { class: "reading" });
  const input = el("input", {
    type: "file", id: "papers-file", class: "file-input", accept: ".csv,.txt,text/csv", "data-testid": "papers-file",
    on: {
      change: () => {
        if (input.files[0]) readFile(input.files[0], input.files[0].name);
        input.value = "";
      },
    },
  });
  replace(host, el("div", { class: "inline-form" }, el("label", { for: "papers-file" }, "Bring a file of them (opens bright), CSV with a header line"), input),
    el("details", {}, el("summary", {}, "How such a file is written"),
      el("p", { class: "field-hint" }, "One number a line, under the header set, side, rudder_deg, speed_kn, at_deg, depth_m, quantity, value, unit. A line without a set is about the ship."),
      el("pre", { class: "raw" }, "set,side,rudder_deg,speed_kn,at_deg,quantity,value,unit\nladen,,,,,draught_fore,11.0,m\nladen,,,,,draught_aft,11.4,m\nladen,starboard,35,15.2,,advance,0.31,NM\nladen,starboard,35,15.2,90,time,1:36,min:s\nladen,starboard,10,15.2,10,first_overshoot,7,deg")),
    shown);
  watch(["papersFile"], () => replace(shown, filePart(state.papersFile, commitShip)));
}
