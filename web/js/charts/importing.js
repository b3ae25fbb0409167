/** One import of cells, watched from its files to its report; a reload finds it again. */

import { set, state } from "../state.js";
import { imports } from "./api.js";
import { listCells } from "./cells.js";

const LOOK_EVERY_MS = 400;
const KEPT = "wheelover.import";

const ENDED = new Set(["done", "failed", "stopped"]);

function keep(id) {
  try {
    if (id) sessionStorage.setItem(KEPT, id); else sessionStorage.removeItem(KEPT);
  } catch (error) {
    console.info(`The import is not found again after a reload: ${error.message}`);
  }
}

function kept() {
  try {
    return sessionStorage.getItem(KEPT);
  } catch {
    return null; // no storage, nothing to find again
  }
}

const isService = (error) => error.status !== undefined || error.unreachable;

/** Looks at an import until it has ended. While the server does not answer it goes on looking. */
async function watchImport(id) {
  for (;;) {
    try {
      const job = await imports.look(id);
      if (state.chartImport?.id !== id) return;
      set({ chartImport: { id, status: ENDED.has(job.state) ? "ended" : "running", job } });
      if (ENDED.has(job.state)) break;
    } catch (error) {
      if (!isService(error)) throw error;
      if (state.chartImport?.id !== id) return;
      if (!error.unreachable) { set({ chartImport: { id, status: "lost", error } }); keep(null); return; }
      set({ chartImport: { ...state.chartImport, waiting: true } });
    }
    await new Promise((resolve) => { setTimeout(resolve, LOOK_EVERY_MS); });
  }
  keep(null);
  await listCells();
}

/** Sends files; what they are is the service's to say. */
export async function beginImport(files) {
  const given = [...files];
  if (given.length === 0) return;
  const sizeBytes = given.reduce((sum, file) => sum + file.size, 0);
  set({ chartImport: { status: "sending", names: given.map(({ name }) => name), sizeBytes } });
  try {
    const job = await imports.begin(given);
    keep(job.id);
    set({ chartImport: { id: job.id, status: "running", job } });
    await watchImport(job.id);
  } catch (error) {
    if (!isService(error)) throw error;
    set({ chartImport: { status: "refused", error, again: () => beginImport(given) } });
  }
}

export async function stopImport() {
  const { id, job } = state.chartImport;
  set({ chartImport: { ...state.chartImport, job: { ...job, stage: "stopping" } } });
  try {
    await imports.stop(id);
  } catch (error) {
    if (!isService(error)) throw error; // the next look says how far it is
  }
}

/** After a reload: the import that was under way. */
export function findImport() {
  const id = kept();
  if (!id || state.chartImport) return;
  set({ chartImport: { id, status: "running", job: { stage: "looking for it", percent: 0, files: [] } } });
  watchImport(id);
}
