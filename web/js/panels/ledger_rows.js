/** The rows of the Ledger, one function each. */

import { el, svg } from "../dom.js";
import { figure, missing, position } from "../figures.js";
import { courseText, decimals, known, metresNeededText, metresText, nmText, numberText, oneDecimal, sideText } from "../format.js";
import { cardAddress } from "../address.js";
import { legName, METHOD_WORDS, subjectItem, turnName } from "../sailing.js";
import { set, state } from "../state.js";
import { leastCell } from "./least.js";
import { findingAnchor, gradeMark, GRADES, GRADE_WORDS } from "./grades.js";
import { notSimulatedLine, offTrackLine } from "./ledger_simulated.js";
import { commentButton } from "../threads/comment_button.js";
import { openerWords } from "./not_taken.js";
import { holeForm } from "./hole_form.js";

/** Findings by the row they are about, as "kind-index". */
export function findingsByRow(plan) {
  const rows = new Map();
  for (const finding of plan.answer.findings) {
    const item = subjectItem(plan, finding.subject);
    const key = item && `${item.kind}-${item.index}`;
    if (key) rows.set(key, [...(rows.get(key) || []), finding]);
  }
  return rows;
}

/** Links from a row to its findings, one for each grade: mark, how many, word. */
function findingLinks(findings = []) {
  return GRADES.map((grade) => {
    const some = findings.filter((finding) => finding.grade === grade);
    return some.length > 0 && el("a", { class: `finding-link grade-${grade}`, href: `#${findingAnchor(some[0])}` },
      gradeMark(grade), `${some.length} ${GRADE_WORDS[grade]}`);
  });
}

function rowAttributes(row, testId) {
  return { class: `row-${row.kind}`, "data-item": row.kind, "data-index": row.index, "data-testid": testId, tabindex: "-1" };
}

export const COLUMNS = ["No.", "Item", "Course or change deg T", "Distance or radius NM", "ROT deg/min", "WOP before WPT NM", "Least clearance m"];

/** A cell under a column; on a narrow screen the column's name stands before it. */
function td(column, content, className = "num") {
  return el("td", { class: content === null ? `${className} is-empty` : className, "data-label": COLUMNS[column] }, content);
}

/** Opens or closes the fields of a waypoint. */
function editButton(id) {
  if (state.frozen) return null;
  const open = state.editing === id;
  return el("button", {
    type: "button", class: "opener edit-opener", "aria-expanded": String(open), "data-testid": `edit-${id}`, "data-edits": id, "aria-label": `${openerWords(id)}, waypoint ${id}`,
    on: { click: () => set({ editing: state.editing === id ? null : id }) },
  }, openerWords(id));
}

function waypointRow(plan, row, marks) {
  const { waypoint, index } = row;
  const showId = waypoint.id !== String(index + 1) && waypoint.id !== numberText(index);
  return el("tr", rowAttributes(row, `wp-row-${waypoint.id}`),
    el("td", { class: "gutter" }, el("span", { class: "plate" }, numberText(index))),
    el("th", { scope: "row", colspan: 6 }, el("span", { class: "waypoint-line" }, position(waypoint),
      waypoint.name && waypoint.name !== waypoint.id && el("span", { class: "waypoint-name" }, waypoint.name),
      showId && el("span", { class: "waypoint-id" }, `(${waypoint.id})`),
      editButton(waypoint.id),
      findingLinks(marks.get(`waypoint-${index}`)))));
}

/** Speed, its source, and the corridor of a leg, where given. */
function legNotes(leg) {
  const sided = (value, side) => known(value) && [figure(value, "NM", nmText), ` ${side}`];
  const corridor = [sided(leg.xtd_port_nm, "port"), sided(leg.xtd_starboard_nm, "stbd")].filter(Boolean);
  return el("span", { class: "sub" },
    known(leg.speed_kn) ? [figure(leg.speed_kn, "kn", oneDecimal, { unitShown: true }), leg.speed_source && ` (${leg.speed_source})`] : "no speed given",
    corridor.length > 0 && [", XTD limit ", corridor[0], corridor[1] && [", ", corridor[1]], " NM"]);
}

function legCourse(leg) {
  const changes = known(leg.course_deg) && known(leg.arrival_course_deg) && courseText(leg.course_deg) !== courseText(leg.arrival_course_deg);
  return [figure(leg.course_deg, "deg T", courseText), changes && el("span", { class: "sub" }, "arrives ", figure(leg.arrival_course_deg, "deg T", courseText))];
}

function legRow(plan, row, marks) {
  const { leg, index } = row;
  return el("tr", rowAttributes(row, `leg-row-${index}`),
    el("td", { class: "gutter" }, el("span", { class: "leg-bar", "aria-hidden": "true" })),
    el("th", { scope: "row" }, legName(plan, index), ` ${leg.line || ""}`, legNotes(leg), findingLinks(marks.get(`leg-${index}`)), state.frozen && commentButton("leg", leg.to_id, legName(plan, index))),
    td(2, legCourse(leg)),
    td(3, [figure(leg.distance_nm, "NM", nmText), known(leg.track_distance_nm) && el("span", { class: "sub" }, "on track ", figure(leg.track_distance_nm, "NM", nmText))]),
    td(4, null), td(5, null),
    td(6, leastCell(plan, "leg", index), "least"));
}

/** The bend mark, to the side of the turn; the word stands in the next column. */
function bendMark(side) {
  return svg("svg", { class: "bend", viewBox: "0 0 20 24", width: 20, height: 24, "aria-hidden": "true" },
    side && svg("path", { d: side === "starboard" ? "M6 1 Q16 12 6 23" : "M14 1 Q4 12 14 23" }));
}

function changeCell(turn) {
  if (!known(turn.course_change_deg)) return missing();
  return [figure(turn.course_change_deg, "deg", (value) => decimals(Math.abs(value), 0)), ` ${sideText(turn.side)}`,
    known(turn.course_out_deg) && el("span", { class: "sub" }, "to ", figure(turn.course_out_deg, "deg T", courseText))];
}

function radiusCell(turn) {
  return [figure(turn.radius_nm, "NM", nmText, { reason: turn.reason || null }), turn.radius_source && el("span", { class: "sub" }, `R (${turn.radius_source})`)];
}

function wheelOverCell(turn) {
  const { planned, wheel_over_line: line } = turn;
  const row = turn.wheel_overs.find((one) => one.method === planned?.method);
  const reason = row?.status === "computed" ? null : row?.reason || turn.reason || null;
  return [
    figure(planned?.distance_nm, "NM", nmText, { reason }),
    planned && el("span", { class: "method" }, ` ${METHOD_WORDS[planned.method] || planned.method}`), planned?.source === "default" && " (default)",
    known(turn.reach_m) && el("span", { class: "sub" }, "reach ", figure(turn.reach_m, "m", metresText, { unitShown: true }), turn.reach_source && ` (${turn.reach_source})`),
    line && el("span", { class: "sub" }, "WOL ", figure(line.offset_m, "m", (value) => metresText(Math.abs(value)), { unitShown: true }), ` ${sideText(line.offset_side)}`),
    offTrackLine(turn),
  ];
}

/** Fits or not, in words; a missing length is rounded up. */
function fitWord(turn) {
  if (turn.fits !== false) return null;
  return el("span", { class: "misfit grade-must_resolve", "data-testid": "does-not-fit" }, gradeMark("must_resolve"), "DOES NOT FIT",
    known(turn.missing_m) && [", short by ", figure(turn.missing_m, "m", metresNeededText, { unitShown: true })]);
}

function turnRow(plan, row, marks) {
  const { turn, index } = row;
  return el("tr", rowAttributes(row, `turn-row-${index}`),
    el("td", { class: "gutter" }, bendMark(turn.side)),
    el("th", { scope: "row" }, `${turnName(plan, index)} `,
      el("a", { class: "button opener-link", href: cardAddress(turn.waypoint_id), "data-go": true, "data-testid": `turn-open-${index}` }, "card"), fitWord(turn), notSimulatedLine(plan, turn), findingLinks(marks.get(`turn-${index}`)), state.frozen && commentButton("turn", turn.waypoint_id, turnName(plan, index))),
    td(2, changeCell(turn)), td(3, radiusCell(turn)),
    td(4, figure(turn.rate_of_turn_deg_per_min, "deg/min", (value) => oneDecimal(Math.abs(value)))),
    td(5, wheelOverCell(turn), "num wheel-over"),
    td(6, leastCell(plan, "turn", index), "least"));
}

/** A hole keeps its place, with the raw rows that were not understood. */
function holeRow(plan, row) {
  return el("tr", { class: "row-hole", "data-testid": `hole-row-${row.before}` },
    el("td", { class: "gutter" }, el("span", { class: "hole-bar", "aria-hidden": "true" })),
    el("th", { scope: "row", colspan: 6 }, el("strong", {}, "HOLE"), ": no leg: nothing is drawn or computed across it.",
      row.rows.map((one) => el("span", { class: "sub raw" }, `${one.called ?? `line ${one.line}`}: ${one.raw}${one.problem ? ` (${one.problem})` : ""}`)),
      row.rows.length === 0 && el("span", { class: "sub" }, "The raw text of the row is not in this browser; it is in the file."),
      !state.frozen && holeForm(row.before, plan.request.route.waypoints[row.before]?.id ?? "")));
}

function noLegRow() {
  return el("tr", { class: "row-hole" }, el("td", { class: "gutter" }), el("th", { scope: "row", colspan: 6 }, missing("the service gave no leg here")));
}

const ROWS = { waypoint: waypointRow, leg: legRow, turn: turnRow, hole: holeRow, no_leg: noLegRow };

export function ledgerRow(plan, row, marks) {
  return ROWS[row.kind](plan, row, marks);
}
