/** The ship's particulars. With every field empty there is no ship; a half given one waits here. */

import { el, replace } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { keepShip, shipOf } from "../draft/kept.js";
import { edit } from "../draft/save.js";
import { formFrom, REACH_KINDS, shipFrom, shipLabel, SHIP_FIELDS } from "../fields.js";
import { PARTS } from "../helm_fields.js";
import { isTyped } from "../redraw.js";
import { later } from "../later.js";
import { set, state, watch } from "../state.js";
import { field, keepText } from "./form.js";
import { helmPart } from "./helm.js";
import { startLoadings } from "./loadings.js";
import { startShipLibrary } from "./ship_library.js";

/** Whether the plan has a ship, or fields of one are filled in. */
export function hasShip() {
  return Boolean(state.inputs?.ship_id || state.extra.ship) || Object.keys(state.form).some((pointer) => pointer.startsWith("/ship/"));
}

/** Puts another ship in the fields, without touching the plan. */
export function fillShip(ship) {
  const { form, extra } = formFrom({ ship });
  const others = Object.fromEntries(Object.entries(state.form).filter(([pointer]) => !pointer.startsWith("/ship/")));
  set({ form: { ...others, ...form }, extra: { ...state.extra, ship: extra.ship } });
}

/** Takes what the fields say: into the plan, or for a stored ship into the edition being written. */
export function commitShip() {
  const { ship, errors, missing } = shipFrom(state.form, state.extra);
  const others = [...state.fieldErrors].filter(([pointer]) => !pointer.startsWith("/ship"));
  const waits = errors.size > 0 || missing.length > 0;
  const texts = Object.fromEntries(Object.entries(state.form).filter(([pointer]) => pointer.startsWith("/ship/")));
  const lost = waits || state.inputs.ship_id; // a stored ship's fields go nowhere until she is stored anew
  const cannotKeep = keepShip(state.draft.id, lost ? { form: texts, extra: state.extra.ship, missing, of: shipOf(state.inputs) } : null);
  set({ fieldErrors: new Map([...others, ...errors]), shipMissing: missing, shipEdited: Boolean(lost), ...(cannotKeep && { notice: `This browser could not keep the ship's fields: ${cannotKeep}` }) });
  if (!state.inputs.ship_id && !waits) edit(setTop({ ship }));
}

/** The pointer under which a reach is held, or "" when none is. */
function reachPointer() {
  return REACH_KINDS.map((kind) => kind.pointer).find((pointer) => pointer && pointer in state.form) || "";
}

/** The reach: how it is given, and its value. The value moves along when the kind changes. */
function reachField() {
  const kind = el("select", { id: "reach-kind", "data-testid": "reach-kind", on: { change: () => change() } },
    REACH_KINDS.map((one) => el("option", { value: one.pointer }, one.label)));
  const value = el("input", {
    id: "reach-value", type: "text", inputmode: "decimal", autocomplete: "off", "data-testid": "reach-value",
    "aria-describedby": "reach-error", on: { input: () => keepText(kind.value, value.value), change: () => { keepText(kind.value, value.value); commitShip(); } },
  });
  const unit = el("span", { class: "unit" });
  const message = el("p", { class: "field-error", id: "reach-error", hidden: true });
  const dress = () => {
    const one = REACH_KINDS.find(({ pointer }) => pointer === kind.value);
    unit.textContent = one.unit ? ` ${one.unit}` : "";
    value.disabled = !one.pointer;
  };
  const change = () => {
    REACH_KINDS.forEach(({ pointer }) => pointer && delete state.form[pointer]);
    if (kind.value) keepText(kind.value, value.value); else value.value = "";
    dress();
    if (!kind.value || value.value) commitShip();
  };
  watch(["form"], () => {
    if (isTyped(value) || document.activeElement === kind) return;
    kind.value = reachPointer();
    value.value = state.form[kind.value] ?? "";
    dress();
  });
  watch(["fieldErrors"], () => showReachError(value, message));
  return [
    el("div", { class: "field field-wide" }, el("label", { for: "reach-kind" }, "How the reach is given"), kind,
      el("p", { class: "field-hint" }, "reach: run ahead from the helm order to the start of the turn")),
    el("div", { class: "field" }, el("label", { for: "reach-value" }, "Reach", unit), value, message),
  ];
}

function showReachError(value, message) {
  const text = REACH_KINDS.map((kind) => state.fieldErrors.get(kind.pointer)).find(Boolean);
  message.textContent = text || "";
  message.hidden = !text;
  value.setAttribute("aria-invalid", text ? "true" : "false");
}

const EXTRA_WORDS = {
  air_draught_m: "air draught", bridge_from_bow_m: "bridge from bow",
};

/** Members without a field here: named, because they count. */
function extraLine() {
  const members = Object.keys(state.extra.ship || {}).filter((member) => !["turn_tables", "loading", "loadings", "consumption", "deviation_card", "stopping", ...PARTS].includes(member)); // said in their own places
  return members.length > 0 && el("p", { class: "field-hint" }, `Also given, without a field here: ${members.map((member) => EXTRA_WORDS[member] || member).join(", ")}.`);
}

function missingLine() {
  const missing = state.shipMissing.filter((member) => !member.startsWith("response/")); // said in its own place
  return missing.length > 0 && el("p", { class: "notice", "data-testid": "ship-missing" }, `Not stored yet. Still needed for a ship: ${missing.map(shipLabel).join(", ")}.`);
}

/** Takes the ship out of the plan. */
function clearShip() {
  fillShip(undefined);
  keepShip(state.draft.id, null);
  set({ fieldErrors: new Map(), shipMissing: [], shipEdited: false });
  edit(setTop({ ship: undefined, ship_id: undefined, ship_edition: undefined }));
}

/** Fetches a part of the panel once that is opened, and starts it with what it calls. */
function whenOpen(host, load, calls) {
  later(host, ["openPanel"], () => state.openPanel === "ship", async () => {
    const start = await load();
    return (place) => start(place, calls);
  });
}

export function startShip(host) {
  const [card, burns, compasses, extras, missing, library, tables, papers, loadings] = [el("div", {}), el("div", {}), el("div", {}), el("div", {}), el("div", { role: "status" }), el("div", {}), el("div", {}), el("div", {}), el("div", {})];
  const general = el("p", { class: "field-error", hidden: true });
  replace(host, el("h2", {}, "Ship"),
    el("p", { class: "panel-lead" }, "Empty fields are left out, never filled in. With no ship, wheel-overs, rates and reach are not computed; they read so."),
    library, general,
    el("div", { class: "fields" }, SHIP_FIELDS.map((one) => field(one, commitShip)), reachField()), missing, helmPart(commitShip), papers, loadings, tables, burns, compasses, card, extras,
    el("div", { class: "actions" }, el("button", { type: "button", "data-testid": "clear-ship", on: { click: clearShip } }, "Plan with no ship")));
  startShipLibrary(library, { fillShip });
  whenOpen(papers, async () => (await import("./papers.js")).startPapers, { commitShip });
  startLoadings(loadings, { commitShip });
  whenOpen(tables, async () => (await import("./turn_tables.js")).startTurnTables, { commitShip });
  whenOpen(compasses, async () => (await import("./compasses.js")).startCompasses, { commitShip });
  whenOpen(burns, async () => (await import("./consumption.js")).startConsumption, commitShip);
  whenOpen(card, async () => (await import("./pilot_card.js")).startPilotCard, commitShip);
  watch(["extra"], () => replace(extras, extraLine()));
  watch(["shipMissing", "form"], () => replace(missing, missingLine()));
  watch(["fieldErrors"], () => {
    general.textContent = state.fieldErrors.get("/ship") || "";
    general.hidden = !general.textContent;
  });
}
