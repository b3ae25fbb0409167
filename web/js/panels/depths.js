/** Water under the keel and over the mast: a row for each leg and turn, and its sum, open term by term. */

import { el, replace, show, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { decimals, known, metresLeftText, oneDecimal } from "../format.js";
import { pager, pageRows } from "../paging.js";
import { redraw } from "../redraw.js";
import { dangerName, legName, turnName } from "../sailing.js";
import { select, state, watch } from "../state.js";
import { gradeMark } from "./grades.js";
import { paneHead } from "./pane.js";

const HEADS = ["Of", "Static m", "Dynamic m", "Net m", "Required m", "Tide needed m", "Limiting speed kn", "Result"];
const MAST_HEADS = ["Of", "Under", "Clearance m", "Required m", "Result"];
const SOURCES = { you: "you", ship: "ship", chart: "chart", default: "DEFAULT", computed: "computed" };
const TERMS = {
  charted_depth: "charted depth", tide: "height of tide", draught: "draught", density: "other density of the water", survey: "survey allowance", squat: "squat", turn_heel: "heel in the turn",
  wind_heel: "heel by wind", waves: "waves", clearance_height: "height under the object", datum: "datum of heights", air_draught: "air draught", draught_rise: "rise in lighter loading", electrical: "electrical distance",
};
const FORMULAS = { barrass_open: "Barrass, open water", barrass_confined: "Barrass, confined", barrass_general: "Barrass, general", barrass_2004: "Barrass 2004", icorels: "ICORELS", huuska: "Huuska" };
const ENDS = { fore: "her bow", aft: "her stern", midships: "midships" };

const view = { open: null, page: 0 };
/** In an open sum with the millimetres of the service, so that what is printed adds up. */
const metres = (value) => decimals(value, 3);
const short = (value) => decimals(value, 2);
const keyOf = ({ piece: { kind, index }, hazard_id: danger }) => [kind, index, danger].filter((one) => one !== undefined).join("-");
const pieceName = (plan, { kind, index }) => (kind === "leg" ? legName(plan, index) : turnName(plan, index));
const timeWords = ({ from_utc: from, to_utc: to }) => `${from.slice(0, 16).replace("T", " ")}Z to ${to.slice(0, 16).replace("T", " ")}Z`;

function resultWords({ met, margin_m: margin, required_m, required_ukc_m }) {
  if (met === null) return el("span", { class: "missing" }, known(required_m ?? required_ukc_m) ? "not checked: a term is not known" : "no requirement given");
  if (met) return known(margin) ? ["above what is required by ", figure(margin, "m", metresLeftText, { unitShown: true })] : "requirement met";
  return [el("strong", { class: "not-met grade-must_resolve" }, gradeMark("must_resolve"), "NOT MET"), known(margin) && el("span", { class: "sub" }, "short by ", figure(Math.abs(margin), "m", metres, { unitShown: true }))];
}

/** Why something is required: the policy and the rule. */
const requiredWords = ({ required_by: by, required_rule: rule }) => by && el("span", { class: "sub" }, [by, rule].filter(Boolean).join(": "));

function termRow({ term, value_m: value, source, reason }) {
  return el("tr", { "data-term": term },
    el("th", { scope: "row" }, TERMS[term] || term), el("td", { class: "num", "data-label": "m" }, known(value) ? figure(value, "m", (one) => `${one > 0 ? "+" : ""}${metres(one)}`) : el("span", { class: "missing" }, "not known")),
    el("td", { "data-label": "Source" }, SOURCES[source] || source), el("td", { "data-label": "How" }, reason));
}

function sumRow(words, value) {
  return el("tr", { class: "sum-line" }, el("th", { scope: "row" }, words), el("td", { class: "num", "data-label": "m" }, figure(value, "m", metres, { reason: "a term is not known" })), el("td", { colspan: 2 }));
}

function terms(one, sums) {
  return el("table", { class: "sum-table stacks" }, el("caption", {}, "What is added, and what is taken off with a minus sign"),
    el("thead", {}, el("tr", {}, ["Term", "m", "Source", "How"].map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, one.terms.map(termRow), sums.map(([words, value]) => sumRow(words, value))));
}

function squatTable({ squats, squats_by: by }) {
  if (squats.length === 0) return null;
  return el("table", { class: "sum-table stacks" }, el("caption", {}, "Squat by published formulas; the largest of those within their range is used", by && `; she squats by the ${by === "both" ? "bow and stern alike" : by}`),
    el("thead", {}, el("tr", {}, ["Formula", "Squat m", "Range", "Used"].map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, squats.map((row) => el("tr", {}, el("th", { scope: "row" }, FORMULAS[row.formula] || row.formula), el("td", { class: "num", "data-label": "Squat m" }, figure(row.squat_m, "m", metres)),
      el("td", { "data-label": "Range" }, `${row.in_range ? "within" : "outside"}: ${row.range}`), el("td", { "data-label": "Used" }, row.used ? "used" : "no")))));
}

const list = (heading, items) => items.length > 0 && el("div", {}, el("p", {}, el("strong", {}, heading)), el("ul", {}, items.map((one) => el("li", {}, one))));

/** The sum of one leg or turn, open. */
function keelDetail(one) {
  const facts = [
    known(one.speed_kn) && `speed ${oneDecimal(one.speed_kn)} kn`, known(one.draught_fore_m) && `draught ${short(one.draught_fore_m)} m fore, ${short(one.draught_aft_m)} m aft`, one.critical_end && `nearest the ground: ${ENDS[one.critical_end] || one.critical_end}`,
    known(one.froude_depth_ratio) && `Froude number by depth ${short(one.froude_depth_ratio)}`, known(one.blockage_ratio) && `blockage ${short(one.blockage_ratio)}`, known(one.critical_speed_kn) && `critical speed ${oneDecimal(one.critical_speed_kn)} kn`,
    known(one.turn_heel_deg) && `heel in the turn ${oneDecimal(one.turn_heel_deg)} deg`, known(one.wind_heel_deg) && `heel by wind ${oneDecimal(one.wind_heel_deg)} deg`, one.passing && `she is there ${timeWords(one.passing)}`,
  ].filter(Boolean);
  return el("div", { "data-testid": "sum-detail" }, terms(one, [["static, before she moves", one.static_ukc_m], ["dynamic, with squat, heel and waves", one.dynamic_ukc_m], ["net, with the survey allowance", one.net_ukc_m], ["required", one.required_ukc_m]]),
    squatTable(one), list("As computed", facts), one.limiting_speed_reason && el("p", {}, `Limiting speed: ${one.limiting_speed_reason}`),
    one.windows && list("Times with water enough, within the table of tides", one.windows.length > 0 ? one.windows.map(timeWords) : ["none"]), list("Not taken into account", one.left_out), list("Notes", one.notes));
}

const mastDetail = (one) => el("div", { "data-testid": "sum-detail" }, terms(one, [["clearance overhead", one.clearance_m], ["required", one.required_m]]), one.passing && el("p", {}, `She is there ${timeWords(one.passing)}.`), list("Not taken into account", one.left_out));

function opener(one, words) {
  const key = keyOf(one);
  return el("button", { type: "button", class: "opener", "aria-expanded": String(view.open === key), "data-testid": `sum-open-${key}`, on: { click: () => { view.open = view.open === key ? null : key; again(); } } }, words);
}

const number = (heads, column, value, write, reason) => el("td", { class: "num", "data-label": heads[column] }, figure(value, heads[column].split(" ").pop(), write, { reason }));

function rows(one, cells, detail, columns) {
  return [el("tr", { "data-testid": `sum-row-${keyOf(one)}` }, cells), view.open === keyOf(one) && el("tr", { class: "detail-row" }, el("td", { colspan: columns }, detail(one)))];
}

const unknown = "a term is not known";

function keelRow(plan, one) {
  return rows(one, [
    el("th", { scope: "row" }, el("button", { type: "button", class: "linkish", on: { click: () => select(one.piece, "depths") } }, pieceName(plan, one.piece)), " ", opener(one, "sum")),
    number(HEADS, 1, one.static_ukc_m, short, unknown), number(HEADS, 2, one.dynamic_ukc_m, short, unknown), number(HEADS, 3, one.net_ukc_m, short, unknown),
    el("td", { class: "num", "data-label": HEADS[4] }, known(one.required_ukc_m) ? figure(one.required_ukc_m, "m", short) : "none given", requiredWords(one)),
    number(HEADS, 5, one.tide_needed_m, short, "no requirement, or a term is not known"), number(HEADS, 6, one.limiting_speed_kn, oneDecimal, one.limiting_speed_reason || "no requirement, or a term is not known"),
    el("td", { "data-label": HEADS[7] }, resultWords(one))], keelDetail, HEADS.length);
}

function mastRow(plan, one) {
  const name = dangerName({ hazard_name: one.hazard_name, hazard_id: one.hazard_id, kind: "object" });
  return rows(one, [
    el("th", { scope: "row" }, pieceName(plan, one.piece), " ", opener(one, "sum")),
    el("td", { "data-label": MAST_HEADS[1] }, el("button", { type: "button", class: "linkish", on: { click: () => select({ kind: "hazard", id: one.hazard_id }, "depths") } }, name)),
    number(MAST_HEADS, 2, one.clearance_m, short, unknown), el("td", { class: "num", "data-label": MAST_HEADS[3] }, known(one.required_m) ? figure(one.required_m, "m", short) : "none given", requiredWords(one)),
    el("td", { "data-label": MAST_HEADS[4] }, resultWords(one))], mastDetail, MAST_HEADS.length);
}

function table(caption, heads, testId, body) {
  return tableBox(`${caption}, scrolls sideways`, el("table", { class: "nearest-table stacks", "data-testid": testId }, el("caption", {}, caption),
    el("thead", {}, el("tr", {}, heads.map((head) => el("th", { scope: "col" }, head)))), el("tbody", {}, body)));
}

let again = () => {};

function content(plan) {
  const { keel, mast } = plan.answer.depths;
  const { page, rows: shown } = pageRows(keel, view.page);
  view.page = page;
  const pieces = plan.answer.legs.length + plan.answer.turns.length;
  return [
    el("p", { class: "gap-line", "data-testid": "depths-count" }, `A depth is known for ${keel.length} of ${pieces} legs and turns. The others are not checked.`),
    pager(keel.length, page, "sums", (to) => { view.page = to; again(); }),
    keel.length > 0 && table("Water under the keel, in sailing order of its pieces", HEADS, "keel-table", shown.map((one) => keelRow(plan, one))),
    mast.length > 0 && table("Clearance over the mast: highest tide, lightest draught, no squat or heel credited", MAST_HEADS, "mast-table", mast.map((one) => mastRow(plan, one))),
  ];
}

export function startDepths(host) {
  const drawn = el("div", {});
  replace(host, paneHead("Under the keel and over the mast", "depths-title"), drawn);
  again = () => {
    const { plan } = state;
    const any = plan?.answer.depths && (plan.answer.depths.keel.length > 0 || plan.answer.depths.mast.length > 0);
    show(host, Boolean(any));
    if (any) redraw(drawn, content(plan));
  };
  watch(["plan"], again);
}
