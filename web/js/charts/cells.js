/** Which cells are stored, and which of them a plan is held against. */

import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { set, state } from "../state.js";
import { charts } from "./api.js";

/** Fetches the list; a refusal stands beside the older one. */
export async function listCells() {
  try {
    set({ charts: { status: "ready", items: await charts.all(), error: null } });
  } catch (error) {
    if (error.status === undefined && !error.unreachable) throw error;
    set({ charts: { ...state.charts, error } });
  }
}

export const cellOf = (id) => state.charts.items.find((one) => one.id === id) || null;

/** "all", "named" or "none". */
export function cellChoice(inputs) {
  if (inputs?.all_charts) return "all";
  return inputs?.chart_ids?.length > 0 ? "named" : "none";
}

export const useAll = () => edit(setTop({ all_charts: true, chart_ids: undefined, chart_editions: undefined }));

export const useNone = () => edit(setTop({ all_charts: undefined, chart_ids: undefined, chart_editions: undefined }));

/** Holds the plan against the cells of these ids, each in the edition given. */
export function useNamed(cells) {
  if (cells.length === 0) { useNone(); return; }
  edit(setTop({ all_charts: undefined, chart_ids: cells.map(({ id }) => id), chart_editions: Object.fromEntries(cells.map(({ id, edition }) => [id, edition])) }));
}

/** The cells a plan names now, as {id, edition}. */
export const named = (inputs) => (inputs?.chart_ids || []).map((id) => ({ id, edition: inputs.chart_editions?.[id] ?? cellOf(id)?.edition }));

export const addCell = ({ id, edition }) => useNamed([...named(state.inputs).filter((one) => one.id !== id), { id, edition }]);

export const leaveCell = (id) => useNamed(named(state.inputs).filter((one) => one.id !== id));
