/** The wheel-overs of one turn: dots on a line in cables, the table of the same rows, and the working of each. */

import { el, svg, tableBox } from "../dom.js";
import { figure, position } from "../figures.js";
import { decimals, known, metresInNm, metresText, nmInCables, nmInMetres, nmText, oneDecimal, secondsText } from "../format.js";
import { METHOD_NAMES, METHOD_WORDS } from "../sailing.js";
import { TEXT_SCALE, textWidth } from "../map/symbols.js";
import { offTrack, offTrackBand, offTrackLengths } from "./off_track.js";
import { hullClear } from "./hull_clear.js";
import { reaching, windowBar, WINDOW_HEIGHT } from "./window_bar.js";

/** As wide as it will be shown, so that its words keep their size on a narrow screen. */
let WIDTH = 640;
const EDGE = 48;
const ROW = 26 * TEXT_SCALE;

/** Every wheel-over of a turn: one row a method, and the own distance where one is planned; `card` knows more of each. */
export function wheelOverRows(turn, card = null) {
  const more = (method) => card?.methods.find((one) => one.method === method);
  const rows = turn.wheel_overs.map((row) => ({ ...row, ...more(row.method), side: turn.side, planned: turn.planned?.method === row.method }));
  if (turn.planned?.method === "own") rows.push({ ...turn.planned, ...card?.planned, side: turn.side, status: known(turn.planned.distance_nm) ? "computed" : "not_applicable", reason: null, planned: true });
  return rows;
}

/** Round ends for the line, in cables, with room on both sides. */
function rangeOf(values) {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const step = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20].find((one) => (most - least) / one <= 5) ?? 50;
  const from = Math.max(Math.floor(least / step) - 1, 0) * step;
  return { from, to: (Math.ceil(most / step) + 1) * step, step };
}

/** How a word may stand at its dot: under it, or to one side of the thin line that leads down to it. */
const STANDS = { middle: (x, width) => [x - width / 2, x + width / 2], end: (x, width) => [x - width - 4, x - 4], start: (x, width) => [x + 4, x + width + 4] };

/** Puts words in rows so that none covers another, nor the line that leads to one. */
function levels(marks) {
  const taken = [];
  const free = ([from, to], row, x) => taken.every((one) => one.row !== row || one.to + 8 < from || one.from - 8 > to)
    && marks.every((mark) => mark.x === x || mark.x < from - 2 || mark.x > to + 2);
  return marks.map((mark) => {
    const width = textWidth(mark.word);
    for (let row = 0; row < marks.length; row += 1) {
      for (const [anchor, stand] of Object.entries(STANDS)) {
        const [from, to] = stand(mark.x, width);
        if (from < 2 || to > WIDTH - 2 || !free([from, to], row, mark.x)) continue;
        taken.push({ row, from, to });
        return { ...mark, row, anchor };
      }
    }
    taken.push({ row: marks.length, from: 0, to: WIDTH });
    return { ...mark, row: taken.length, anchor: "middle" };
  });
}

function axis({ from, to, step }, xOf, y) {
  const count = Math.round((to - from) / step);
  const places = step < 1 ? 1 : 0;
  return svg("g", { class: "strip-axis" }, svg("line", { x1: EDGE, x2: WIDTH - EDGE, y1: y, y2: y }),
    Array.from({ length: count + 1 }, (_, i) => {
      const x = xOf(from + i * step);
      return svg("g", {}, svg("line", { x1: x, x2: x, y1: y - 5, y2: y + 5 }), svg("text", { x, y: y - 11, "text-anchor": "middle" }, decimals(from + i * step, places)));
    }));
}

function dot({ x, row, anchor, word, planned, method, distance_nm }, line) {
  const y = line + 28 + row * ROW;
  return svg("g", { class: planned ? "strip-mark is-planned" : "strip-mark", "data-testid": `dot-${method}`, "data-x": x, "data-cables": nmInCables(distance_nm) },
    svg("line", { x1: x, x2: x, y1: line, y2: y - 6, class: "leader" }),
    svg("circle", { cx: x, cy: line, r: planned ? 7 : 5 }),
    svg("text", { x: x + { middle: 0, end: -4, start: 4 }[anchor], y: y + 8, "text-anchor": anchor }, word));
}

/** The line of dots, the window above it: sailing goes from left to right, so the distance still to run falls. */
export function methodsStrip(turn, card) {
  const rows = wheelOverRows(turn).filter((row) => row.status === "computed" && known(row.distance_nm));
  if (rows.length === 0) return el("p", { class: "missing" }, "No wheel-over is computed for this turn; the reasons stand in the table.");
  WIDTH = window.innerWidth < 620 ? 350 : 640;
  const dots = rows.map((row) => nmInCables(row.distance_nm));
  const range = rangeOf([...dots, ...reaching(card?.window, dots)]);
  const line = card?.window ? 30 + WINDOW_HEIGHT : 30;
  const xOf = (cables) => EDGE + ((range.to - cables) / (range.to - range.from)) * (WIDTH - 2 * EDGE);
  const marks = levels(rows.map((row) => ({ ...row, x: xOf(nmInCables(row.distance_nm)), word: row.planned ? `${METHOD_WORDS[row.method]}, planned` : METHOD_WORDS[row.method] })).sort((a, b) => a.x - b.x));
  const height = line + 28 + Math.max(...marks.map((mark) => mark.row)) * ROW + 14;
  return svg("svg", { class: "strip", viewBox: `0 0 ${WIDTH} ${height}`, role: "img", "aria-label": "Wheel-overs in cables before the waypoint, and their window; the same numbers stand in the tables", "data-testid": "methods-strip", "data-from": range.from, "data-to": range.to },
    windowBar(card?.window, { range, xOf, left: EDGE, right: WIDTH - EDGE, width: WIDTH }), axis(range, xOf, line), marks.map((mark) => dot(mark, line)));
}

function cell(label, ...content) {
  return el("td", { class: "num", "data-label": label }, content);
}

const HEADS = ["Method", "cab", "NM", "m", "s before WPT", "Off new track m", "Off track 5-95 % m", "Hull clear m"];

/** What the distance is made of, where the method says so. */
function madeOf({ tangent_m: tangent, reach_m: reach }) {
  const part = (value, word) => known(value) && [`${word} `, figure(value, "m", metresText, { unitShown: true })];
  const parts = [part(tangent, "tangent"), part(reach, "reach")].filter(Boolean);
  return parts.length > 0 && el("span", { class: "sub" }, parts[0], parts[1] && [" + ", parts[1]]);
}

function methodRow(row, none) {
  const done = row.status === "computed" && known(row.distance_nm);
  return el("tr", { "data-testid": `method-${row.method}`, "data-state": row.status, class: row.planned ? "is-planned" : null },
    el("th", { scope: "row", "data-label": "Method" }, el("strong", {}, METHOD_WORDS[row.method] || row.method), ` ${METHOD_NAMES[row.method] || ""}`, row.planned && el("span", { class: "wo-plate" }, "WOP, planned"), madeOf(row), done && el("span", { class: "sub" }, position(row.position))),
    done ? [cell("cab", figure(nmInCables(row.distance_nm), "cab", nmText)), cell("NM", figure(row.distance_nm, "NM", nmText)), cell("m", figure(nmInMetres(row.distance_nm), "m", metresText)),
      cell(HEADS[4], figure(row.before_waypoint_s, "s", secondsText)), offTrackCell(row),
      el("td", { class: "num band", "data-label": HEADS[6] }, offTrackBand(row, row.side, none)), el("td", { class: "num hull-clear", "data-label": HEADS[7] }, hullClear(row, none))]
      : el("td", { colspan: HEADS.length - 1, "data-label": "State" }, el("span", { class: "missing" }, `not computed: ${row.reason || "no reason given"}`)));
}

/** Beside the new track; without a simulated turn nobody can say, and its own row gives the reason. */
function offTrackCell(row) {
  return el("td", { class: "num off-track", "data-label": HEADS[5] }, offTrack(row, { unitShown: false, reason: "no SIM" }), offTrackLengths(row));
}

/** `none` says why what only the card knows is missing. */
export function methodsTable(turn, card, none) {
  return tableBox("Wheel-overs by each method, scrolls sideways", el("table", { class: "methods stacks", "data-testid": "methods-table" },
    el("caption", {}, "Before the waypoint, along the inbound leg; seconds over the ground. Off new track: where SIM, begun there, leaves her; nine in ten end within 5-95 %. Hull clear: from her hull to the danger that matters most on that run, rounded down. 1 cab = 0.1 NM = 185.2 m."),
    el("thead", {}, el("tr", {}, HEADS.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, wheelOverRows(turn, card).map((row) => methodRow(row, none)))));
}

/** What the band is made of, as the service says it. */
export function bandLine(card) {
  if (!card?.band) return null;
  const { distance_m: [near, far], words } = card.band;
  return el("p", { class: "field-hint", "data-testid": "band-line" }, `5-95 %: ${words}. For SIM that is a WOP from `, figure(near, "m", metresText), " to ", figure(far, "m", metresText, { unitShown: true }), " before the waypoint.");
}

/** How far the computed methods lie apart, as the service says it. */
export function spreadLine({ spread }) {
  if (!spread) return null;
  const word = (method) => METHOD_WORDS[method] || method;
  return el("p", { class: "spread", "data-testid": "spread" }, `${word(spread.earliest)} is earliest, ${word(spread.latest)} latest: `,
    figure(spread.distance_m, "m", metresText, { unitShown: true }), " apart", known(spread.time_s) && [", ", figure(spread.time_s, "s", secondsText, { unitShown: true })], ".");
}

/** The table of the ship that a method was worked from. */
function tableUsed(table) {
  if (!table) return null;
  const words = [known(table.rudder_deg) && `rudder ${oneDecimal(table.rudder_deg)} deg`, known(table.speed_kn) && `${oneDecimal(table.speed_kn)} kn`, table.loading, table.side, table.rows_are?.replaceAll("_", " "), table.source && `source: ${table.source}`].filter(Boolean);
  const cables = (value) => [figure(nmInCables(metresInNm(value)), "cab", nmText, { unitShown: true }), " (", figure(value, "m", metresText, { unitShown: true }), ")"];
  return el("p", {}, `From the turning table: ${words.join(", ")}. `, known(table.advance_m) && ["Advance ", cables(table.advance_m), ", transfer ", cables(table.transfer_m), "."]);
}

export function workings(turn) {
  const rows = turn.wheel_overs.filter((row) => row.working?.length || row.notes?.length || row.table);
  if (rows.length === 0) return null;
  return el("div", { class: "workings", "data-testid": "workings" }, el("h3", {}, "Working, for the hand check"),
    rows.map((row) => el("div", { "data-testid": `working-${row.method}` }, el("h4", {}, `${METHOD_WORDS[row.method]} ${METHOD_NAMES[row.method]}`),
      row.working?.length > 0 && el("ol", { class: "working-lines" }, row.working.map((line) => el("li", {}, line))),
      tableUsed(row.table), row.notes?.length > 0 && el("ul", {}, row.notes.map((note) => el("li", {}, note))))));
}
