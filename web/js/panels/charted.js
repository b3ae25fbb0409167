/** What the cells of a plan say: which they are, the safety contour, where they cover the track and where not, areas entered. */

import { el, replace, show, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { courseText, grouped, known, listText, nmText, oneDecimal, positionText } from "../format.js";
import { pager, pageRows } from "../paging.js";
import { redraw } from "../redraw.js";
import { legName, turnName } from "../sailing.js";
import { select, state, watch } from "../state.js";
import { gradeMark } from "./grades.js";
import { paneHead } from "./pane.js";

const SOURCES = { you: "you", set: "limit set", ship: "from her draught", default: "DEFAULT" };
const view = { page: 0 };

const metres = (value) => figure(value, "m", oneDecimal, { unitShown: true });
const pieceName = (plan, { kind, index }) => (kind === "leg" ? legName(plan, index) : turnName(plan, index));

function contourPart({ wanted_m: wanted, wanted_source: source, used_m: used, depth_wanted_m: depth, depth_source: depthSource }) {
  return el("p", { "data-testid": "safety-contour" }, "Safety contour: wanted ", metres(wanted), ` (${SOURCES[source] || source}), in use `, known(used) ? metres(used) : el("strong", {}, "none: no loaded contour is as deep"),
    ". Safety depth: ", metres(depth), ` (${SOURCES[depthSource] || depthSource}).`);
}

function table(caption, heads, testId, rows) {
  return tableBox(`${caption}, scrolls sideways`, el("table", { class: "checks-table stacks", "data-testid": testId }, el("caption", {}, caption),
    el("thead", {}, el("tr", {}, heads.map((head) => el("th", { scope: "col" }, head)))), el("tbody", {}, rows)));
}

const CELL_HEADS = ["Cell", "Edition", "Scale", "Safety contour in use", "Objects", "Dangers", "No rule for"];

function cellRow(one) {
  const cell = (column, ...content) => el("td", { "data-label": CELL_HEADS[column] }, content);
  const unknown = Object.entries(one.unknown_classes);
  return el("tr", {}, el("th", { scope: "row" }, el("strong", {}, one.name), !one.states_coverage && el("span", { class: "sub" }, "says of no water that it covers it")),
    cell(1, `${one.edition}, update ${one.update}`, one.updates_missing.length > 0 && el("strong", { class: "not-met" }, ` MISSING ${listText(one.updates_missing.map(String))}`), one.superseded && el("strong", { class: "not-met" }, ` OUT OF DATE: ${one.superseded}`)), cell(2, `1:${grouped(String(one.scale))}`),
    cell(3, known(one.safety_contour_m) ? metres(one.safety_contour_m) : "none as deep"), cell(4, grouped(String(one.object_count))), cell(5, grouped(String(one.danger_count))),
    cell(6, unknown.length > 0 ? unknown.map(([name, count]) => `${name} ${count}`).join(", ") : "none"));
}

const COVERED_HEADS = ["Of", "Looked at to either side", "Covered", "By", "Survey zones"];

/** Zones of confidence of the water; where none is stated that is said first. */
const zonesWords = ({ zones, unzoned }) => [...(unzoned ? ["NOT STATED in part"] : []), ...zones].join(", ") || "none";

function coveredRow(plan, one) {
  const stretches = one.uncovered.map(({ from_nm: from, to_nm: to }) => `${nmText(from)} to ${nmText(to)} NM`);
  return el("tr", { "data-testid": `covered-${one.piece.kind}-${one.piece.index}`, "data-covered": String(one.covered) },
    el("th", { scope: "row" }, el("button", { type: "button", class: "linkish", on: { click: () => select(one.piece, "charted") } }, pieceName(plan, one.piece))),
    el("td", { "data-label": COVERED_HEADS[1] }, figure(one.half_width_m, "m", (value) => grouped(String(Math.ceil(value))), { unitShown: true })),
    el("td", { "data-label": COVERED_HEADS[2] }, one.covered ? "covered" : [el("span", { class: "grade-word grade-not_checked" }, gradeMark("not_checked"), "NOT COVERED"), el("span", { class: "sub" }, `along it ${listText(stretches)}`)]),
    el("td", { "data-label": COVERED_HEADS[3] }, one.cells.length > 0 ? one.cells.join(", ") : "no cell"),
    el("td", { "data-label": COVERED_HEADS[4] }, zonesWords(one)));
}

const AREA_HEADS = ["Area", "Leg", "Enters", "Leaves", "Course in, out T"];

function areaRow(plan, one) {
  return el("tr", {}, el("th", { scope: "row" }, one.name || one.id, el("span", { class: "sub" }, `${one.class}, ${one.object_class}`)),
    el("td", { "data-label": AREA_HEADS[1] }, el("button", { type: "button", class: "linkish", on: { click: () => select({ kind: "leg", index: one.leg_index }, "charted") } }, legName(plan, one.leg_index))),
    el("td", { "data-label": AREA_HEADS[2] }, positionText(one.enters), el("span", { class: "sub" }, `${nmText(one.enters_nm)} NM along it`)),
    el("td", { "data-label": AREA_HEADS[3] }, positionText(one.leaves), el("span", { class: "sub" }, `${nmText(one.leaves_nm)} NM along it`)),
    el("td", { "data-label": AREA_HEADS[4] }, `${courseText(one.course_in_deg)}, ${courseText(one.course_out_deg)}`));
}

let again = () => {};

function content(plan) {
  const { cells, safety_contour: contour, coverage, areas_entered: areas } = plan.answer.charts;
  const open = coverage.filter((one) => !one.covered).length;
  const { page, rows } = pageRows(coverage, view.page);
  view.page = page;
  return [contourPart(contour), table("Cells of this plan", CELL_HEADS, "charted-cells", cells.map(cellRow)),
    el("p", { class: "gap-line", "data-testid": "coverage-count" }, `Cells cover ${coverage.length - open} of ${coverage.length} legs and turns; of ${open} some water is not covered.`),
    pager(coverage.length, page, "legs and turns by coverage", (to) => { view.page = to; again(); }),
    coverage.length > 0 && table("Where cells cover the track", COVERED_HEADS, "coverage-table", rows.map((one) => coveredRow(plan, one))),
    areas.length > 0 && table("Charted areas that the legs lead through", AREA_HEADS, "areas-table", areas.map((one) => areaRow(plan, one)))];
}

export function startCharted(host) {
  const drawn = el("div", {});
  replace(host, paneHead("What the charts say", "charted-title"), drawn);
  again = () => {
    const { plan } = state;
    show(host, Boolean(plan?.answer.charts));
    if (plan?.answer.charts) redraw(drawn, content(plan));
  };
  watch(["plan"], again);
}
