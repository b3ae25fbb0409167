/** The fields of one waypoint and the leg that leads to it, in the Ledger. Each field is a step when it is left. */

import { el } from "../dom.js";
import { findWaypoint, setLeg, setMember, setPart } from "../draft/edits.js";
import { startMove } from "../draft/moving.js";
import { edit } from "../draft/save.js";
import { insertAfter, placeOff, placeTyped, removeWaypoint } from "../draft/waypoints.js";
import { readNumber } from "../fields.js";
import { courseText, known, numberText, positionText } from "../format.js";
import { set, state } from "../state.js";
import { readTime, typedTime } from "../times.js";
import { forget, keyOf, rememberSent, texts, wrongIn } from "./not_taken.js";
import { wheelOverField } from "./wheel_over_field.js";

const LEG_FIELDS = [
  ["speed_kn", "Speed", "kn"],
  ["speed_over_ground_kn", "Or speed over the ground", "kn"],
  ["xtd_port_nm", "XTD port", "NM"],
  ["xtd_starboard_nm", "XTD stbd", "NM"],
  ["min_clearance_m", "Least clearance", "m"],
];

/** One text field. `valueOf` reads the waypoint as it is; `take` gets the text and returns an error, or nothing; it may be slow. */
function textField({ id, name, label, unit, valueOf, take, path, hint, wide }) {
  const kept = () => String(valueOf(findWaypoint(state.inputs, id).waypoint ?? {}) ?? "");
  const domId = `edit-${name}`;
  const message = el("p", { class: "field-error", id: `${domId}-error`, "data-testid": `${domId}-error` });
  const input = el("input", {
    id: domId, type: "text", autocomplete: "off", "data-testid": domId, "aria-describedby": `${domId}-error`,
    on: {
      change: async () => {
        const text = input.value;
        if (text.trim() === kept()) { forget(id, name, path); say(null); return; }
        rememberSent(id, name, text);
        const error = await take(text);
        if (error) texts.set(keyOf(id, name), { text, error }); else texts.delete(keyOf(id, name));
        if (error && input !== document.activeElement) input.value = text; // another answer may have renewed it meanwhile
        say(error);
      },
      keydown: (event) => {
        if (event.key !== "Escape") return;
        forget(id, name, path);
        input.value = kept();
        say(null);
      },
    },
  });
  const say = (error) => {
    message.textContent = error || "";
    message.hidden = !error;
    input.setAttribute("aria-invalid", String(Boolean(error)));
  };
  const wrong = wrongIn(id, name, path, kept());
  input.value = wrong ? wrong.text : kept();
  say(wrong?.error);
  return el("div", { class: wide ? "field field-wide" : "field" }, el("label", { for: domId }, label, unit && el("span", { class: "unit" }, ` ${unit}`)), input, hint && el("p", { class: "field-hint" }, hint), message);
}

/** A number of a waypoint or leg: read with its unit, an empty text takes it out. */
function numberField({ id, name, label, unit, valueOf, put, path, hint }) {
  const take = (text) => {
    const { value: number, error } = readNumber(text, unit);
    if (!error) edit(put(number));
    return error;
  };
  return textField({ id, name, label, unit, valueOf, take, path, hint });
}

const radiusField = (id, hint) => numberField({ id, name: "radius", label: "Turn radius", unit: "NM", valueOf: (waypoint) => waypoint.turn_radius_nm, put: (value) => setMember(id, "turn_radius_nm", value), path: "turn_radius_nm", hint });

const legField = (id, member, label, unit, hint) => numberField({ id, name: member, label, unit, valueOf: (waypoint) => waypoint.leg?.[member], put: (value) => setLeg(id, member, value), path: `leg/${member}`, hint });

const NO_CURRENT = "Write the direction it sets to and its drift, like 040 1.5.";

/** "040 1.5": set and drift, both or neither. */
function readCurrent(text) {
  if (text.trim() === "") return { members: { set_deg: undefined, drift_kn: undefined } };
  const [set, drift, ...rest] = text.trim().split(/[\s/,x]+/);
  const [first, second] = [readNumber(set, "deg T"), readNumber(drift || "", "kn")];
  if (rest.length > 0 || first.value === undefined || second.value === undefined) return { error: NO_CURRENT };
  return { members: { set_deg: first.value, drift_kn: second.value } };
}

const currentText = (part) => (known(part?.set_deg) && known(part?.drift_kn) ? `${Number.isInteger(part.set_deg) ? courseText(part.set_deg) : part.set_deg} ${part.drift_kn}` : "");

/** The current of a part of a waypoint, `turn` or `leg`: one text, so that it is one step. */
function currentField(id, part, label, hint) {
  const take = (text) => {
    const { members, error } = readCurrent(text);
    if (!error) edit(setPart(id, part, members));
    return error;
  };
  return textField({ id, name: `${part}-current`, label, unit: "deg T, kn", valueOf: (waypoint) => currentText(waypoint[part]), take, path: [`${part}/set_deg`, `${part}/drift_kn`, part], hint });
}

const STEERINGS = [["", "not said: with the rudder"], ["rudder", "with the rudder"], ["rate", "by rate of turn"], ["radius", "by radius"]];

function steeringField(id, turn) {
  const choice = el("select", { id: "edit-steering", "data-testid": "edit-steering", on: { change: () => edit(setPart(id, "turn", { steering: choice.value || undefined })) } },
    STEERINGS.map(([value, words]) => el("option", { value, selected: (turn?.steering ?? "") === value }, words)));
  return el("div", { class: "field" }, el("label", { for: "edit-steering" }, "Steering in the turn"), choice);
}

const turnRudderField = (id) => numberField({ id, name: "turn-rudder", label: "Rudder in the turn", unit: "deg", valueOf: (waypoint) => waypoint.turn?.rudder_deg, put: (value) => setPart(id, "turn", { rudder_deg: value }), path: "turn/rudder_deg", hint: "empty: the ship's, else the rudder that holds the radius" });

/** How one turn is steered, and the current in it. */
const steeredFields = ({ id, turn }) => [steeringField(id, turn), turnRudderField(id), currentField(id, "turn", "Current in the turn: sets, drift", "like 040 1.5; empty: that of the leg, else the plan's")];

/** A time in UTC of a waypoint; an empty text takes it out. */
function timeField(id, member, label, hint) {
  const take = (text) => {
    const { value, error } = readTime(text);
    if (!error) edit(setMember(id, member, value));
    return error;
  };
  return textField({ id, name: member, label, unit: "UTC", valueOf: (waypoint) => typedTime(waypoint[member]), take, path: member, hint });
}

/** When she is to be there, how long she stays, and the window of arrival. */
function timeFields({ id }, index) {
  if (index === 0) return el("p", { class: "field-hint" }, "When she leaves it is the departure, under Schedule.");
  return el("div", { class: "fields" }, timeField(id, "eta_utc", "ETA", "like 2026-11-25 14:02; makes the speed of legs that give none"),
    numberField({ id, name: "stay_min", label: "Stays", unit: "min", valueOf: (waypoint) => waypoint.stay_min, put: (value) => setMember(id, "stay_min", value), path: "stay_min" }),
    timeField(id, "arrive_from_utc", "Arrive not before"), timeField(id, "arrive_to_utc", "Arrive not after"));
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
  if (second.value === 0) return "There is no distance in it: with 0 NM nothing moves.";
  return refusedWith(() => placeOff(id, first.value, second.value));
}

function lineField(id, leg) {
  const choice = el("select", { id: "edit-line", "data-testid": "edit-line", on: { change: () => edit(setLeg(id, "line", choice.value || undefined)) } },
    [["", "not said: rhumb line"], ["rhumb", "rhumb line"], ["geodesic", "geodesic (shortest)"]].map(([value, words]) => el("option", { value, selected: (leg.line ?? "") === value }, words)));
  return el("div", { class: "field" }, el("label", { for: "edit-line" }, "Line"), choice);
}

const placeText = (waypoint) => (known(waypoint.lat_deg) ? positionText(waypoint) : "");

function waypointFields(waypoint) {
  const { id } = waypoint;
  return el("div", { class: "fields" },
    textField({ id, name: "position", label: "Position", valueOf: placeText, wide: true, take: (text) => refusedWith(() => placeTyped(id, text)), hint: "51-23.456N 001-12.345E and the other usual spellings" }),
    textField({ id, name: "offset", label: "Or move by bearing and distance", unit: "deg T, NM", valueOf: () => "", take: (text) => takeOffset(id, text), hint: "like 090 0.03" }),
    textField({ id, name: "name", label: "Name", valueOf: (now) => now.name, path: "name", take: (text) => { edit(setMember(id, "name", text.trim() || undefined)); return null; } }),
    radiusField(id, "also 593m or 3.2cab"), wheelOverField(waypoint), hasTurn(id) && steeredFields(waypoint));
}

/** A turn needs a leg on both sides. */
function hasTurn(id) {
  const { waypoints } = state.inputs.route;
  return id !== waypoints[0].id && id !== waypoints.at(-1).id;
}

/** Planned wheel-over, radius, speed, steering and currents: the fields of a turn card. */
export function turnFields(waypoint) {
  const { id } = waypoint;
  return el("div", { class: "fields" }, wheelOverField(waypoint),
    radiusField(id, "empty: the ship's; also 593m or 3.2cab"), legField(id, "speed_kn", "Speed on the leg into the turn", "kn", "empty: the ship's"),
    steeredFields(waypoint), currentField(id, "leg", "Current on the leg into the turn: sets, drift", "empty: the plan's"));
}

function legFields(waypoint, index) {
  const { id } = waypoint;
  if (index === 0) return el("p", { class: "field-hint" }, "No leg leads to the first waypoint.");
  const leg = waypoint.leg || {};
  return el("div", { class: "fields" }, lineField(id, leg),
    LEG_FIELDS.map(([member, label, unit]) => legField(id, member, label, unit)), currentField(id, "leg", "Current on the leg: sets, drift", "like 040 1.5; empty: the plan's"));
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
    el("h3", {}, `WPT ${numberText(index)} (${id})`), waypointFields(waypoint), el("h3", {}, "Times"), timeFields(waypoint, index),
    index > 0 && el("h3", {}, `Leg ${numberText(index - 1)}-${numberText(index)}`), legFields(waypoint, index), actions(id));
}
