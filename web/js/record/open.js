/** Opens a frozen revision: its document as the plan on show, and what is recorded beside it. Nothing of it can be changed. */

import { revisions } from "../api.js";
import { NOTHING } from "../draft/open.js";
import { startQueue } from "../draft/save.js";
import { holesOf } from "../holes.js";
import { set, state } from "../state.js";

const isOpen = (id, number) => state.place.id === id && state.place.revision === number;

export async function openRevision(id, number) {
  startQueue();
  set({ ...NOTHING, place: { kind: "plan", id, revision: number }, reading: null, openPanel: null, rawRows: {}, save: { status: "saved", count: 0 }, job: { status: "idle" } });
  try {
    const [revision, record] = await Promise.all([revisions.read(id, number), revisions.record(id, number)]);
    if (isOpen(id, number)) showRevision(revision, record);
  } catch (error) {
    if (error.status === undefined) throw error;
    if (isOpen(id, number)) set({ openError: error });
  }
}

function showRevision({ answer: document, text, etag }, record) {
  const { inputs, result, plan_id: planId, number } = document;
  const answer = { ...result, plan_id: `${planId} r${number}` }; // the Plot fits each revision anew
  set({ frozen: { ...document, etag }, record, inputs, plan: { answer, text, request: inputs, holes: holesOf(inputs, {}) } });
}

const LEAST_MS = 12_000;
let lastMs = 0;

/** Asks for the record again, not too often: somebody else may have decided. */
export async function readRecord(leastMs = LEAST_MS) {
  if (performance.now() - lastMs < leastMs) return;
  lastMs = performance.now();
  const { place: { id, revision }, frozen, record: before } = state;
  if (!frozen || !before) return;
  try {
    const record = await revisions.record(id, revision, before.etag);
    if (record && state.record === before && isOpen(id, revision)) set({ record });
  } catch (error) {
    if (error.status === undefined) throw error; // a lost server is said in the banner
  }
}

/**
 * Records an act beside the revision on show. `request` gets plan and number; a refusal is said beside its field.
 * True where it was recorded.
 */
export async function act(request, refuse) {
  const { plan_id: id, number } = state.frozen;
  try {
    const record = await request(id, number);
    if (isOpen(id, number)) set({ record });
    return true;
  } catch (error) {
    if (error.status === undefined) throw error;
    refuse(error);
    return false;
  }
}
