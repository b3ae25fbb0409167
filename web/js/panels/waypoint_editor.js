/** The fields of one waypoint and the leg that leads to it, in the Ledger. Each field is a step when it is left. */

import { el } from "../dom.js";
import { setLeg, setMember } from "../draft/edits.js";
import { startMove } from "../draft/moving.js";
import { edit } from "../draft/save.js";
import { insertAfter, placeOff, placeTyped, removeWaypoint } from "../draft/waypoints.js";
import { readNumber } from "../fields.js";
import { numberText, positionText } from "../format.js";
import { set, state } from "../state.js";
import { wheelOverField } from "./wheel_over_field.js";

/** What was typed and could not be taken, by field: it stays, with the reason, until it is put right. */
const texts = new Map();

const LEG_FIELDS = [
  ["speed_kn", "Speed", "kn"],
  ["xtd_port_nm", "XTD port", "NM"],
  ["xtd_starboard_nm", "XTD stbd", "NM"],
  ["min_clearance_m", "Least clearance", "m"],
];

/** The service's message about a member of this waypoint, if the last change was refused. */
function refusal(id, path) {
  const index = state.inputs.route.waypoints.findIndex((waypoint) => waypoint.id === id);
  return state.fieldErrors.get(`/route/waypoints/${index}/${path}`);
}

/** One text field. `take` gets the text and returns an error, or nothing; it may be slow. */
function textField({ id, name, label, unit, value, take, path, hint, wide }) {
  const key = `${id} ${name}`;
  const wrong = texts.get(key) || (path && refusal(id, path) && { text: value, error: refusal(id, path) });
  const domId = `edit-${name}`;
  const message = el("p", { class: "field-error", id: `${domId}-error`, "data-testid": `${domId}-error`, hidden: !wrong }, wrong?.error);
  const input = el("input", {
    id: domId, type: "text", autocomplete: "off", "data-testid": domId, "aria-invalid": String(Boolean(wrong)), "aria-describedby": `${domId}-error`,
    on: {
      change: async () => {
        const text = input.value;
        const error = await take(text);
        if (error) texts.set(key, { text, error }); else texts.delete(key);
        message.textContent = error || "";
        message.hidden = !error;
        input.setAttribute("aria-invalid", String(Boolean(error)));
      },
      keydown: (event) => {
        if (event.key !== "Escape") return;
        texts.delete(key);
        input.value = value;
        message.hidden = true;
      },
    },
  });
  input.value = wrong ? wrong.text : value;
  return el("div", { class: wide ? "field field-wide" : "field" }, el("label", { for: domId }, label, unit && el("span", { class: "unit" }, ` ${unit}`)), input, hint && el("p", { class: "field-hint" }, hint), message);
}

/** A number of a waypoint or leg: read with its unit, an empty text takes it out. */
function numberField(id, name, label, unit, value, put, path, hint) {
  const take = (text) => {
    const { value: number, error } = readNumber(text, unit);
    if (!error) edit(put(number));
    return error;
  };
  return textField({ id, name, label, unit, value: value ?? "", take, path, hint });
}

/** Runs what asks the service; its refusal becomes the field's message. */
async function refusedWith(work) {
  try {
    await work();
    return null;
  } catch (error) {
    return error.errors?.[0]?.message || error.message;
  }
}

/** "090 0.03": a bearing and a distance from the old place. */
function takeOffset(id, text) {
  if (text.trim() === "") return null;
  const [bearing, distance, ...rest] = text.trim().split(/[\s/,x]+/);
  const [first, second] = [readNumber(bearing, "deg T"), readNumber(distance || "", "NM")];
  if (rest.length > 0 || first.value === undefined || second.value === undefined) return "Write a true bearing and a distance, like 090 0.03 or 172 1.2cab.";
  return refusedWith(() => placeOff(id, first.value, second.value));
}

function lineField(id, leg) {
  const choice = el("select", { id: "edit-line", "data-testid": "edit-line", on: { change: () => edit(setLeg(id, "line", choice.value || undefined)) } },
    [["", "not said: rhumb line"], ["rhumb", "rhumb line"], ["geodesic", "geodesic (shortest)"]].map(([value, words]) => el("option", { value, selected: (leg.line ?? "") === value }, words)));
  return el("div", { class: "field" }, el("label", { for: "edit-line" }, "Line"), choice);
}

function waypointFields(waypoint) {
  const { id } = waypoint;
  return el("div", { class: "fields" },
    textField({ id, name: "position", label: "Position", value: positionText(waypoint), wide: true, take: (text) => (text.trim() === positionText(waypoint) ? null : refusedWith(() => placeTyped(id, text))), hint: "51-23.456N 001-12.345E and the other usual spellings" }),
    textField({ id, name: "offset", label: "Or move by bearing and distance", unit: "deg T, NM", value: "", take: (text) => takeOffset(id, text), hint: "like 090 0.03" }),
    textField({ id, name: "name", label: "Name", value: waypoint.name ?? "", path: "name", take: (text) => { edit(setMember(id, "name", text.trim() || undefined)); return null; } }),
    numberField(id, "radius", "Turn radius", "NM", waypoint.turn_radius_nm, (value) => setMember(id, "turn_radius_nm", value), "turn_radius_nm", "also 593m or 3.2cab"),
    wheelOverField(waypoint, texts));
}

/** Radius, planned wheel-over and the speed of the inbound leg: the fields of a turn card. */
export function turnFields(waypoint) {
  const { id } = waypoint;
  return el("div", { class: "fields" }, wheelOverField(waypoint, texts),
    numberField(id, "radius", "Turn radius", "NM", waypoint.turn_radius_nm, (value) => setMember(id, "turn_radius_nm", value), "turn_radius_nm", "empty: the ship's; also 593m or 3.2cab"),
    numberField(id, "speed_kn", "Speed on the leg into the turn", "kn", waypoint.leg?.speed_kn, (value) => setLeg(id, "speed_kn", value), "leg/speed_kn", "empty: the ship's"));
}

function legFields(waypoint, index) {
  const { id } = waypoint;
  if (index === 0) return el("p", { class: "field-hint" }, "No leg leads to the first waypoint.");
  const leg = waypoint.leg || {};
  return el("div", { class: "fields" }, lineField(id, leg),
    LEG_FIELDS.map(([member, label, unit]) => numberField(id, member, label, unit, leg[member], (value) => setLeg(id, member, value), `leg/${member}`)));
}

function actions(id) {
  const button = (testId, words, click) => el("button", { type: "button", "data-testid": testId, on: { click } }, words);
  return el("div", { class: "actions" },
    button("edit-move", "Move by steps (M)", () => { set({ editing: null }); startMove(id, "keys"); }),
    button("edit-insert", "Insert after (N)", () => insertAfter(id)),
    button("edit-place", "Insert after, on the Plot", () => set({ placing: id, editing: null })),
    button("edit-remove", "Remove (Del)", () => removeWaypoint(id)),
    button("edit-close", "Close", () => set({ editing: null })));
}

/** The fields under a waypoint's row, from the inputs as they stand. */
export function waypointEditor(id) {
  const index = state.inputs.route.waypoints.findIndex((waypoint) => waypoint.id === id);
  const waypoint = state.inputs.route.waypoints[index];
  if (!waypoint) return null;
  return el("div", { class: "editor", "data-testid": "editor", role: "group", "aria-label": `WPT ${numberText(index)} (${id})` },
    el("h3", {}, `WPT ${numberText(index)} (${id})`), waypointFields(waypoint),
    index > 0 && el("h3", {}, `Leg ${numberText(index - 1)}-${numberText(index)}`), legFields(waypoint, index), actions(id));
}
