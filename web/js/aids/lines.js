/** Index lines, clearing lines and transits of a leg, and index lines of a turn, as tables. */

import { el, tableBox } from "../dom.js";
import { setLeg } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { figure } from "../figures.js";
import { courseText, decimals, known, metresLeftText, metresNeededText, nmText, sideText } from "../format.js";
import { forgetTyped } from "../redraw.js";
import { state } from "../state.js";

const nm = (value) => (known(value) ? figure(value, "NM", nmText) : "none");
const metres = (value) => figure(value, "m", (one) => decimals(one, 0));
const half = (value) => decimals(value, 1).padStart(5, "0");
const off = (value) => (Math.abs(value) < 0.5 ? "on the track" : [figure(value, "m", (one) => decimals(Math.abs(one), 0), { unitShown: true }), ` to ${sideText(value < 0 ? "port" : "starboard")} of it`]);
const USES = { chosen: "chosen", proposed: "proposed, not chosen", offered: "offered" };
const SOURCES = { danger: "the margin of", coast: "the margin of the coast", cross_track: "the cross-track limit", searched: "as far as the chart was looked at" };
const head = (names) => el("thead", {}, el("tr", {}, names.map((name) => el("th", { scope: "col" }, name))));
const cell = (name, ...content) => el("td", { "data-label": name }, content);

/** What bounds the room on one side. */
function limitCell(row, word) {
  const limit = row.limits.find((one) => one.word === word);
  if (!limit) return cell(`${word} NM`, "not computed for one that is offered");
  const why = limit.source && `${SOURCES[limit.source]}${limit.source === "danger" ? ` ${limit.hazard_name || limit.hazard_id}` : ""}`;
  return cell(`${word} NM`, limit.range_nm === null ? el("span", { class: "missing" }, `not known: ${limit.reason}`) : figure(limit.range_nm, "NM", nmText),
    known(limit.room_m) && el("div", { class: "unit" }, figure(limit.room_m, "m", metresLeftText, { unitShown: true }), ` to ${sideText(limit.side)}, ${why}`), limit.not_checked && el("div", { class: "unit" }, limit.not_checked));
}

const chosenOf = (id, member) => state.inputs.route.waypoints.find((one) => one.id === id)?.leg?.[member] ?? [];

/** Takes a mark into the choice of a leg or out of it; without any the ranked ones are proposed again. */
function choose(id, member, inUse, markId, taken) {
  const now = chosenOf(id, member).length > 0 ? chosenOf(id, member) : inUse;
  const next = taken ? [...new Set([...now, markId])] : now.filter((one) => one !== markId);
  edit(setLeg(id, member, next.length > 0 ? next : undefined));
}

function useCell(id, member, inUse, row, testId) {
  if (state.frozen) return cell("Use", USES[row.use]);
  const taken = row.use === "offered";
  return el("td", { class: "actions", "data-label": "Use" }, el("span", {}, USES[row.use]), " ",
    row.use === "proposed" && el("button", { type: "button", "data-testid": `${testId}-choose`, on: { click: () => choose(id, member, inUse, row.mark_id, true) } }, "Choose"), " ",
    el("button", { type: "button", "data-testid": testId, on: { click: () => choose(id, member, inUse, row.mark_id, taken) } }, taken ? "Use it" : "Leave it out"));
}

function clearButton(id, member) {
  return !state.frozen && chosenOf(id, member).length > 0 && el("button", { type: "button", "data-testid": `${member}-clear-${id}`, on: { click: () => edit(setLeg(id, member, undefined)) } }, "Leave it to the rank");
}

const INDEX_HEADS = ["Object", "Side", "Set NM", "Perpendicular NM", "NLT NM", "NMT NM", "Serves NM of the leg", "Hand over to", "Remarks", "Use"];

function indexRow(leg, rows, row, number) {
  const inUse = rows.filter((one) => one.use !== "offered").map((one) => one.mark_id);
  const next = row.hand_over && rows.find((one) => one.mark_id === row.hand_over.to_mark_id);
  return el("tr", { "data-testid": `index-row-${leg.to_id}-${number}`, "data-mark": row.mark_id, "data-use": row.use },
    el("th", { scope: "row", "data-label": "Object" }, row.mark_name, row.floating && el("div", { class: "unit" }, "floats")), cell("Side", sideText(row.side)),
    cell("Set NM", figure(row.set_nm, "NM", nmText), el("div", { class: "unit" }, "she runs ", off(row.set_off_track_m))),
    cell("Perpendicular NM", figure(row.range_nm, "NM", (value) => decimals(value, 3))), limitCell(row, "NLT"), limitCell(row, "NMT"),
    cell("Serves NM of the leg", figure(row.serves_from_nm, "NM", nmText), " to ", figure(row.serves_to_nm, "NM", nmText), known(row.use_from_nm) && el("div", { class: "unit" }, "used ", nm(row.use_from_nm), " to ", nm(row.use_to_nm))),
    cell("Hand over to", next ? [next.mark_name, el("div", { class: "unit" }, "both from ", nm(row.hand_over.from_nm), " to ", nm(row.hand_over.to_nm))] : "none"),
    cell("Remarks", el("div", {}, "abeam at ", nm(row.abeam_nm), " NM; varies ", metres(row.varies_m), " m; a degree of heading error: ", metres(row.heading_error_m), " m"), row.notes.map((one) => el("div", {}, one))),
    useCell(leg.to_id, "index_mark_ids", inUse, row, `index-use-${leg.to_id}-${number}`));
}

/** The index lines of a leg. */
export function indexTable(leg, name) {
  const index = leg.index_lines;
  if (!index) return el("p", { class: "missing" }, "No marks are loaded: no index object was looked for.");
  if (index.reason) return el("p", { class: "missing" }, `not computed: ${index.reason}`);
  const gaps = index.not_served.map((one) => `${nmText(one.from_nm)} to ${nmText(one.to_nm)} NM`).join(", ");
  return [el("p", {}, "Range scale ", figure(index.range_scale_nm, "NM", (value) => String(value), { unitShown: true }), index.range_scale_source === "default" ? " (default). " : " (ship). ", clearButton(leg.to_id, "index_mark_ids")),
    index.rows.length > 0 && tableBox(`Index lines of ${name}, scrolls sideways`, el("table", { class: "stacks", "data-testid": `index-table-${leg.to_id}` }, el("caption", {}, `Index lines of ${name}`), head(INDEX_HEADS), el("tbody", {}, index.rows.map((row, number) => indexRow(leg, index.rows, row, number))))),
    el("p", { class: gaps ? "missing" : "", "data-testid": `index-gaps-${leg.to_id}` }, gaps ? `Not served by any object: ${gaps} of the leg.` : "The whole leg is served."),
    index.not_usable.map((one) => el("p", { class: "missing" }, `Chosen, but gives no line: ${one.mark_id}, ${one.reason}.`)), index.left_out_count > 0 && el("p", {}, `${index.left_out_count} more marks could be offered.`)];
}

const CLEAR_HEADS = ["Danger", "Mark", "Kind", "Keep", "Room m", "Holds NM of the leg", "Remarks", "Use"];
const dangerOf = (one) => one.hazard_name || one.hazard_id;

/** Whether a mark is in use for the clearing lines of a leg, with the buttons that choose it or leave it out. */
function clearingUse(leg, inUse, row, number) {
  if (state.frozen) return cell("Use", USES[row.use]);
  const take = (taken) => ({ click: () => choose(leg.to_id, "clearing_mark_ids", inUse, row.mark_id, taken) });
  return el("td", { class: "actions", "data-label": "Use" }, el("span", {}, USES[row.use]), " ",
    row.use === "proposed" && el("button", { type: "button", "data-testid": `clearing-choose-${leg.to_id}-${number}`, on: take(true) }, "Choose"), " ",
    inUse.length > 1 && el("button", { type: "button", "data-testid": `clearing-leave-${leg.to_id}-${number}`, on: take(false) }, "Leave it out"));
}

/** Takes a mark that gives no proposed line of a leg into its choice. */
function otherMarks(leg, inUse) {
  if (state.frozen) return null;
  const taken = new Set([...inUse, ...chosenOf(leg.to_id, "clearing_mark_ids")]);
  const others = state.plan.answer.marks.rows.filter(({ id }) => !taken.has(id));
  if (others.length === 0) return null;
  const id = `clearing-other-${leg.to_id}`;
  const select = el("select", { id, "data-testid": id, "data-waits": "" }, others.map((one) => el("option", { value: one.id }, one.name)));
  const take = () => {
    const { value } = select;
    forgetTyped(select);
    choose(leg.to_id, "clearing_mark_ids", inUse, value, true);
  };
  return el("div", { class: "actions" }, el("label", { for: id }, "Another mark to clear by "), select, " ", el("button", { type: "button", "data-testid": `${id}-take`, on: { click: take } }, "Choose it too"));
}

function clearRow(leg, inUse, row, number) {
  const bearing = known(row.bearing_deg);
  const seen = bearing && (row.sight === "in_sight" ? "within its range" : "from how far it is seen is not known");
  return el("tr", { "data-testid": `clearing-row-${leg.to_id}-${number}`, "data-mark": row.mark_id, "data-word": row.word },
    el("th", { scope: "row", "data-label": "Danger" }, dangerOf(row), el("div", { class: "unit" }, `to ${sideText(row.danger_side)}`)), cell("Mark", row.mark_name, row.floating && el("div", { class: "unit" }, "floats")),
    cell("Kind", bearing ? `bearing, mark ${row.mark_ahead ? "ahead" : "astern"}` : "range"), cell("Keep", el("strong", {}, row.word, " "), bearing ? figure(row.set_deg, "deg T", half, { unitShown: true }) : figure(row.set_nm, "NM", nmText, { unitShown: true })),
    cell("Room m", figure(row.room_m, "m", metresLeftText)), cell("Holds NM of the leg", nm(row.from_nm), " to ", nm(row.to_nm)),
    cell("Remarks", el("div", {}, "kept off the danger: ", figure(row.radius_m, "m", metresNeededText, { unitShown: true })), seen && el("div", {}, seen), row.not_cleared?.length > 0 && el("div", { class: "missing" }, `does not clear: ${row.not_cleared.map(dangerOf).join(", ")}`), row.notes.map((one) => el("div", {}, one))),
    clearingUse(leg, inUse, row, number));
}

/** The clearing lines of a leg. */
export function clearingTable(leg, name) {
  const lines = leg.clearing_lines;
  if (!lines) return el("p", { class: "missing" }, "No loaded danger and mark near this leg: no clearing line was looked for.");
  const rows = [...lines.bearings, ...lines.ranges];
  const inUse = [...new Set(rows.map((one) => one.mark_id))];
  return [clearButton(leg.to_id, "clearing_mark_ids"), lines.reason && el("p", { class: "missing" }, `not computed: ${lines.reason}`),
    rows.length > 0 && tableBox(`Clearing lines of ${name}, scrolls sideways`, el("table", { class: "stacks", "data-testid": `clearing-table-${leg.to_id}` }, el("caption", {}, `Clearing lines of ${name}`), head(CLEAR_HEADS), el("tbody", {}, rows.map((row, number) => clearRow(leg, inUse, row, number))))),
    !state.frozen && rows.length > 0 && el("p", { class: "field-hint" }, "With the first choice of a leg the other marks in use stay in it; leave out what is not wanted. Only marks of the choice are then looked at."), otherMarks(leg, inUse),
    lines.none_for.length > 0 && el("p", { class: "missing", "data-testid": `clearing-none-${leg.to_id}` }, `No mark leads past: ${lines.none_for.map(dangerOf).join(", ")}.`),
    lines.not_usable.map((one) => el("p", { class: "missing" }, `Chosen, but gives no line: ${one.mark_id}, ${one.reason}.`))];
}

const TRANSIT_USES = { track: "along the track", wheel_over: "for the wheel-over" };

/** The transits of a leg; nothing where there is none. */
export function transitTable(leg, name) {
  if (leg.transits.length === 0) return el("p", { class: "missing" }, "No transit among the loaded marks.");
  return tableBox(`Transits of ${name}, scrolls sideways`, el("table", { class: "stacks", "data-testid": `transits-${leg.to_id}` }, el("caption", {}, `Transits of ${name}`), head(["Marks", "Line deg T", "Use", "Line lies", "Angle to the course deg", "Open by 0.1 deg m"]),
    el("tbody", {}, leg.transits.map((one) => el("tr", {}, el("th", { scope: "row", "data-label": "Marks" }, one.name), cell("Line deg T", figure(one.bearing_deg, "deg T", half)), cell("Use", `${TRANSIT_USES[one.use]}, marks ${one.marks_ahead ? "ahead" : "astern"}`),
      cell("Line lies", off(one.off_m)), cell("Angle to the course deg", figure(one.angle_deg, "deg", (value) => decimals(value, 1))), cell("Open by 0.1 deg m", known(one.open_tenth_deg_m) ? metres(one.open_tenth_deg_m) : "one mark"))))));
}

const BEND_HEADS = ["Object", "On the old course", "At the wheel-over, on the new course", "From the centre", "Range along the arc NM", "From the lines inside the legs m"];

function bendRow(row, number) {
  const helm = known(row.helm_set_nm) ? ["set ", figure(row.helm_set_nm, "NM", nmText, { unitShown: true }), ` to ${sideText(row.helm_side)}`, known(row.helm_late_m) && el("div", { class: "unit" }, "helm ", figure(row.helm_late_m, "m", (value) => decimals(Math.abs(value), 1)), ` m ${row.helm_late_m < 0 ? "early" : "late"} by that`)] : "no wheel-over";
  return el("tr", { "data-testid": `bend-row-${number}`, "data-mark": row.mark_id }, el("th", { scope: "row", "data-label": "Object" }, row.mark_name, row.floating && el("div", { class: "unit" }, "floats")),
    cell("On the old course", figure(row.in_range_nm, "NM", nmText, { unitShown: true }), ` ${sideText(row.in_side)}`, el("div", { class: "unit" }, "then ", figure(row.out_range_nm, "NM", nmText, { unitShown: true }), ` ${sideText(row.out_side)} on the new`)),
    cell("At the wheel-over, on the new course", helm), cell("From the centre", metres(row.centre_m), " m, ", figure(row.centre_bearing_deg, "deg T", courseText, { unitShown: true })),
    cell("Range along the arc NM", nm(row.least_nm), " to ", nm(row.most_nm), known(row.ring_nm) && el("div", {}, "one ring: ", figure(row.ring_nm, "NM", nmText, { unitShown: true }))),
    cell("From the lines inside the legs m", metres(row.inside_in_m), ", ", metres(row.inside_out_m)));
}

/** The index lines of a turn, for its card. */
export function bendPart(turn) {
  const index = turn.index_lines;
  const title = el("h3", {}, "Index lines through the turn");
  if (!index) return el("section", { class: "pane", "data-testid": "bend-part" }, title, el("p", { class: "missing" }, "No marks are loaded: no index object was looked for."));
  const inside = index.inside_lines;
  return el("section", { class: "pane", "data-testid": "bend-part" }, title, index.reason && el("p", { class: "missing" }, index.reason),
    inside && el("p", { "data-testid": "bend-inside" }, "Lines parallel to both courses, ", figure(inside.radius_nm, "NM", nmText, { unitShown: true }), ` to ${sideText(inside.side)}, cross at the centre of the planned arc: an object there would stay on one range ring.`),
    index.rows.length > 0 && tableBox("Index lines of this turn, scrolls sideways", el("table", { class: "stacks", "data-testid": "bend-table" }, el("caption", {}, "Index objects of this turn"), head(BEND_HEADS), el("tbody", {}, index.rows.map(bendRow)))),
    el("p", { class: "field-hint" }, "Distance from the line at the radius inside a leg counts beyond it, seen from the leg. Check heading alignment and range accuracy before use."));
}
