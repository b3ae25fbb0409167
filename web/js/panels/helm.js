/** How she answers the helm: what SIM is computed from. A half given response waits here with the ship. */

import { el, replace } from "../dom.js";
import { shipLabel } from "../fields.js";
import { EXTENSION_FIELDS, HELM_FIELDS, RESPONSE_FIELDS } from "../helm_fields.js";
import { set, state, watch } from "../state.js";
import { field, fieldId } from "./form.js";

const ofResponse = (pointer) => pointer.startsWith("/ship/response/");
const hasResponse = () => Object.keys(state.form).some(ofResponse);

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

/** Takes all of the response out of the ship. */
function clearResponse(commitShip) {
  const texts = Object.entries(state.form).filter(([pointer]) => !ofResponse(pointer));
  const errors = [...state.fieldErrors].filter(([pointer]) => !ofResponse(pointer));
  set({ form: Object.fromEntries(texts), fieldErrors: new Map(errors) });
  commitShip();
  document.getElementById(fieldId(RESPONSE_FIELDS[0].pointer)).focus(); // the button is off now
}

export function helmPart(commitShip) {
  const [missing, general] = [el("div", { role: "status" }), el("p", { class: "field-error", hidden: true })];
  const clear = el("button", { type: "button", "data-testid": "clear-response", on: { click: () => clearResponse(commitShip) } }, "Take the response away");
  watch(["shipMissing"], () => replace(missing, missingLine()));
  watch(["form", "shipMissing"], () => { clear.disabled = !hasResponse(); });
  watch(["fieldErrors"], () => {
    general.textContent = state.fieldErrors.get("/ship/response") || "";
    general.hidden = !general.textContent;
  });
  return el("section", { class: "helm-part", "aria-labelledby": "helm-title", "data-testid": "helm-part" }, el("h3", { id: "helm-title" }, "How she answers the helm"),
    el("div", { class: "fields" }, HELM_FIELDS.map((one) => field(one, commitShip))),
    el("p", { class: "panel-lead" }, "Her response: T r' + r + alpha r\u00b3 = K rudder, with r her rate of turn in rad/s and the rudder in rad. Without it SIM is not computed and reads so."),
    el("div", { class: "fields" }, RESPONSE_FIELDS.map((one) => field(one, commitShip))), extensions(commitShip), general, missing,
    el("div", { class: "actions" }, clear));
}
