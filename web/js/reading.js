/** Reads a route file through the service. Nothing is stored by this. */

import { readRoute } from "./api.js";
import { set, state } from "./state.js";

/** Reads a file and shows what was understood of it. */
export async function readFile(blob, fileName) {
  const started = { fileName, sizeBytes: blob.size, status: "working" };
  set({ reading: started, openPanel: "route", notice: null });
  let next;
  try {
    next = { ...started, status: "done", answer: await readRoute(blob, fileName) };
  } catch (error) {
    next = { ...started, status: "failed", error, retry: () => readFile(blob, fileName) };
  }
  if (state.reading === started) set({ reading: next }); // a later file has priority over an earlier answer
}

/** Forgets the file read; stored plans stay as they are. */
export function leaveRows() {
  set({ reading: null });
}
