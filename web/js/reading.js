/** Reads a route file through the service. Nothing is stored by this. */

import { readRoute } from "./api.js";
import { set, state } from "./state.js";

/** Reads a file and shows what was understood of it; `edits` are lines being put right, by number. */
export async function readFile(blob, fileName, edits = {}) {
  const started = { fileName, sizeBytes: blob.size, blob, edits, status: "working" };
  set({ reading: started, openPanel: "route", notice: null });
  let next;
  try {
    next = { ...started, status: "done", answer: await readRoute(blob, fileName) };
  } catch (error) {
    next = { ...started, status: "failed", error, retry: () => readFile(blob, fileName, edits) };
  }
  if (state.reading === started) set({ reading: next }); // a later file has priority over an earlier answer
}

/**
 * Reads the file again with one line of it written anew; the file on the disk stays as it is. Returns why it
 * could not, where the line is not the row as it was shown (a row over several lines, another encoding).
 */
export async function readCorrected({ line, raw }, text) {
  const { blob, fileName, edits } = state.reading;
  const lines = (await blob.text()).split(/(?<=\n)/);
  const old = lines[line - 1] ?? "";
  if (old.trim() !== raw.trim()) return "This row is not one line of the file; put it right in the file and bring it again.";
  lines[line - 1] = text.trim() + old.slice(old.trimEnd().length);
  const { [line]: done, ...others } = edits;
  readFile(new Blob(lines, { type: blob.type }), fileName, others);
  return null;
}

/** Forgets the file read; stored plans stay as they are. */
export function leaveRows() {
  set({ reading: null });
}
