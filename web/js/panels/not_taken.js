/**
 * What was typed for a waypoint and is not in the plan: text that could not be read, and text the service refused.
 * It is kept by plan and waypoint id, so that it comes back where it was typed, whatever is inserted before it.
 */

import { set, state, watch } from "../state.js";

/** {text, error} by key: it stays, with the reason, until it is put right. */
export const texts = new Map();
/** What was typed last in a field and sent, by key: it comes back where the service refuses it. */
const sent = new Map();
/** Refusals of the service: {id, message} by pointer. An index means another waypoint after an insertion. */
let refusals = new Map();

export const keyOf = (id, name) => `${state.place.id} ${id} ${name}`;

export function rememberSent(id, name, text) {
  sent.set(keyOf(id, name), text);
}

function gather() {
  const { fieldErrors, inputs } = state;
  const owner = (pointer, message) => (refusals.get(pointer)?.message === message ? refusals.get(pointer).id : inputs?.route.waypoints[pointer.split("/")[3]]?.id);
  refusals = new Map([...fieldErrors].filter(([pointer]) => pointer.startsWith("/route/waypoints/"))
    .map(([pointer, message]) => [pointer, { id: owner(pointer, message), message }]));
}

/** The refusal that counts for a member of a waypoint, or for one of several, as [pointer, {id, message}]. */
function refusalOf(id, path) {
  return [...refusals].find(([pointer, one]) => one.id === id && [path].flat().includes(pointer.split("/").slice(4).join("/")));
}

/** What is wrong in a field: {text, error}, or nothing. `value` is what the plan holds. */
export function wrongIn(id, name, path, value) {
  const refused = path && refusalOf(id, path);
  return texts.get(keyOf(id, name)) || (refused && { text: sent.get(keyOf(id, name)) ?? value, error: refused[1].message });
}

/** Forgets what was typed in a field and its refusal: the field shows what the plan holds. */
export function forget(id, name, path) {
  texts.delete(keyOf(id, name));
  sent.delete(keyOf(id, name));
  const refused = path && refusalOf(id, path);
  if (refused) set({ fieldErrors: new Map([...state.fieldErrors].filter(([pointer]) => pointer !== refused[0])) });
}

/** The words on the button that opens the fields of a waypoint: a text left behind in them is said. */
export function openerWords(id) {
  const count = [...texts.keys()].filter((key) => key.startsWith(keyOf(id, ""))).length + [...refusals.values()].filter((one) => one.id === id).length;
  return count === 0 ? "edit" : `edit: ${count} ${count === 1 ? "value" : "values"} not taken`;
}

watch(["fieldErrors"], gather);
