/**
 * Her run against the way still to go: heading, rate, speed, rudder, drift. The columns are the service's; here they
 * are only drawn, listed, and read out at the cursor.
 */

import { el, replace, svg, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { courseText, decimals, known, metresInNm, nmInCables, nmText, oneDecimal, plainText, secondsText, sideText } from "../format.js";
import { TEXT_SCALE } from "../map/symbols.js";

const EDGE = 10;
const handed = (value, text) => (Number(text) === 0 ? text : `${sideText(value > 0 ? "starboard" : "port")} ${text}`);
/** The value that lies farthest from zero. */
const greatest = (values) => values.reduce((most, value) => (Math.abs(value) > Math.abs(most) ? value : most), 0);
const magnitude = (value, places) => decimals(Math.abs(value), places);

/** Each strip: its column, name, unit, how a value is written, and the least height of its scale. */
const STRIPS = [
  { column: "heading_deg", name: "Heading", unit: "deg T", write: courseText, least: 10 },
  { column: "rate_deg_per_min", name: "Rate", unit: "deg/min", write: (value) => handed(value, magnitude(value, 1)), least: 5 },
  { column: "speed_kn", name: "Speed", unit: "kn", write: oneDecimal, least: 1 },
  { column: "rudder_deg", name: "Rudder", unit: "deg", write: (value) => handed(value, magnitude(value, 1)), least: 5 },
  { column: "drift_deg", name: "Drift", unit: "deg", write: (value) => handed(value, magnitude(value, 1)), least: 2 },
];

const togoCables = (columns, row) => nmInCables(metresInNm(columns.to_go_m[row]));

/** Headings through north are drawn without a jump; they are written as they were sent. */
function withoutJump(values) {
  let turned = 0;
  return values.map((value, i) => {
    if (i > 0 && Math.abs(value - values[i - 1]) > 180) turned += value > values[i - 1] ? -360 : 360;
    return value + turned;
  });
}

/** Lines that are known beside a strip: {value, words, atEnd}; the words stand where her line is far from them. */
function limitsOf(column, turn, card) {
  const hand = turn.side === "port" ? -1 : 1;
  const rate = turn.rate_of_turn_deg_per_min;
  if (column === "rate_deg_per_min" && known(rate)) return [{ value: hand * Math.abs(rate), words: `planned ${oneDecimal(Math.abs(rate))}` }];
  const most = card.hard_over?.manoeuvre?.rudder_deg;
  if (column === "rudder_deg" && known(most)) return [1, -1].map((side) => ({ value: side * Math.abs(most), words: `largest ${plainText(Math.abs(most), 1)}`, atEnd: side === hand }));
  return [];
}

function scaleOf(values, limits, least) {
  const all = [...values, ...limits.map(({ value }) => value)];
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const spare = Math.max(0, least - (high - low)) / 2;
  return { low: low - spare, high: high + spare };
}

/** One strip: words above, the line below, the limits as lines with words. */
function strip({ column, name, unit, write, least }, { columns, width, turn, card }) {
  const values = column === "heading_deg" ? withoutJump(columns[column]) : columns[column];
  const limits = limitsOf(column, turn, card);
  const { low, high } = scaleOf(values, limits, least);
  const [top, bottom] = [24 * TEXT_SCALE, 24 * TEXT_SCALE + 62];
  const length = columns.to_go_m[0];
  const x = (row) => EDGE + (1 - columns.to_go_m[row] / length) * (width - 2 * EDGE);
  const y = (value) => bottom - ((value - low) / (high - low)) * (bottom - top);
  const [first, last] = [write(columns[column][0]), write(columns[column].at(-1))];
  const head = `${name}, ${unit}`;
  const span = ["heading_deg", "speed_kn"].includes(column) ? `${first} to ${last}` : `greatest ${write(greatest(columns[column]))}`;
  return svg("svg", { class: "run-strip", viewBox: `0 0 ${width} ${bottom + 8}`, role: "img", "aria-label": `${head}, ${span}; every value stands in the table`, "data-testid": `strip-${column}`, "data-rows": values.length },
    svg("text", { x: EDGE, y: 16 * TEXT_SCALE }, head),
    svg("text", { x: width - EDGE, y: 16 * TEXT_SCALE, "text-anchor": "end", class: "strip-values" }, span),
    svg("line", { x1: EDGE, x2: width - EDGE, y1: bottom, y2: bottom, class: "strip-floor" }),
    low < 0 && high > 0 && svg("line", { x1: EDGE, x2: width - EDGE, y1: y(0), y2: y(0), class: "strip-zero" }),
    limits.map((one) => limitLine(y(one.value), one, width, one.value > (low + high) / 2)),
    svg("path", { d: values.map((value, row) => `${row ? "L" : "M"}${x(row).toFixed(1)} ${y(value).toFixed(1)}`).join(""), class: "strip-run" }),
    svg("line", { class: "strip-cursor", y1: top - 2, y2: bottom, x1: x(0), x2: x(0) }));
}

/** A limit with its words on the inner side of it, so that they stay in the strip. */
function limitLine(y, { words, atEnd }, width, isHigh) {
  return svg("g", { class: "strip-limit" }, svg("line", { x1: EDGE, x2: width - EDGE, y1: y, y2: y }),
    svg("text", { x: atEnd ? width - EDGE - 2 : EDGE + 4, y: isHigh ? y + 14 * TEXT_SCALE : y - 4, "text-anchor": atEnd ? "end" : "start" }, words));
}

/** Round cables along the foot of the strips. */
function foot(columns, width) {
  const length = togoCables(columns, 0);
  const step = [0.2, 0.5, 1, 2, 5, 10, 20].find((one) => length / one <= (width < 500 ? 5 : 9)) ?? 50;
  const count = Math.floor(length / step);
  const x = (cables) => EDGE + (1 - cables / length) * (width - 2 * EDGE);
  return svg("svg", { class: "run-strip run-foot", viewBox: `0 0 ${width} ${44 * TEXT_SCALE}`, "aria-hidden": "true" },
    Array.from({ length: count + 1 }, (_, i) => i * step).map((cables) => svg("g", {}, svg("line", { x1: x(cables), x2: x(cables), y1: 0, y2: 6, class: "strip-floor" }),
      svg("text", { x: Math.min(Math.max(x(cables), 16), width - 14), y: 20 * TEXT_SCALE, "text-anchor": "middle" }, decimals(cables, step < 1 ? 1 : 0)))),
    svg("text", { x: width - EDGE, y: 39 * TEXT_SCALE, "text-anchor": "end", class: "strip-values" }, "run to go, cab"));
}

/** What a row says, in words: the readout of the cursor. */
function readout(columns, row) {
  return ["at ", figure(togoCables(columns, row), "cab", nmText, { unitShown: true }), " to go, after ", figure(columns.t_s[row], "s", secondsText, { unitShown: true }), ": ",
    STRIPS.map(({ column, name, unit, write }, i) => [i > 0 && ", ", `${name.toLowerCase()} `, figure(columns[column][row], unit, write, { unitShown: true })])];
}

/** A slider over the rows: arrow keys move it, and the line in every strip with it. */
function cursor(columns, strips, view) {
  const count = columns.t_s.length;
  const said = el("p", { class: "strip-readout", "data-testid": "strip-readout", "aria-live": "polite" });
  const slider = el("input", { type: "range", min: 0, max: count - 1, step: 1, id: "strip-cursor", "data-testid": "strip-cursor", class: "slider", "aria-label": "Cursor along the run, row by row" });
  const show = () => {
    view.row = Math.min(Number(slider.value), count - 1);
    replace(said, readout(columns, view.row));
    slider.setAttribute("aria-valuetext", said.textContent);
    strips.forEach((one) => {
      const line = one.querySelector(".strip-cursor");
      const width = one.viewBox.baseVal.width;
      const x = EDGE + (1 - columns.to_go_m[view.row] / columns.to_go_m[0]) * (width - 2 * EDGE);
      ["x1", "x2"].forEach((name) => line.setAttribute(name, x.toFixed(1)));
    });
  };
  slider.addEventListener("input", show);
  slider.value = Math.min(view.row, count - 1);
  show();
  return [slider, said];
}

const HEADS = ["Run to go cab", "s after the WOP", ...STRIPS.map(({ name, unit }) => `${name} ${unit}`)];

function runTable(columns) {
  const cell = (head, content) => el("td", { class: "num", "data-label": head }, content);
  return tableBox("Her run, every row", el("table", { class: "stacks run-table", "data-testid": "run-table" },
    el("thead", {}, el("tr", {}, HEADS.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, columns.t_s.map((t_s, row) => el("tr", {}, cell(HEADS[0], figure(togoCables(columns, row), "cab", nmText)), cell(HEADS[1], figure(t_s, "s", secondsText)),
      STRIPS.map(({ column, unit, write }, i) => cell(HEADS[i + 2], figure(columns[column][row], unit, write))))))));
}

/** The table is made when it is opened; `view` remembers that it is, and where the cursor stands. */
function details(columns, view) {
  const box = el("div", {});
  const whole = el("details", { "data-testid": "run-details", open: view.tableOpen, on: { toggle: () => { view.tableOpen = whole.open; fill(); } } },
    el("summary", { "data-testid": "run-summary" }, `Table of her run, ${plainText(columns.t_s.length)} rows`), box);
  const fill = () => { if (whole.open && !box.firstChild) box.append(runTable(columns)); };
  fill();
  return whole;
}

/** The strips of a run with cursor and table. */
export function runPart(turn, card, view) {
  const { columns } = card.run;
  const width = window.innerWidth < 620 ? 350 : 640;
  const strips = STRIPS.map((one) => strip(one, { columns, width, turn, card }));
  return [el("p", {}, "Begun at the planned WOP, until she is steady on the new heading. Rudder, rate and drift by hand, stbd or port; drift is from her way through the water to her heading."),
    el("div", { class: "run-strips" }, strips, foot(columns, width)), cursor(columns, strips, view), details(columns, view)];
}
