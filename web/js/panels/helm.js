/** How she answers the helm: what SIM is computed from. A half given response waits here with the ship. */

import { el, replace } from "../dom.js";
import { readField, shipLabel } from "../fields.js";
import { EXTENSION_FIELDS, HELM_FIELDS, RESPONSE_FIELDS } from "../helm_fields.js";
import { set, state, watch } from "../state.js";
import { field, fieldId } from "./form.js";
import { loadingInUse } from "./loadings.js";

const ORIGIN = "/ship/response/origin";
const ofResponse = (pointer) => pointer.startsWith("/ship/response/");
const spreadOf = () => state.extra.ship?.response?.covariance;
const hasResponse = () => Object.keys(state.form).some(ofResponse);

/** The ship of the form without the members of her response that have no field. */
export function withoutSpread(extra) {
  const { response, ...ship } = extra.ship || {};
  return { ...extra, ship: Object.keys(ship).length > 0 ? ship : undefined };
}

/** Whether a text says another number than the response that is stored. */
function isChanged(pointer, text) {
  const stored = (state.inputs?.ship ?? state.storedShip?.ship)?.response;
  const { value, error } = readField(pointer, text);
  return !error && value !== (stored?.[pointer.split("/").at(-1)] ?? undefined);
}

/** A number changed by hand is not what was fitted: the spread goes, and "fitted" or "recorded" is not said any more. */
function dropSpread(pointer, text) {
  if (!spreadOf() || pointer === ORIGIN || !isChanged(pointer, text)) return;
  const said = state.form[ORIGIN];
  const form = { ...state.form };
  if (said !== "estimated") delete form[ORIGIN];
  const origin = said === "estimated" ? "They still read as estimated" : "Where they come from now reads not said";
  set({ form, extra: withoutSpread(state.extra), responseByHand: `A number of the response was changed by hand: the spread of the fit no longer belongs to it and is dropped. ${origin}. Undo brings both back.` });
}

/** Whether a spread goes with the numbers, or went. */
function spreadLine() {
  if (spreadOf()) return el("p", { class: "field-hint", "data-testid": "response-spread" }, "The spread of the fit (its covariance) goes with these numbers. A number changed by hand drops it, and they are then no longer said to be fitted.");
  return state.responseByHand && el("p", { class: "notice", "data-testid": "response-by-hand" }, state.responseByHand);
}

/** The terms beyond the first order, folded away until one is given or wrong. */
function extensions(commitShip) {
  const details = el("details", { "data-testid": "response-extensions" }, el("summary", {}, "Further terms of the model"),
    el("div", { class: "fields" }, EXTENSION_FIELDS.map((one) => field(one, commitShip))));
  watch(["form", "fieldErrors"], () => {
    if (EXTENSION_FIELDS.some(({ pointer }) => pointer in state.form || state.fieldErrors.has(pointer))) details.open = true;
  });
  return details;
}

function missingLine() {
  const missing = state.shipMissing.filter((member) => member.startsWith("response/"));
  return missing.length > 0 && el("p", { class: "notice", "data-testid": "response-missing" }, `The ship waits here, not stored yet. Still needed for her response: ${missing.map(shipLabel).join(", ")}.`);
}

/** With a loading in use the response of the fields is not the one the plan is computed with. */
function loadingLine() {
  const name = loadingInUse();
  return name !== null && el("p", { class: "notice", "data-testid": "helm-loading" }, `In use is the loading ${name}: the plan is computed with the response kept of it, see Loadings, and not with this one.`);
}

/** Takes all of the response out of the ship. */
function clearResponse(commitShip) {
  const texts = Object.entries(state.form).filter(([pointer]) => !ofResponse(pointer));
  const errors = [...state.fieldErrors].filter(([pointer]) => !ofResponse(pointer));
  set({ form: Object.fromEntries(texts), extra: withoutSpread(state.extra), fieldErrors: new Map(errors), responseByHand: null });
  commitShip();
  document.getElementById(fieldId(RESPONSE_FIELDS[0].pointer)).focus(); // the button is off now
}

export function helmPart(commitShip) {
  const [missing, general, spread, loading] = [el("div", { role: "status" }), el("p", { class: "field-error", hidden: true }), el("div", { role: "status" }), el("div", { role: "status" })];
  const commitResponse = (pointer, text) => {
    dropSpread(pointer, text);
    commitShip();
  };
  const clear = el("button", { type: "button", "data-testid": "clear-response", on: { click: () => clearResponse(commitShip) } }, "Take the response away");
  watch(["shipMissing"], () => replace(missing, missingLine()));
  watch(["form", "extra", "shipMissing"], () => { clear.disabled = !hasResponse(); });
  watch(["extra", "responseByHand"], () => replace(spread, spreadLine()));
  watch(["extra"], () => replace(loading, loadingLine()));
  watch(["draft"], () => { if (!state.draft) set({ responseByHand: null }); });
  watch(["fieldErrors"], () => {
    general.textContent = state.fieldErrors.get("/ship/response") || "";
    general.hidden = !general.textContent;
  });
  return el("section", { class: "helm-part", "aria-labelledby": "helm-title", "data-testid": "helm-part" }, el("h3", { id: "helm-title" }, "How she answers the helm"),
    el("div", { class: "fields" }, HELM_FIELDS.map((one) => field(one, commitShip))),
    el("p", { class: "panel-lead" }, "Her response: T r' + r + alpha r\u00b3 = K rudder, with r her rate of turn in rad/s and the rudder in rad. Without it SIM is not computed and reads so."), loading,
    el("div", { class: "fields" }, RESPONSE_FIELDS.map((one) => field(one, commitResponse))), extensions(commitResponse), spread, general, missing,
    el("div", { class: "actions" }, clear));
}
