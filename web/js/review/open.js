/** Opens the review of a plan: which two are compared, and what differs between them. */

import { reviewAddress } from "../address.js";
import { plans, review } from "../api.js";
import { NOTHING } from "../draft/open.js";
import { startQueue } from "../draft/save.js";
import { newestOf } from "../record/words.js";
import { set, state } from "../state.js";

/** Without an address that says so: since the approved revision, else since the one before, else the draft since the only one. */
function chosen(plan) {
  const newest = newestOf(plan);
  if (newest === 0) return null;
  const approved = plan.approved_revision;
  if (approved !== null && approved < newest) return { was: approved, now: newest };
  return newest > 1 ? { was: newest - 1, now: newest } : { was: newest, now: "draft" };
}

export async function openReview(asked) {
  startQueue();
  set({ ...NOTHING, place: asked, reading: null, openPanel: null, rawRows: {}, save: { status: "saved", count: 0 }, job: { status: "idle" }, review: { status: "working" } });
  const here = () => state.place.kind === "review" && state.place.id === asked.id && state.review?.status === "working";
  try {
    const { answer: plan } = await plans.read(asked.id);
    const sides = asked.was && asked.now ? { was: asked.was, now: asked.now } : chosen(plan);
    if (!here()) return;
    if (!sides) { set({ review: { status: "ready", plan, answer: null } }); return; }
    if (!asked.was || !asked.now) {
      history.replaceState(null, "", reviewAddress(asked.id, sides.was, sides.now));
      set({ place: { ...asked, ...sides } });
    }
    set({ review: { status: "working", plan } });
    const { answer, text } = await review.difference(asked.id, sides.was, sides.now);
    if (here()) set({ review: { status: "ready", plan, answer, sizeBytes: new TextEncoder().encode(text).length }, change: null });
  } catch (error) {
    if (error.status === undefined) throw error;
    if (here()) set({ review: { ...state.review, status: "failed", error } });
  }
}

/** Changes in the order of the list: by kind, and within a kind as they came; what only follows from another is folded into it. */
export function changesByKind({ changes }, kinds) {
  const ids = new Set(changes.map((one) => one.id));
  const own = changes.filter((one) => !one.follows || !ids.has(one.follows));
  const after = (id) => changes.filter((one) => one.follows === id);
  return kinds.map((kind) => ({ kind, changes: own.filter((one) => one.kind === kind).map((one) => ({ ...one, followers: after(one.id) })) })).filter((group) => group.changes.length > 0);
}
