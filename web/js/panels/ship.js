/** The ship. With every field empty there is no ship, and the request has none. */

import { el, replace } from "../dom.js";
import { REACH_KINDS, SHIP_FIELDS } from "../fields.js";
import { markDirty, set, state, watch } from "../state.js";
import { field, keep } from "./form.js";

/** The pointer under which a reach is held, or "" when none is. */
function reachPointer() {
  return REACH_KINDS.map((kind) => kind.pointer).find((pointer) => pointer && pointer in state.inputs.form) || "";
}

/** The reach: how it is given, and its value. The value moves along when the kind changes. */
function reachField() {
  const select = el("select", { id: "reach-kind", "data-testid": "reach-kind", on: { change: () => change() } },
    REACH_KINDS.map((kind) => el("option", { value: kind.pointer }, kind.label)));
  const value = el("input", {
    id: "reach-value", type: "text", inputmode: "decimal", autocomplete: "off", "data-testid": "reach-value",
    "aria-describedby": "reach-error", on: { input: () => keep(select.value, value.value) },
  });
  const unit = el("span", { class: "unit" });
  const message = el("p", { class: "field-error", id: "reach-error", hidden: true });
  const show = () => {
    const kind = REACH_KINDS.find((one) => one.pointer === select.value);
    unit.textContent = kind.unit ? ` ${kind.unit}` : "";
    value.disabled = !kind.pointer;
  };
  const change = () => {
    REACH_KINDS.forEach((kind) => kind.pointer && delete state.inputs.form[kind.pointer]);
    if (select.value) keep(select.value, value.value); else { value.value = ""; markDirty(); }
    show();
  };
  watch(["inputs"], () => { select.value = reachPointer(); value.value = state.inputs.form[select.value] ?? ""; show(); });
  watch(["fieldErrors"], () => showReachError(value, message));
  return [
    el("div", { class: "field field-wide" }, el("label", { for: "reach-kind" }, "How the reach is given"), select,
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

/** Members that came with the demonstration and have no field: named, because they are sent. */
function extraLine() {
  const members = Object.keys(state.inputs.extra.ship || {});
  return members.length > 0 && el("p", { class: "field-hint" }, `Also sent, without a field here: ${members.join(", ")}.`);
}

/** Takes everything of the ship away. */
function clearShip() {
  const { ship, ...extra } = state.inputs.extra;
  const form = Object.fromEntries(Object.entries(state.inputs.form).filter(([pointer]) => !pointer.startsWith("/ship/")));
  set({ inputs: { ...state.inputs, form, extra }, fieldErrors: new Map() });
  markDirty();
}

/** Whether any field or member of a ship is there. */
export function hasShip() {
  return Boolean(state.inputs.extra.ship) || Object.keys(state.inputs.form).some((pointer) => pointer.startsWith("/ship/"));
}

export function startShip(host) {
  const extras = el("div", {});
  const general = el("p", { class: "field-error", hidden: true });
  replace(host, el("h2", {}, "Ship"),
    el("p", { class: "panel-lead" }, "Empty fields are left out, never filled in. With no ship, wheel-overs, rates and reach are not computed; they read so."),
    general,
    el("div", { class: "fields" }, SHIP_FIELDS.map(field), reachField()), extras,
    el("div", { class: "actions" }, el("button", { type: "button", "data-testid": "clear-ship", on: { click: clearShip } }, "Plan with no ship")));
  watch(["inputs"], () => replace(extras, extraLine()));
  watch(["fieldErrors"], () => {
    general.textContent = state.fieldErrors.get("/ship") || "";
    general.hidden = !general.textContent;
  });
}
