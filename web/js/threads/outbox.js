/**
 * Notes of threads on their way. Each is kept in this browser before it is sent and until the service has it; its id is given
 * here, so that one that is sent twice, because an answer was lost, is one note there.
 */

import { threads } from "../api.js";
import { set, state } from "../state.js";
import { NOTES } from "./open.js";

const memory = new Map(); // where the browser cannot keep them

/** A UUID of random bytes; `crypto.randomUUID` needs a secure context, which a ship's network often is not. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

function keep(id, entry) {
  memory.set(id, entry);
  try {
    localStorage.setItem(NOTES + id, JSON.stringify(entry));
    return null;
  } catch (error) {
    return error.message;
  }
}

function letGo(id) {
  memory.delete(id);
  try {
    localStorage.removeItem(NOTES + id);
  } catch (error) {
    console.info(`No storage: ${error.message}`);
  }
}

/** Every note that is kept here, the first written in front: {id, plan_id, thread_id, kind, body, written_utc, refused}. */
function all() {
  const found = new Map(memory);
  try {
    Object.keys(localStorage).filter((key) => key.startsWith(NOTES)).forEach((key) => found.set(key.slice(NOTES.length), JSON.parse(localStorage.getItem(key))));
  } catch (error) {
    console.info(`Kept notes were not read: ${error.message}`);
  }
  return [...found].filter(([, entry]) => entry).map(([id, entry]) => ({ id, ...entry })).sort((a, b) => (a.written_utc < b.written_utc ? -1 : 1));
}

export const unsentOf = (planId) => all().filter((one) => one.plan_id === planId);

const changed = (cannotKeep = null) => set({ outbox: { cannotKeep, at: performance.now() } });

/** Keeps a note and tries to send it. Resolves to the refusal of the service, or null where it was sent or waits. */
export async function post(entry) {
  const id = newId();
  changed(keep(id, { ...entry, written_utc: new Date().toISOString() }));
  return sendOne({ id, ...entry });
}

let sending = new Set();

/** Sends one note; a lost server leaves it here, a refusal is kept beside it. */
async function sendOne({ id, refused: _, ...entry }) {
  if (sending.has(id)) return null;
  sending.add(id);
  try {
    const { answer } = await threads.send(entry, { ...entry.body, id });
    letGo(id);
    threadCame(entry.plan_id, answer);
    changed();
    return null;
  } catch (error) {
    if (error.status === undefined) throw error;
    if (!error.unreachable) changed(keep(id, { ...entry, refused: error.detail || error.title }));
    return error.unreachable ? null : error;
  } finally {
    sending.delete(id);
  }
}

/** Sends what waits, of every plan; what was refused waits for whoever wrote it. */
export async function sendNotes() {
  for (const entry of all().filter((one) => !one.refused)) await sendOne(entry);
}

export const sendAgain = (entry) => sendOne(entry);

export function dropNote(id) {
  letGo(id);
  changed();
}

/** A thread as the service just answered it takes its place in the list. */
function threadCame(planId, thread) {
  const { threads: list } = state;
  if (list?.id !== planId) return;
  const items = (list.items ?? []).filter((one) => one.id !== thread.id);
  set({ threads: { ...list, items: [...items, thread] } });
}
