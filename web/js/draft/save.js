/**
 * Stores every change as it is made. Changes are sent one after the other, in order; while one is under
 * way, or the server is lost, the others wait here and in this browser's storage.
 */

import { plans } from "../api.js";
import { formFrom } from "../fields.js";
import { set, state } from "../state.js";
import { compute } from "./compute.js";
import { applied, difference, sameInputs, sameMember } from "./difference.js";
import { keepEdits, keptShip } from "./kept.js";

/** Answers that say "not now"; the change is sent again a little later. */
const BUSY = [503, 507];
const RETRY_MS = 5000;

/** {kind: "put", inputs}, {kind: "undo"} or {kind: "redo"}, oldest first. */
let entries = [];
/** Changes made while an undo is under way: they must wait for what it brings back. */
let afterwards = [];
/** The run that is sending, or null; opening another plan leaves an old run without effect. */
let sending = null;

const unsent = () => entries.filter((entry) => entry.kind === "put").map((entry) => entry.inputs);

/** Forgets all that waits; for opening another plan. */
export function startQueue(edits = []) {
  entries = edits.map((inputs) => ({ kind: "put", inputs }));
  afterwards = [];
  sending = null;
}

function setSave(patch) {
  const cannotKeep = state.draft ? keepEdits(state.draft.id, state.draft.inputs, unsent()) : null;
  set({ save: { count: entries.length, cannotKeep, aside: state.save.aside, refused: state.save.refused, ...patch } });
}

/** Makes a change: a function from inputs to inputs. What changes nothing is no step. */
export function edit(change) {
  if (entries.some((entry) => entry.kind !== "put")) {
    afterwards.push(change);
    return;
  }
  const inputs = change(state.inputs);
  if (sameInputs(inputs, state.inputs)) return;
  entries.push({ kind: "put", inputs });
  set({ inputs, dirty: true });
  if (state.save.status === "conflict") setSave({ ...state.save, mine: inputs });
  else send();
}

/** Takes the last step back, or makes it again. */
export function walk(kind) {
  if (!state.draft || state.save.status === "conflict") return;
  if (state.unreachableSince || state.save.status === "kept") {
    set({ notice: `The steps are kept by the server: ${kind} waits until it answers.` });
    return;
  }
  entries.push({ kind });
  send();
}

/** Takes over a draft as the service sent it; edits that still wait stay on top of it. */
export function accept(answer, etag) {
  const draft = { ...answer, etag };
  const inputs = unsent().at(-1) || answer.inputs;
  set({ draft, inputs, ...formTexts(inputs) });
}

/** Form texts for inputs; a text that was refused, or a ship that is not stored yet, stays as it was typed. */
function formTexts(inputs) {
  const { form, extra } = formFrom(inputs);
  for (const pointer of state.fieldErrors.keys()) {
    if (pointer in state.form) form[pointer] = state.form[pointer];
  }
  if (!state.inputs) return withKeptShip(inputs, form, extra);
  if (!sameMember(state.inputs.ship, inputs.ship)) return { form, extra, shipMissing: [] };
  for (const [pointer, text] of Object.entries(state.form)) {
    if (pointer.startsWith("/ship/")) form[pointer] = text;
  }
  return { form, extra: { ...extra, ship: state.extra.ship } };
}

/** On opening, a half given ship of an earlier visit comes back into its fields. */
function withKeptShip(inputs, form, extra) {
  const kept = inputs.ship || inputs.ship_id ? null : keptShip(state.place.id);
  return kept ? { form: { ...form, ...kept.form }, extra: { ...extra, ship: kept.extra }, shipMissing: kept.missing } : { form, extra, shipMissing: [] };
}

function perform(entry) {
  const { id, etag } = state.draft;
  return entry.kind === "put" ? plans.put(id, entry.inputs, etag) : plans[entry.kind](id, etag);
}

/** Sends what waits, in order. Called after each change, and when the server is back. */
export async function send() {
  if (sending || entries.length === 0 || !state.draft || state.save.status === "conflict") return;
  const run = (sending = {});
  setSave({ status: "saving" });
  try {
    while (entries.length > 0 && (await sendOne(run))) makeWaiting();
  } finally {
    if (sending === run) sending = null;
  }
  if (sending === null && entries.length === 0 && state.save.status === "saved") compute();
}

/** Sends the oldest; true where the next one may follow. */
async function sendOne(run) {
  const entry = entries[0];
  try {
    const { answer, etag } = await perform(entry);
    if (sending !== run) return false; // another plan was opened; what waits for this one is kept
    entries.shift();
    accept(answer, etag);
    setSave({ status: entries.length > 0 ? "saving" : "saved", ...(entry.kind === "put" && { refused: null }) });
    return true;
  } catch (error) {
    return sending === run && recovered(error, entry);
  }
}

function makeWaiting() {
  if (entries.some((entry) => entry.kind !== "put")) return;
  const changes = afterwards;
  afterwards = [];
  changes.forEach((change) => edit(change));
}

/** What to do when a change was not taken; true where the next one may be sent. */
async function recovered(error, entry) {
  if (error.status === 412) return otherEdit(entry);
  if (error.unreachable || BUSY.includes(error.status)) return held(error, entry);
  if (error.status === undefined) throw error; // a fault of this page, not an answer
  refused(error);
  return true;
}

/** The server is lost or cannot write now: changes wait, a step back or forth does not. */
function held(error, entry) {
  if (entry.kind !== "put") {
    entries.shift();
    set({ notice: `${error.title}: ${entry.kind} was not done.` });
    setSave({ status: entries.length > 0 ? "saving" : "saved" });
    return true;
  }
  setSave({ status: "kept", error });
  if (!error.unreachable) setTimeout(send, RETRY_MS);
  return false;
}

/** The service refused one change: the others are laid on what is stored, without it. */
function refused(error) {
  const bad = entries.shift();
  let [previous, base] = [bad.inputs, state.draft.inputs];
  entries = entries.map((entry) => {
    if (entry.kind !== "put" || bad.kind !== "put") return entry;
    const inputs = applied(difference(previous, entry.inputs), base);
    [previous, base] = [entry.inputs, inputs];
    return { ...entry, inputs };
  });
  const fieldErrors = new Map(error.errors.map(({ pointer, message }) => [pointer, message]));
  set({ fieldErrors, preview: null, inputs: unsent().at(-1) || state.draft.inputs });
  setSave({ status: entries.length > 0 ? "saving" : "saved", refused: error });
}

/** Somebody else changed the plan first. Where it is the same change, or an undo, the other state is taken. */
async function otherEdit(entry) {
  const base = state.draft.inputs;
  let other;
  try {
    other = await plans.read(state.draft.id);
  } catch (error) {
    setSave({ status: "kept", error });
    return false;
  }
  if (entry.kind !== "put" || sameInputs(other.answer.inputs, entry.inputs)) {
    entries.shift();
    accept(other.answer, other.etag);
    setSave({ status: entries.length > 0 ? "saving" : "saved" });
    if (entry.kind !== "put") set({ notice: `The plan was changed elsewhere first; ${entry.kind} was not done.` });
    return true;
  }
  raiseConflict(base, other);
  return false;
}

/** Shows both sides. Nothing is sent until somebody decides. */
export function raiseConflict(base, { answer, etag }) {
  setSave({ status: "conflict", base, theirs: { ...answer, etag }, mine: unsent().at(-1) });
}

/** Lays one's own changes on the other state; the other's stay wherever both do not touch the same member. */
export function putMine() {
  const { base, theirs, mine } = state.save;
  const merged = applied(difference(base, mine), theirs.inputs);
  entries = sameInputs(merged, theirs.inputs) ? [] : [{ kind: "put", inputs: merged }];
  accept(theirs, theirs.etag);
  setSave({ status: "saved" });
  if (entries.length > 0) send(); else compute();
}

/** Takes the other state; one's own changes are set aside, still on show. */
export function keepTheirs() {
  const { base, theirs, mine } = state.save;
  entries = [];
  accept(theirs, theirs.etag);
  setSave({ status: "saved", aside: difference(base, mine) });
  compute();
}

/** Makes the changes that were set aside after all, or lets them go. */
export function useAside(take) {
  const { aside } = state.save;
  set({ save: { ...state.save, aside: null } });
  if (take) edit((inputs) => applied(aside, inputs));
}
