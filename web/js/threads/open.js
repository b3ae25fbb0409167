/** The threads of the plan on show, asked for where they are shown: beside a frozen revision and in a review. */

import { peers, threads } from "../api.js";
import { set, state, watch } from "../state.js";

/** Under what name the browser keeps notes that are not sent. */
export const NOTES = "wheelover.notes.";

const AGAIN_MS = 30_000;
let lastMs = 0;

/** The plan and the revision whose reader speaks: null is the draft. Null where no thread is shown. */
export function readingNow() {
  const { place, frozen, review } = state;
  if (place.kind === "review" && review?.answer) return { id: place.id, revision: place.now === "draft" ? null : place.now };
  return frozen ? { id: frozen.plan_id, revision: frozen.number } : null;
}

/** Asks for the threads; what is on show stays until the answer is there. */
export async function readThreads() {
  const reading = readingNow();
  if (!reading) return;
  lastMs = performance.now();
  try {
    const [list, self] = await Promise.all([threads.list(reading.id), state.self ?? peers.self()]);
    if (readingNow()?.id === reading.id) set({ threads: { id: reading.id, items: list.items, newest: list.newest_revision }, self });
  } catch (error) {
    if (error.status === undefined) throw error;
    if (readingNow()?.id === reading.id) set({ threads: { ...(state.threads ?? { id: reading.id }), error } });
  }
}

/** Asks again, not too often: somebody else may have written. */
export async function lookThreads() {
  if (readingNow() && performance.now() - lastMs > AGAIN_MS) await readThreads();
}

/** Whether this browser keeps a note that is not sent. */
export function notesWait() {
  try {
    return Object.keys(localStorage).some((key) => key.startsWith(NOTES));
  } catch {
    return false; // no storage: nothing was kept
  }
}

/** From which side is written: with accounts the role says it. */
export const sideNow = () => (state.session?.signed_in ? {} : { side: state.self?.side ?? "ship" });

export function startThreadsOpen() {
  let shown = null;
  watch(["frozen", "review", "place"], () => {
    const id = readingNow()?.id ?? null;
    if (id === shown) return;
    shown = id;
    set({ threads: null, commenting: null });
    if (id) readThreads();
  });
}
