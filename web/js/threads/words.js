/** Threads in words: what each is about, where it stands, what became of its subject. */

import { dateText } from "../format.js";
import { personWords } from "../record/words.js";

export const STATES = { open: "open", reopened: "open again", answered: "answered", resolved: "resolved" };
const ORDER = ["open", "reopened", "answered", "resolved"];
const SUBJECTS = { changed: "subject changed since", gone: "subject gone" };
const KINDS = { note: "", resolved: "resolved it", reopened: "opened it again" };

/** Open ones first; within a state the one opened first. */
export const inOrder = (items) => [...items].sort((a, b) => ORDER.indexOf(a.state) - ORDER.indexOf(b.state) || (a.opened_utc < b.opened_utc ? -1 : 1));

export const readWords = (revision) => (revision === null || revision === undefined ? "on the draft" : `on r${revision}`);

/** "subject changed since r1", or null where it is the same. */
export function subjectWords({ state, since_revision: since }) {
  const words = SUBJECTS[state];
  return words && (since === null ? words : `${words} r${since}`);
}

const SIDES = { ship: "on board", shore: "ashore" };

/** "J. Holm, Master, claimed, on board, 26 Nov 2026 04:50Z, on r4". */
export function noteWords({ by, side, at_utc: at, revision, kind }) {
  return [personWords(by), SIDES[side] ?? side, dateText(at), readWords(revision), KINDS[kind]].filter(Boolean).join(", ");
}
