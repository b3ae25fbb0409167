/** Parcels in words: what one carries, what became of it. */

import { countText, dateText, listText, sizeText } from "../format.js";

export const SIDES = { ship: "on board", shore: "ashore" };
const CAME = { taken: "taken", already_taken: "taken before; nothing changed", held: "held: an earlier parcel has not come yet, this one is taken after it" };

const planWords = ({ name, id, revisions, events_count: events, notes_count: notes }) => `${name || id}: ${[revisions.length > 0 && `revision ${listText(revisions.map((one) => `r${one}`))}`, events > 0 && countText(events, "line of the record", "lines of the record"), notes > 0 && countText(notes, "note of threads", "notes of threads")].filter(Boolean).join(", ") || "nothing new"}`;

/** What a parcel carries. */
export function carriesWords({ plans = [], editions = [] }) {
  const parts = [...plans.map(planWords), editions.length > 0 && `ships and sets of dangers: ${editions.map((one) => `${one.name} ed. ${one.edition}`).join(", ")}`].filter(Boolean);
  return parts.join("; ") || "only what was received";
}

/** "Parcel 3, 8.4 kB, received 26 Nov 2026 14:31Z". */
export function sentWords({ sequence, size_count: size, state, made_utc: made, acknowledged_utc: got }) {
  return `Parcel ${sequence}, ${sizeText(size)}, made ${dateText(made)}, ${state === "received" && got ? `received, as their parcel of ${dateText(got)} says` : "sent: not yet known to have arrived"}`;
}

export const cameWords = ({ sequence, size_count: size, state, received_utc: at }) => `Parcel ${sequence}, ${sizeText(size)}, came ${dateText(at)}, ${CAME[state]}`;

/** What became of a parcel that was just brought. */
export function takenWords({ sequence, state, released = [] }, peer) {
  return `Parcel ${sequence} of ${peer}: ${CAME[state]}.${released.length > 0 ? ` Taken after it: parcel ${listText(released.map(String))}.` : ""}`;
}
