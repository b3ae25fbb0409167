/**
 * The one place that holds what the page knows. Panels watch the keys they draw; data flows one way:
 * inputs here, the service's answer here, drawing from here.
 */

export const state = {
  /** Which page the address names: {kind: "desk"} or {kind: "plan", id}. */
  place: { kind: "desk" },
  /** How people sign in here and who has: {mode, link, link_words, outside_sign_in, signed_in}; null until it is known. */
  session: null,
  /** The stored plans for the Desk: {status, items, inUse, cursor, error}; every plan in use is in `inUse`. */
  desk: { status: "idle", items: [], inUse: [], cursor: null },
  /** The last file read: {status, fileName, sizeBytes, answer, error}. */
  reading: null,
  /** The stored plan as the service last sent it, without which nothing can be changed. */
  draft: null,
  /** Who holds the pen of the draft, where people sign in: {id, held_by, since_utc, yours, asked}. */
  pen: null,
  /** The stored plan as somebody else has left it since, while the older one is on show. */
  elsewhere: null,
  /** Why the plan of the address could not be opened. */
  openError: null,
  /** The inputs as they stand here: the stored ones and every change made since. */
  inputs: null,
  /** Raw rows that were not understood, by the id of the waypoint they stand before ("" for the end). */
  rawRows: {},
  /** Texts of the form by JSON pointer, and the members the form has no field for. */
  form: {},
  extra: {},
  /** Messages by JSON pointer, from the page or from the service. */
  fieldErrors: new Map(),
  /** {status: saved | saving | kept | refused | conflict, count, error, theirs, mine}. */
  save: { status: "saved", count: 0 },
  /** {answer, text, request, holes} of the plan on show. */
  plan: null,
  /** {status: idle | working | failed, startedMs, error}. */
  job: { status: "idle" },
  /** Inputs changed since the plan on show was computed. */
  dirty: false,
  /** A waypoint being moved: {id, index, position, by: pointer | keys}. */
  moving: null,
  /** What the service answered for the part of the route around it. */
  preview: null,
  /** The waypoint after which a press on the Plot places a new one. */
  placing: null,
  /** The waypoint whose fields are open in the Ledger. */
  editing: null,
  /** The waypoint whose turn card is open. */
  turnCard: null,
  /** What the service answered for it: {id, of, status: working | ready | failed, answer, error}; `of` are the inputs. */
  card: null,
  /** What is tried in that turn: {id, texts, tried, errors, status, answer, error}; no part of the plan. */
  trying: null,
  /** Stored ships and hazard sets: {items, error}; the ship this plan uses. */
  ships: { items: [] },
  hazardSets: { items: [] },
  storedShip: null,
  /** Members a half given ship still needs; whether the fields differ from the stored edition; a refusal. */
  shipMissing: [],
  shipEdited: false,
  shipProblem: null,
  /** Typed papers of the ship as texts, what they were before the last row was taken away, messages by place. */
  papers: null,
  papersBefore: null,
  papersErrors: new Map(),
  /** {status: idle | unsent | working | failed | done, answer, sent, error}; the file of trial data read last; why papers are not kept. */
  papersWork: { status: "idle" },
  papersFile: null,
  papersUnkept: null,
  /** A text of the papers was finished: whatever depends on them is looked at anew. */
  papersTyped: 0,
  /** A fitted response was changed by hand, so that its spread was dropped: the words for it. */
  responseByHand: null,
  /** Dangers with the service: {status, error}; a file whose name is stored already. */
  dangersWork: null,
  /** Every danger of the plan on show: {status: working | many | ready | failed, plan, items, missing, error}. */
  loaded: null,
  /** Whether all of them are on show as a table. */
  dangersTable: false,
  /** Stored chart cells: {status, items, error}; an import under way or ended: {id, status, job, error}; a cell to be shown. */
  charts: { status: "idle", items: [], error: null },
  chartImport: null,
  showCell: null,
  cellsDrawn: false,
  /** How far the coastline for the land check is; the waypoint to whose leg a canal is being said. */
  coastIndex: null,
  canalFor: null,
  /** Stored limit sets: {items, error}; what is being waived: {rule, subject, hazardId, words}. */
  limitSets: { items: [], error: null },
  waiving: null,
  dangersFile: null,
  /** A file of dangers that is no GeoJSON: a table, read before it is kept. */
  dangersTableFile: null,
  /** The strip that offers the draft, {status: open | working}; the number of the revision that was just offered. */
  offering: null,
  offered: null,
  /** The strip that amends the plan under way; whether the next press on the Plot is the ship's position, and where that was. */
  amending: null,
  picking: false,
  picked: null,
  /** The frozen revision on show, in place of a draft: its document with `etag`; and what is recorded beside it: {answer, etag}. */
  frozen: null,
  record: null,
  /** Two revisions side by side: {status: working | ready | failed, plan, answer, sizeBytes, error}; `at` is the id of the change looked at. */
  review: null,
  change: null,
  /** The explanations of the draft: {id, items}; what is being explained or answered: {finding, name, kind, explanation}. */
  explanations: null,
  explaining: null,
  /** The threads of the plan on show: {id, items, newest, error}; what one is being opened about: {kind, id, label}; notes on their way. */
  threads: null,
  commenting: null,
  outbox: null,
  /** The card of this installation, those it is paired with ({items, error}), and what of the plan on show is where. */
  self: null,
  peers: null,
  sync: null,
  /** Vessels, accounts and keys of other systems, where people sign in: {status: idle | working | ready | failed, items, error}. */
  vessels: { status: "idle", items: [] },
  accounts: { status: "idle", items: [] },
  systemKeys: { status: "idle", items: [] },
  /** The file that was saved last: {status, words, error, warnings}. */
  filing: null,
  /** What is said about the demonstration. */
  demonstrationNotes: [],
  /** {kind, index} or {kind: "hazard", id}. */
  selected: null,
  openPanel: null,
  unreachableSince: null,
  /** Said once beside the inputs. */
  notice: null,
};

const watchers = [];

/** Calls `draw` now and whenever one of `keys` is set. */
export function watch(keys, draw) {
  watchers.push({ keys, draw });
  draw();
}

/** Sets members and draws what depends on them. */
export function set(patch) {
  Object.assign(state, patch);
  const changed = Object.keys(patch);
  for (const { keys, draw } of watchers) {
    if (keys.some((key) => changed.includes(key))) draw();
  }
}

/**
 * How far the plan on show may be trusted to belong to the inputs: fresh, stale or none. While the
 * server cannot be reached, or an edit is not stored, nothing is called fresh. A frozen revision never changes.
 */
export function freshness() {
  if (state.frozen) return "frozen";
  if (!state.plan) return "none";
  const waiting = state.dirty || state.elsewhere || state.unreachableSince || state.moving || state.save.status !== "saved";
  return waiting || state.job.status !== "idle" ? "stale" : "fresh";
}

/** The keys that `freshness` depends on. */
export const FRESHNESS_KEYS = ["plan", "dirty", "elsewhere", "unreachableSince", "moving", "save", "job"];

/** Whether two selections mean the same item. */
export function sameItem(a, b) {
  return Boolean(a && b && a.kind === b.kind && (a.kind === "hazard" ? a.id === b.id : a.index === b.index));
}

/** Selects an item; `origin` tells the other side (Plot or Ledger) to bring it into view. */
export function select(item, origin) {
  set({ selected: item ? { ...item, origin } : null });
}
