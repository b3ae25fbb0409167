/** Asks what of the plan on show is on which side, and what two sides hold differently. */

import { plans } from "../api.js";
import { set, state, watch } from "../state.js";

const AGAIN_MS = 30_000;
let lastMs = 0;

const planNow = () => state.draft?.id ?? state.frozen?.plan_id ?? (state.review?.plan ? state.place.id : null);

export async function readSync() {
  const id = planNow();
  if (!id) return;
  lastMs = performance.now();
  try {
    const sync = await plans.sync(id);
    if (planNow() === id) set({ sync });
  } catch (error) {
    if (error.status === undefined) throw error; // a lost server is said in the banner, another side's word in its own place
  }
}

/** Asks again, not too often, where the plan goes anywhere. */
export async function lookSync() {
  if (state.sync?.peers.length > 0 && performance.now() - lastMs > AGAIN_MS) await readSync();
}

export function startSync() {
  let shown = null;
  watch(["draft", "frozen", "review", "place"], () => {
    const id = planNow();
    if (id === shown) return;
    shown = id;
    set({ sync: null });
    readSync();
  });
  watch(["threads", "record"], () => { if (state.sync?.peers.length > 0) readSync(); }); // something more that the other side lacks
}
