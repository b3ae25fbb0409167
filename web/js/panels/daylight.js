/** Needs of daylight: at which waypoint or wheel-over she must be by day, and why. */

import { el, replace } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { numberText } from "../format.js";
import { choiceField, formField, formMessage } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";

const PARTS = { wheel_over: "wheel-over", waypoint: "waypoint" };

const setNeeds = (change) => edit((inputs) => {
  const needs = change(inputs.daylight_needs || []);
  return setTop({ daylight_needs: needs.length > 0 ? needs : undefined })(inputs);
});

const waypointWords = (id) => {
  const index = state.inputs.route.waypoints.findIndex((one) => one.id === id);
  return index < 0 ? id : `WPT ${numberText(index)}`;
};

function list() {
  const needs = state.inputs?.daylight_needs || [];
  if (needs.length === 0) return el("p", { class: "missing" }, "Nobody has said where daylight is needed: day and night are shown, not judged.");
  return el("ul", { class: "plain-list" }, needs.map(({ waypoint_id: id, part, reason }, index) => el("li", { class: "loaded", "data-testid": `need-${index}` },
    el("span", {}, el("strong", {}, `${PARTS[part ?? "wheel_over"]} of ${waypointWords(id)}`), `: ${reason}`),
    el("button", { type: "button", "data-testid": `need-drop-${index}`, on: { click: () => setNeeds((all) => all.filter((_, i) => i !== index)) } }, "Take this need away"))));
}

function form(host) {
  const at = choiceField({ id: "need-at", label: "At" });
  const part = choiceField({ id: "need-part", label: "There" });
  const reason = formField({ id: "need-reason", label: "Reason" });
  const message = formMessage("need-refused");
  part.fill(Object.entries(PARTS));
  const take = (event) => {
    event.preventDefault();
    at.say(at.text() ? null : "A waypoint is needed.");
    reason.say(reason.text() ? null : "A reason is needed.");
    if (!at.text() || !reason.text()) return;
    const need = { waypoint_id: at.text(), part: part.text(), reason: reason.text() };
    setNeeds((all) => [...all.filter((one) => one.waypoint_id !== need.waypoint_id || (one.part ?? "wheel_over") !== need.part), need]);
    reason.input.value = "";
  };
  replace(host, el("form", { class: "strip-form", novalidate: true, "data-testid": "need-form", on: { submit: take } },
    el("div", { class: "fields" }, at.node, part.node, reason.node), message.node,
    el("div", { class: "actions" }, el("button", { type: "submit", "data-testid": "need-take" }, "Add this need of daylight"))));
  watch(["inputs"], () => { if (state.inputs) at.fill([["", "choose a waypoint"], ...state.inputs.route.waypoints.map(({ id, name }, index) => [id, [`WPT ${numberText(index)}`, name].filter(Boolean).join(", ")])]); });
  watch(["fieldErrors"], () => { message.say([...state.fieldErrors].filter(([pointer]) => pointer.startsWith("/daylight_needs")).map(([, words]) => words).join(" ") || null); });
}

export function startDaylight(host) {
  const [needs, formHost] = [el("div", {}), el("div", {})];
  form(formHost);
  replace(host, el("h2", {}, "Daylight"), el("p", { class: "panel-lead" }, "Where she must be by day, from sunrise to sunset. Twilight must be explained, darkness resolved."), needs, formHost);
  watch(["inputs"], () => redraw(needs, list()));
}
