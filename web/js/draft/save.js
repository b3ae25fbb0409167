/**
 * Stores every change as it is made. Changes are sent one after the other, in order; while one is under
 * way, or the server is lost, the others wait here and in this browser's storage.
 */

import { plans } from "../api.js";
import { set, state } from "../state.js";
import { compute } from "./compute.js";
import { applied, difference, sameInputs } from "./difference.js";
import { formTexts } from "./form_texts.js";
import { keepAside, keepEdits } from "./kept.js";
import { withoutStored } from "./refusals.js";

/** Answers that say "not now"; the change is sent again a little later. */
const BUSY = [503, 507];
const RETRY_MS = 5000;
/** Nobody is signed in any more, or the session is locked; the change waits until somebody is. */
const NOBODY = 401;
/** Somebody else holds the pen of the draft; the change waits until it is in one's own hand. */
const PEN_HELD = "pen-held";

/** {kind: "put", inputs}, {kind: "undo"} or {kind: "redo"}, oldest first. */
let entries = [];
/** Changes made while an undo is under way: they must wait for what it brings back. */
let afterwards = [];
/** The run that is sending, or null; opening another plan leaves an old run without effect. */
let sending = null;

const unsent = () => entries.filter((entry) => entry.kind === "put").map((entry) => entry.inputs);

/** What is kept: the edits that wait, and what those behind an undo come to without it. */
function worthKeeping() {
  const edits = unsent();
  for (const change of afterwards) edits.push(change(edits.at(-1) || state.inputs));
  return edits;
}

/** Forgets all that waits; for opening another plan. */
export function startQueue(edits = []) {
  entries = edits.map((inputs) => ({ kind: "put", inputs }));
  afterwards = [];
  sending = null;
}

function setSave(patch) {
  const edits = worthKeeping();
  const cannotKeep = state.draft ? keepEdits(state.draft.id, state.draft.inputs, edits) : null;
  set({ save: { count: edits.length, cannotKeep, aside: state.save.aside, refused: state.save.refused, ...patch } });
}

/** Makes a change: a function from inputs to inputs. What changes nothing is no step. */
export function edit(change) {
  if (state.frozen) return; // a frozen revision has no fields; whatever else asks changes nothing
  if (entries.some((entry) => entry.kind !== "put")) {
    afterwards.push(change);
    setSave({ status: state.save.status, error: state.save.error });
    return;
  }
  const inputs = change(state.inputs);
  if (sameInputs(inputs, state.inputs)) {
    dropRefusal(); // the value that is stored was given again
    return;
  }
  entries.push({ kind: "put", inputs });
  set({ inputs, dirty: true });
  if (state.save.status === "conflict") setSave({ ...state.save, count: entries.length, mine: inputs });
  else if (sending) setSave({ status: state.save.status, error: state.save.error }); // kept before its turn comes
  else send();
}

function dropRefusal() {
  const { refused: refusal } = state.save;
  if (!refusal) return;
  const gone = new Set(refusal.errors.map(({ pointer }) => pointer));
  set({ fieldErrors: new Map([...state.fieldErrors].filter(([pointer]) => !gone.has(pointer))), save: { ...state.save, refused: null } });
}

/** Whether edits wait here because somebody else holds the pen. */
export const penIsElsewhere = () => state.save.status === "kept" && state.save.error.kind === PEN_HELD;

/** Why no step can be taken back or made again just now, or null. */
export function walkReason() {
  if (state.save.status === "conflict") return "Decide first which of the two states above is the plan.";
  if (penIsElsewhere()) return "Edits of yours wait for the pen of this plan.";
  return state.unreachableSince || state.save.status === "kept" ? "Steps are kept by the server: undo and redo need it, and it does not take changes now." : null;
}

/** Takes the last step back, or makes it again. */
export function walk(kind) {
  const reason = walkReason();
  if (!state.draft || state.save.status === "conflict") return;
  if (reason) {
    set({ notice: `${reason} No ${kind} was done.` });
    return;
  }
  entries.push({ kind });
  send();
}

/** Takes over a draft as the service sent it; edits that still wait stay on top of it. */
export function accept(answer, etag) {
  const draft = { ...answer, etag };
  const inputs = unsent().at(-1) || answer.inputs;
  set({ draft, inputs, elsewhere: null, ...formTexts(inputs) });
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
  if (sending !== null) return;
  const unseen = penIsElsewhere() && !state.plan && state.job.status === "idle"; // opened with edits that wait: what is stored can be read all the same
  if (unseen || (entries.length === 0 && state.save.status === "saved")) compute();
}

/** Sends the oldest; true where the next one may follow. */
async function sendOne(run) {
  const entry = entries[0];
  try {
    const { answer, etag } = await perform(entry);
    if (sending !== run) return false; // another plan was opened; what waits for this one is kept
    entries.shift();
    set({ fieldErrors: withoutStored(state.fieldErrors, state.draft.inputs, answer.inputs) });
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
  if (error.unreachable || error.status === NOBODY || error.kind === PEN_HELD || BUSY.includes(error.status)) return held(error, entry);
  if (error.status === undefined) throw error; // a fault of this page, not an answer
  refused(error);
  return true;
}

/** The server is lost or cannot write now, or not for us: changes wait, a step back or forth does not. */
function held(error, entry) {
  if (entry.kind !== "put") {
    entries.shift();
    set({ notice: `${error.kind === PEN_HELD ? error.detail : `${error.title}:`} ${entry.kind} was not done.` });
    setSave({ status: entries.length > 0 ? "saving" : "saved" });
    return true;
  }
  const walks = entries.filter((one) => one.kind !== "put");
  entries = entries.filter((one) => one.kind === "put");
  makeWaiting();
  setSave({ status: "kept", error });
  if (walks.length > 0) set({ notice: `${error.title}: ${walks.map((one) => one.kind).join(", ")} was not done.` });
  if (BUSY.includes(error.status)) setTimeout(send, RETRY_MS);
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
    if (error.status === undefined) throw error;
    return held(error, entry);
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
  setAside([...(state.save.aside || []), ...difference(base, mine)]);
  compute();
}

/** Puts changes aside: on show, and kept in this browser until they are put in place or let go. */
export function setAside(aside) {
  const cannotKeep = keepAside(state.draft.id, aside);
  setSave({ status: "saved", aside, ...(cannotKeep && { cannotKeep }) });
}

/** Makes the changes that were set aside after all, or lets them go. */
export function useAside(take) {
  const { aside } = state.save;
  set({ save: { ...state.save, aside: null } });
  if (take) edit((inputs) => applied(aside, inputs));
  keepAside(state.draft.id, null);
}

/** Takes the state that somebody else has stored since. Nothing of this page's waits then. */
export function showElsewhere() {
  const { elsewhere } = state;
  accept(elsewhere, elsewhere.etag);
  compute();
}
