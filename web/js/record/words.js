/** States, people and marks in words. What the service sent is said, nothing is concluded. */

import { dateText } from "../format.js";

/** The number of the newest revision, 0 without one. */
export function newestOf(plan) {
  return plan.revision_count ?? plan.revisions?.[0]?.number ?? 0;
}

/** The number of the revision that is sailed: in use, else approved; null without one. */
export function sailedOf({ in_use_revision: used, approved_revision: approved }) {
  return used ?? approved;
}

/** What stands beside an approved state: that inputs changed since, or that this engine has not looked at it yet. */
const markWords = (counts, stale) => (counts ? (stale ? ", stale" : "") : ", inputs changed since");

const STATES = { offered: "offered", returned: "returned", approved: "approved", in_use: "in use", closed: "closed" };

/** "in use r4, inputs changed since; offered r5". What is in use stands first, whatever its mark. */
export function stateWords(plan) {
  const { state, in_use_revision: used, in_use_stands: usedStands, in_use_stale: usedStale, approved_revision: approved, approval_stands: stands, approval_stale: stale } = plan;
  const newest = newestOf(plan);
  const parts = [
    used !== null && `in use r${used}${markWords(usedStands, usedStale)}`,
    approved !== null && approved !== used && `approved r${approved}${markWords(stands, stale)}`,
    newest > 0 && newest !== used && newest !== approved && `${STATES[state]} r${newest}`,
  ].filter(Boolean);
  return parts.join("; ") || "draft";
}

/** Whom a plan waits on, and for what: {who: "navigator" | "master", what, revision}; the revision where one is decided. The demonstration waits on nobody. */
export function waitingOn(plan) {
  const { state, approved_revision: approved, approval_stands: stands, edited_since_revision: edited, demonstration } = plan;
  const newest = newestOf(plan);
  if (demonstration) return [];
  return [
    newest === 0 && { who: "navigator", what: "offer it" },
    state === "returned" && { who: "navigator", what: `change and offer again, r${newest} was returned` },
    edited && { who: "navigator", what: `offer the changes since r${newest}` },
    state === "offered" && { who: "master", what: `decide r${newest}`, revision: newest },
    approved !== null && !stands && { who: "master", what: `decide r${approved} again`, revision: approved },
  ].filter(Boolean);
}

/** Who did something; a name that nobody checked is said to be claimed. */
export function personWords({ name, rank, claimed }) {
  if (!name) return "nobody named";
  return [name, rank, claimed && "claimed"].filter(Boolean).join(", ");
}

const ACTS = {
  offered: "Offered", approved: "Approved", returned: "Returned", taken_into_use: "Taken into use", closed: "Closed", checked: "Checked as second person",
  signed_off: "Read and signed", course_verified: "Course verified", lapsed: "Inputs changed since", noted: "Noted",
  shore_returned: "Returned from ashore:", shore_agreed: "Agreed ashore with", shore_read: "Read ashore, no decision on", conflict_found: "Held differently found in", conflict_settled: "Pick between two sides recorded for",
};

/** "Approved r4 by J. Holm, Master, claimed, 26 Nov 2026 04:50Z". */
export function eventWords(event, number) {
  const act = ACTS[event.kind] ?? plainWords(event.kind);
  const what = event.kind === "taken_into_use" && number ? `r${number} taken into use` : `${act}${number ? ` r${number}` : ""}`;
  const by = event.by.name || event.kind !== "lapsed" ? ` by ${personWords(event.by)}` : ""; // an edit lets an approval lapse, whoever made it
  return `${what}${by}, ${dateText(event.at_utc)}`;
}

/** The state of one revision with its mark: "in use, inputs changed since". */
export function revisionStateWords({ state, counts_as_approved: counts, stale, marks = [] }) {
  const approved = ["approved", "in_use"].includes(state);
  return `${STATES[state]}${approved ? markWords(counts, stale ?? marks.some(({ mark }) => mark === "stale")) : ""}`;
}

/** The grade or code of the service as words. */
export const plainWords = (code) => code.replaceAll("_", " ");
