/** Files that take the service a while: how far they are is asked for while they are waited for. */

import { exportProgress } from "./api.js";
import { el } from "./dom.js";
import { decimals } from "./format.js";

const LOOK_EVERY_MS = 300;
const WORD_BYTES = 16;
const SLOW = /\/export\/(pdf|xlsx)(\?|$)/;

/** Whether a file is one that is made for so long that it is watched. */
export const isSlow = (href) => SLOW.test(href);

/** A word that nobody else waits with. */
function newWord() {
  return [...crypto.getRandomValues(new Uint8Array(WORD_BYTES))].map((one) => one.toString(16).padStart(2, "0")).join("");
}

/**
 * Waits for a file and tells how far it is. `made` fetches an address; `tell` gets what the service says, again
 * and again until the file is here. One look is under way at a time, and a look that fails says nothing.
 */
export async function watchedFile(href, made, tell) {
  const word = newWord();
  let looking = false;
  const timer = setInterval(async () => {
    if (looking) return;
    looking = true;
    try {
      const found = await exportProgress(word);
      if (found.state === "working") tell(found);
    } catch (error) {
      if (error.status === undefined) throw error;
    } finally {
      looking = false;
    }
  }, LOOK_EVERY_MS);
  try {
    return await made(`${href}${href.includes("?") ? "&" : "?"}watch=${word}`);
  } finally {
    clearInterval(timer);
  }
}

/** The line of a file that is waited for: what, n of m, elapsed. Only its beginning and end are read aloud. */
export function makingLine({ words, startedMs, progress, stop }) {
  const [done, of] = [progress?.done_count, progress?.of_count];
  const far = progress ? `${progress.stage}${of ? `, ${done} of ${of}` : ""}, ` : "";
  return el("p", { class: "working", "data-state": "working", "data-testid": "making" },
    el("span", { role: "status" }, `Working: ${words}. `),
    el("span", { "aria-hidden": "true", "data-testid": "making-stage" }, `${far}${decimals((performance.now() - startedMs) / 1000, 1)} s elapsed. `),
    of > 0 && el("progress", { max: of, value: done, "aria-label": `${words}, how far it is` }),
    stop && el("button", { type: "button", "data-testid": "making-stop", on: { click: stop } }, "Stop waiting"));
}
