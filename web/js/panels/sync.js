/** What of a plan is where, in words: on this side only, sent, received. Nothing pretends to have arrived. */

import { el } from "../dom.js";
import { state } from "../state.js";

const time = (utc) => (utc.slice(0, 10) === new Date().toISOString().slice(0, 10) ? `${utc.slice(11, 16)}Z` : `${utc.slice(0, 10)} ${utc.slice(11, 16)}Z`);

/** "on this side only", "sent 14:02Z", "received 14:31Z". */
export function syncWords({ state: where, at_utc: at }) {
  if (where === "on_this_side_only" || !at) return "on this side only";
  return `${where} ${time(at)}`;
}

/** Every place a thing is in, one for each peer: "Zoo office: sent 14:02Z". */
function placesOf(sync, find) {
  if (!sync) return [];
  if (sync.peers.length === 0) return [];
  return sync.peers.map((peer) => ({ name: peer.name, line: find(peer) })).filter(({ line }) => line).map(({ name, line }) => (sync.peers.length > 1 ? `${name}: ${syncWords(line)}` : syncWords(line)));
}

const word = (places, testId) => places.length > 0 && el("span", { class: "sync-word", "data-testid": testId }, places.join("; "));

/** Where a note of a thread is; nothing where no peer is paired for the plan. */
export const noteSync = (id) => word(placesOf(state.sync, (peer) => peer.notes.find((one) => one.id === id)), "note-sync");

/** Where a revision is. */
export const revisionSync = (number) => word(placesOf(state.sync, (peer) => peer.revisions.find((one) => one.number === number)), "revision-sync");

/** Where a decision or another line of the record is. */
export const eventSync = (number) => word(placesOf(state.sync, (peer) => peer.events.find((one) => one.number === number)), "event-sync");
