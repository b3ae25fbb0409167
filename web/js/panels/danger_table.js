/** A table of dangers (CSV) as the service reads it, row by row; kept as a set only when somebody says so. */

import { call } from "../api.js";
import { el, replace, tableBox } from "../dom.js";
import { countText } from "../format.js";
import { pager, pageRows } from "../paging.js";
import { problemBox } from "./problem.js";

function rows({ report }) {
  return report.map((one) => el("tr", { "data-testid": `danger-line-${one.line}` }, el("th", { scope: "row" }, String(one.line)), el("td", { "data-label": "Raw text", class: "raw" }, one.raw),
    el("td", { "data-label": "Understood" }, one.understood ?? "\u2013"), el("td", { "data-label": "State" }, one.problem ? el("strong", { class: "field-error" }, `NOT UNDERSTOOD: ${one.problem}`) : "understood")));
}

/** Shows what was read; `store(name, text)` keeps it. */
export async function readTable(host, file, store) {
  const leave = () => replace(host);
  replace(host, el("p", { role: "status" }, "Working: the table is with the service."));
  let answer;
  try {
    const body = new FormData();
    body.append("file", file, file.name);
    ({ answer } = await call("/hazards/read", { method: "POST", body }));
  } catch (error) {
    if (error.status === undefined && !error.unreachable) throw error;
    replace(host, problemBox("The table was not read", error, () => readTable(host, file, store), leave));
    return;
  }
  const name = file.name.replace(/\.[a-z0-9]+$/i, "") || file.name;
  const draw = (wanted) => {
    const all = rows(answer);
    const { page, rows: shown } = pageRows(all, wanted);
    replace(host, el("div", { class: "report-part", "data-testid": "danger-report" },
      el("p", {}, el("strong", {}, file.name), el("span", { class: "read-as" }, answer.read_as)),
      el("p", { class: "report-counts" }, `${answer.accepted_count} understood, ${answer.rejected_count} not. Nothing stored yet.`), answer.notes.map((one) => el("p", {}, one)),
      pager(all.length, page, "lines of the table", draw),
      all.length > 0 && tableBox("Lines of the table, scrolls sideways", el("table", { class: "report stacks" }, el("caption", {}, "Each line beside what was understood of it"), el("thead", {}, el("tr", {}, ["Line", "Raw text", "Understood", "State"].map((head) => el("th", { scope: "col" }, head)))), el("tbody", {}, shown))),
      el("div", { class: "actions" },
        answer.accepted_count > 0 && el("button", { type: "button", class: "primary", "data-testid": "danger-table-store", on: { click: () => { leave(); store(name, JSON.stringify(answer.hazards)); } } }, `Keep ${countText(answer.accepted_count, "danger")} as the set ${name}`),
        el("button", { type: "button", on: { click: leave } }, "Leave, store nothing"))));
  };
  draw(0);
}
