/** Opens the plan of the address, makes new ones, and lists them. */

import { demonstration, plans } from "../api.js";
import { go } from "../address.js";
import { holesFrom } from "../holes.js";
import { set, state } from "../state.js";
import { compute } from "./compute.js";
import { sameInputs } from "./difference.js";
import { gather, keepEdits, keepRows, keptRows, letGo } from "./kept.js";
import { accept, edit, raiseConflict, send, setAside, startQueue } from "./save.js";

export const NOTHING = { draft: null, elsewhere: null, inputs: null, form: {}, extra: {}, plan: null, openError: null, selected: null, moving: null, preview: null, editing: null, dirty: false, placing: null, filing: null, offering: null, offered: null, amending: null, picking: false, picked: null, frozen: null, record: null, review: null, change: null, fieldErrors: new Map(), notice: null };

/** Opens a stored plan: the draft, edits kept here, the raw rows of its holes, then what it computes to. */
export async function openPlan(id) {
  startQueue();
  set({ ...NOTHING, place: { kind: "plan", id }, reading: null, openPanel: null, rawRows: keptRows(id), save: { status: "saved", count: 0 }, job: { status: "idle" } });
  try {
    const opened = await plans.read(id);
    if (state.place.id !== id) return;
    const kept = await gather(id, opened.answer.inputs);
    if (state.place.id === id) takeOver(id, opened, kept);
  } catch (error) {
    if (state.place.id === id) set({ openError: error });
  }
}

/** What was kept here is sent; where the plan has changed since, both are shown first. */
function takeOver(id, opened, kept) {
  const { base, waiting } = notStored(kept.edits, opened.answer.inputs);
  startQueue(waiting);
  accept(opened.answer, opened.etag);
  const cannotKeep = keepEdits(id, base, waiting);
  if (kept.aside.length > 0) setAside(kept.aside);
  if (!cannotKeep && !state.save.cannotKeep) letGo(kept.keys);
  if (waiting.length === 0) { compute(); return; }
  set({ dirty: true });
  if (sameInputs(base, opened.answer.inputs)) send();
  else { raiseConflict(base, opened); compute(); }
}

/** Of the edits kept, those after the one that is stored: its answer may have been lost. */
function notStored(edits, stored) {
  if (!edits) return { base: stored, waiting: [] };
  const at = edits.edits.findLastIndex((inputs) => sameInputs(inputs, stored));
  return at < 0 ? { base: edits.base, waiting: edits.edits } : { base: stored, waiting: edits.edits.slice(at + 1) };
}

/** Goes to the Desk and asks for the list. */
export async function openDesk() {
  startQueue();
  set({ ...NOTHING, place: { kind: "desk" }, openPanel: "route", desk: { ...state.desk, status: "working" } });
  await listPlans();
}

/** Lists the plans, or the next page of them. */
export async function listPlans(cursor = null) {
  try {
    const inUse = cursor ? state.desk.inUse : await plans.inUse();
    const { items, next_cursor: next } = await plans.list(cursor);
    set({ desk: { status: "done", inUse, items: cursor ? [...state.desk.items, ...items] : items, cursor: next } });
  } catch (error) {
    set({ desk: { ...state.desk, status: "failed", error } });
  }
}

/** Stores a new plan and opens it. */
async function store(inputs, rawRows) {
  const { answer } = await plans.create(inputs);
  keepRows(answer.id, rawRows);
  go(`/plans/${encodeURIComponent(answer.id)}`);
}

/** Takes the understood rows as a new plan. */
export async function takeRows() {
  const { reading } = state;
  set({ reading: { ...reading, storing: true, storeError: null } });
  try {
    await store({ route: reading.answer.route }, holesFrom(reading.answer));
  } catch (error) {
    if (state.reading) set({ reading: { ...reading, storing: false, storeError: error } });
  }
}

/** Takes the understood rows as the route of the open plan: one step, which can be undone. */
export function takeRowsHere() {
  const { answer } = state.reading;
  const rawRows = { ...state.rawRows, ...holesFrom(answer) };
  keepRows(state.draft.id, rawRows);
  set({ rawRows, reading: null, openPanel: null });
  edit((inputs) => ({ ...inputs, route: answer.route }));
}

/** Opens the stored demonstration, or stores it where the service was started without it. */
export async function openDemonstration() {
  try {
    const id = "demonstration";
    const known = await plans.read(id).catch((error) => { if (error.status === 404) return null; throw error; });
    if (known) go(`/plans/${encodeURIComponent(id)}`);
    else await store((await demonstration()).request, {});
  } catch (error) {
    set({ reading: { status: "failed", fileName: "The demonstration", sizeBytes: null, error, retry: openDemonstration } });
  }
}
