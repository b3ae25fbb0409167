/** Asks the service for a fit, and puts what it says where it belongs. The ship's dimensions come from her own fields. */

import { shipPapers } from "../api.js";
import { fieldId } from "../panels/form.js";
import { ALL_FIELDS, shipFrom } from "../fields.js";
import { countText } from "../format.js";
import { set, state } from "../state.js";
import { lineWords } from "./record.js";
import { papersFrom, placeOf } from "./texts.js";

const OF_SHIP = ["name", "loa_m", "lpp_m", "beam_m", "draught_fore_m", "draught_aft_m", "block_coefficient", "speed_kn", "max_rudder_deg", "rudder_rate_deg_per_s", "helm_delay_s"];

/** What the ship's field of propulsion says of propellers and steering. */
const PROPULSION = { single_screw: { propeller_count: 1 }, twin_screw: { propeller_count: 2 }, azimuthing: { steered_by: "pods" } };

/** What the response is wanted for: her speed and draughts as the ship has them, and the depth of the passage. */
function wantedOf(ship) {
  const { depth_m: depth } = state.inputs?.conditions || {};
  const { draught_fore_m: fore, draught_aft_m: aft, speed_kn: speed } = ship;
  const members = { speed_kn: speed, depth_m: depth ?? undefined, draught_m: fore !== undefined && aft !== undefined ? (fore + aft) / 2 : undefined };
  return Object.fromEntries(Object.entries(members).filter(([, value]) => value !== undefined));
}

/** The request of a fit: {request, places, lines, errors}; `estimate` leaves the trials out. */
export function requestOf({ estimate }) {
  const { ship = {}, errors: ofShip } = shipFrom(state.form, state.extra);
  const { places, lines, errors, ship: own, sets, engine_orders: orders } = papersFrom(state.papers);
  const known = Object.fromEntries(OF_SHIP.filter((name) => name in ship).map((name) => [name, ship[name]]));
  const wrongShip = [...ofShip.keys()].filter((pointer) => OF_SHIP.includes(pointer.slice("/ship/".length)));
  const request = { ship: { ...known, ...PROPULSION[ship.propulsion], ...own }, wanted: wantedOf(ship) };
  if (estimate) return { request, places, lines, errors: new Map([...errors].filter(([place]) => place.startsWith("/papers"))), wrongShip };
  return { request: { ...request, sets, engine_orders: orders }, places, lines, errors, wrongShip };
}

/** Whether the answer on show is that of what is typed now. */
export function isStale({ sent, estimate }) {
  return JSON.stringify(requestOf({ estimate }).request) !== sent;
}

let running = null;

/** Asks for a fit; what cannot be read is said at its field, and nothing is sent. */
export async function askFit({ estimate }) {
  const { request, places, lines, errors, wrongShip } = requestOf({ estimate });
  set({ papersErrors: errors });
  const reason = notSent({ request, errors, wrongShip, estimate });
  if (reason) {
    set({ papersWork: { status: "unsent", reason, estimate } });
    return focusFirst([...errors.keys()], wrongShip);
  }
  running?.abort();
  const mine = (running = new AbortController());
  set({ papersWork: { status: "working", estimate } });
  try {
    const { answer } = await shipPapers.fit(request, mine.signal);
    if (running === mine) set({ papersWork: { status: "done", answer, sent: JSON.stringify(request), estimate } });
  } catch (error) {
    if (running !== mine) return;
    if (error.status === undefined) throw error; // a fault of this page, not an answer
    showRefusal(error, { places, lines, estimate });
  }
}

/** Stops waiting; what is typed stays. */
export function stopFit() {
  running?.abort();
  running = null;
  set({ papersWork: { status: "idle" } });
}

/** Why nothing is sent, or null. */
function notSent({ request, errors, wrongShip, estimate }) {
  if (wrongShip.length > 0) return `Not sent: ${countText(wrongShip.length, "field")} of the ship above cannot be read.`;
  if (errors.size > 0) return `Not sent: ${countText(errors.size, "place is", "places are")} marked above, each with its reason.`;
  if (!estimate && request.sets.length === 0) return "Not sent: no number of her papers is entered yet.";
  return null;
}

/** A refusal: each message at its field, and all of them in words. */
function showRefusal(error, { places, lines, estimate }) {
  const placed = error.errors.map(({ pointer, message }) => ({ pointer, message: pointer ? lineWords(pointer, lines) + message : message, place: pointer && placeOf(pointer, places) }));
  const ofShip = placed.filter(({ place, pointer }) => !place && (pointer === "/ship" || ALL_FIELDS.some((field) => field.pointer === pointer)));
  const papersErrors = new Map();
  for (const { place, message } of placed.filter((one) => one.place)) papersErrors.set(place, papersErrors.has(place) ? `${papersErrors.get(place)}\n${message}` : message);
  set({
    papersErrors, fieldErrors: new Map([...state.fieldErrors, ...ofShip.map(({ pointer, message }) => [pointer, message])]),
    papersWork: { status: "failed", error, placed, estimate },
  });
  focusFirst([...papersErrors.keys()], ofShip.map(({ pointer }) => pointer));
}

/** The id of a field of the papers, from its place. */
export const paperId = (place) => `papers${place.replaceAll("/", "-")}`;

/** Goes to the first field that a message stands at; what it is folded into is opened. */
function focusFirst(places, pointers) {
  const found = [...pointers.map(fieldId), ...places.map(paperId)].map((id) => document.getElementById(id)).find(Boolean);
  for (let part = found?.closest("details"); part; part = part.parentElement.closest("details")) part.open = true;
  found?.focus();
}
