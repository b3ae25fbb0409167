/** The Ledger: one table in sailing order. It is complete without the Plot. */

import { el, replace, tableBox } from "../dom.js";
import { figure, position } from "../figures.js";
import { countText, known, nmText } from "../format.js";
import { noDangersReason } from "../hazards.js";
import { keepTyped } from "../redraw.js";
import { sailingOrder, settledBy } from "../sailing.js";
import { freshness, FRESHNESS_KEYS, sameItem, select, state, watch } from "../state.js";
import { paneHead } from "./pane.js";
import { putRows, showEditor } from "./editor_row.js";
import { COLUMNS, findingsByRow, ledgerRow } from "./ledger_rows.js";
import { commonReasons } from "./least.js";
import { commonNotSimulated } from "./ledger_simulated.js";

/** The one row shown when there is nothing to show. */
function emptyRow() {
  const words = state.inputs ? `${countText(state.inputs.route.waypoints.length, "waypoint")} stored; not computed yet.` : "No plan is open.";
  return el("tr", { "data-testid": "ledger-empty" }, el("td", { colspan: COLUMNS.length, class: "empty" }, words));
}

/** What the missing inputs mean, said above the table and not only in its cells. */
function gaps(plan) {
  const { ship, ship_id: stored } = plan.request;
  const none = noDangersReason(plan);
  return [
    !ship && !stored && el("p", { class: "gap-line" }, "No ship: rates, reach and wheel-overs that need one are not computed."),
    (ship || stored) && commonNotSimulated(plan).map(({ reason, every }) => el("p", { class: "gap-line", "data-testid": "not-simulated-line" }, `${every ? "No turn is simulated" : "Several turns are not simulated"}: ${reason}.`)),
    (plan.answer.alternatives || []).map((one) => el("p", { class: "gap-line", "data-testid": "ledger-alternative" }, `Alternative "${one.name}", `, figure(one.distance_nm, "NM", nmText, { unitShown: true }), ": laid, not checked until selected.", one.remark && ` ${one.remark}`)),
    none && el("p", { class: "gap-line" }, `Clearances are not checked on any leg or turn: ${none}.`),
    !none && commonReasons(plan).map((reason) => el("p", { class: "gap-line" }, `Not checked in full on most legs and turns: ${reason}.`)),
  ];
}

/** Why there is no track to take the length of. */
function noTotal({ turns, legs }) {
  const misfits = turns.filter((turn) => turn.fits === false).length;
  const bare = turns.filter((turn) => !known(turn.radius_nm)).length;
  const reasons = [misfits > 0 && `${countText(misfits, "turn")} ${misfits === 1 ? "does" : "do"} not fit`, bare > 0 && `${countText(bare, "turn")} without a radius`,
    legs.length === 0 && "no legs"].filter(Boolean);
  return reasons.join(", ") || turns.find((turn) => turn.reason)?.reason || null;
}

function totalRow({ answer }, hasHoles) {
  return el("tr", { class: "total", "data-testid": "track-total" },
    el("td", { class: "gutter" }), el("th", { scope: "row", colspan: 2 }, hasHoles ? "Track total, holes left out" : "Track total"),
    el("td", { class: "num", "data-label": COLUMNS[3] }, figure(answer.track?.distance_nm, "NM", nmText, { reason: noTotal(answer) })), el("td", { colspan: 3, class: "is-empty" }));
}

function head() {
  return el("thead", {}, el("tr", {}, COLUMNS.map((name) => el("th", { scope: "col" }, name))));
}

/** The frame of the Ledger, made once: fields that are open in it must not be built anew. */
function makeFrame(host) {
  const [top, body, foot] = [el("div", {}), el("tbody", {}), el("tfoot", {})];
  const table = el("table", { class: "ledger-table stacks", "data-testid": "ledger-table" },
    el("caption", {}, "In sailing order, courses true. Least clearance: the loaded danger nearest to that leg or turn, within 2 NM or its limit."), head(), body, foot);
  table.addEventListener("click", rowClicked);
  replace(host, top, tableBox("Ledger, scrolls sideways", table));
  return { top, body, foot };
}

function rowsOf(plan) {
  if (!plan) return [emptyRow()];
  const marks = findingsByRow(plan);
  return sailingOrder(plan).map((row) => ledgerRow(plan, row, marks));
}

function render(host, { top, body, foot }) {
  const { plan } = state;
  const active = document.activeElement;
  const held = host.contains(active) && !active.closest("[data-editor]") ? active.dataset.testid : null;
  keepTyped(host, () => {
    replace(top, paneHead("Ledger", "ledger-title"), plan && gaps(plan));
    putRows(body, rowsOf(plan));
  });
  replace(foot, plan && totalRow(plan, sailingOrder(plan).some((row) => row.kind === "hole")));
  const before = body.querySelector("[data-editor]")?.dataset.editor;
  showEditor(body, COLUMNS.length);
  rove(host, host.querySelector("[data-item]"));
  markSelected(host);
  const opened = body.querySelector("[data-editor]")?.dataset.editor;
  if (opened && opened !== before) selectEdited(opened); // its fields have the focus
  else if (held && !host.contains(document.activeElement)) (host.querySelector(`[data-testid="${CSS.escape(held)}"]`) || host.querySelector("[tabindex='0'][data-item]"))?.focus({ preventScroll: true });
}

/** A waypoint that was just put in is the selected one, as its fields are open. */
function selectEdited(id) {
  const index = state.plan.request.route.waypoints.findIndex((waypoint) => waypoint.id === id);
  select({ kind: "waypoint", index }, "ledger");
}

/** A click anywhere on a row selects it, unless it was on something in the row that acts. */
function rowClicked(event) {
  const row = event.target.closest("[data-item]");
  if (row && !event.target.closest("button, a, input, select, label")) select(itemOf(row), "ledger");
}

/** The item a row stands for. */
export function itemOf(row) {
  return { kind: row.dataset.item, index: Number(row.dataset.index) };
}

/** One row at a time is a tab stop. */
function rove(host, row) {
  host.querySelectorAll("[data-item]").forEach((one) => { one.tabIndex = one === row ? 0 : -1; });
}

function markSelected(host) {
  const { selected } = state;
  host.querySelectorAll("[data-item]").forEach((row) => {
    const on = sameItem(itemOf(row), selected);
    row.classList.toggle("is-selected", on);
    if (!on) {
      row.removeAttribute("aria-current");
      return;
    }
    row.setAttribute("aria-current", "true");
    rove(host, row);
    // Nothing scrolls while a waypoint is dragged: the Plot would slip away under the pointer.
    if (!["ledger", "drag"].includes(selected.origin)) row.scrollIntoView({ block: "nearest" });
  });
}

/** The plan with the legs and turns around a moved waypoint as the service just answered them. */
function withPreview(plan, { answer, cleared }) {
  const settled = settledBy(plan, answer);
  const legs = new Map(answer.legs.filter((leg) => settled.legs.has(leg.to_id)).map((leg) => [leg.to_id, leg]));
  const turns = new Map(answer.turns.filter((turn) => settled.turns.has(turn.waypoint_id)).map((turn) => [turn.waypoint_id, turn]));
  const fresh = { legs: new Set(), turns: new Set() };
  const checked = { legs: new Map(), turns: new Map() };
  cleared?.legs.filter((leg) => leg.checked).forEach((leg) => checked.legs.set(leg.to_id, leg));
  cleared?.turns.filter((turn) => turn.checked).forEach((turn) => checked.turns.set(turn.waypoint_id, turn));
  const laid = (kind, key, found) => plan.answer[kind].map((one, index) => {
    const now = found.get(one[key]);
    if (!now) return one;
    fresh[kind].add(index);
    const again = checked[kind].get(one[key]);
    return { ...now, waypoint_index: one.waypoint_index, least_clearance: (again || one).least_clearance, checked_moving: Boolean(again) };
  });
  const merged = { ...plan, answer: { ...plan.answer, legs: laid("legs", "to_id", legs), turns: laid("turns", "waypoint_id", turns) } };
  const isChecked = (row) => (row.kind === "leg" ? checked.legs.has(row.leg.to_id) : checked.turns.has(row.turn.waypoint_id));
  return { merged, fresh, isChecked };
}

const staleWord = () => el("span", { class: "stale-word is-shown" }, "stale");

/** Puts the fresh values of a preview into their rows; what was found, and every other value, stays marked as stale. */
function showPreview(host) {
  const { plan, preview } = state;
  if (!plan || !preview) return;
  const { merged, fresh, isChecked } = withPreview(plan, preview);
  const marks = findingsByRow(plan);
  for (const row of sailingOrder(merged)) {
    if ((row.kind !== "leg" || !fresh.legs.has(row.index)) && (row.kind !== "turn" || !fresh.turns.has(row.index))) continue;
    const node = ledgerRow(merged, row, marks);
    node.classList.add("is-preview");
    node.dataset.state = "fresh";
    const [least, again] = [node.querySelector(".least"), isChecked(row)];
    least.dataset.state = again ? "fresh" : "stale";
    if (!again) least.append(staleWord());
    const found = [...node.querySelectorAll(".finding-link")];
    found.forEach((link) => { link.dataset.state = "stale"; });
    found.at(-1)?.after(staleWord());
    host.querySelector(`[data-testid="${row.kind}-row-${row.index}"]`)?.replaceWith(node);
  }
}

/** Each row says for itself whether its values belong to the inputs; those of a preview do. */
function markRows(host) {
  const now = freshness();
  host.querySelectorAll("[data-item]").forEach((row) => { row.dataset.state = state.preview && row.classList.contains("is-preview") ? "fresh" : now; });
}

/** The moved waypoint's own row follows its place. */
function showMoving(host) {
  const { moving } = state;
  if (!moving) return;
  host.querySelector(`[data-testid="${CSS.escape(`wp-row-${moving.id}`)}"] .position`)?.replaceWith(position(moving.position));
}

/** A plan that was opened from within the page: the link that had the focus is gone, so its heading takes it. */
function followPlace(host) {
  let last = state.place;
  let changes = 0; // the first is the page being loaded: the focus stays at its top
  let arriving = false;
  watch(["place", "plan"], () => {
    if (state.place !== last) { changes += 1; arriving = changes > 1 && state.place.kind === "plan"; }
    last = state.place;
    if (!arriving || !state.plan) return;
    arriving = false;
    const title = host.querySelector("#ledger-title");
    title.tabIndex = -1;
    queueMicrotask(() => { if (document.activeElement === document.body) title.focus({ preventScroll: true }); }); // the page shows it first
  });
}

export function startLedger(host) {
  const frame = makeFrame(host);
  watch(["plan"], () => render(host, frame));
  watch(["draft"], () => { if (!state.plan) render(host, frame); });
  watch(["editing", "fieldErrors"], () => showEditor(frame.body, COLUMNS.length));
  watch(["selected"], () => markSelected(host));
  watch(["preview"], () => { if (state.preview) showPreview(host); });
  watch(["moving"], () => {
    if (state.moving) showMoving(host);
    else if (!state.preview && !state.dirty) render(host, frame); // put back: nothing of the move stays on show
  });
  watch([...FRESHNESS_KEYS, "preview"], () => markRows(host));
  followPlace(host);
}
