/**
 * The one place that holds what the page knows. Panels watch the keys they draw; data flows one way:
 * inputs here, the service's answer here, drawing from here.
 */

/** An empty set of inputs: nothing filled in, nothing invented. */
export function emptyInputs() {
  return { form: {}, extra: {}, hazards: null, demonstration: false };
}

export const state = {
  /** The last file read: {status, fileName, sizeBytes, answer, error, takenAs}. */
  reading: null,
  /** The route taken from it. */
  route: null,
  /** Raw rows that were not understood, by the index of the waypoint they stand before. */
  holes: new Map(),
  /** Form texts by JSON pointer, members the form does not show, dangers, demonstration. */
  inputs: emptyInputs(),
  /** Messages by JSON pointer, from the page or from the service. */
  fieldErrors: new Map(),
  /** {answer, text, request, holes} of the plan on show. */
  plan: null,
  /** {status: idle | working | failed, startedMs, error}. */
  job: { status: "idle" },
  /** Inputs changed since the plan on show was computed. */
  dirty: false,
  /** {kind, index} or {kind: "hazard", id}. */
  selected: null,
  openPanel: "route",
  unreachableSince: null,
  /** Said once beside the inputs, e.g. that demonstration values were put away. */
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
 * server cannot be reached nothing is called fresh.
 */
export function freshness() {
  if (!state.plan) return "none";
  return state.dirty || state.unreachableSince || state.job.status === "working" ? "stale" : "fresh";
}

/** Notes that an input changed; a plan on show or under way becomes stale. */
export function markDirty() {
  if ((state.plan || state.job.status === "working") && !state.dirty) set({ dirty: true });
}

/** Whether two selections mean the same item. */
export function sameItem(a, b) {
  return Boolean(a && b && a.kind === b.kind && (a.kind === "hazard" ? a.id === b.id : a.index === b.index));
}

/** Selects an item; `origin` tells the other side (Plot or Ledger) to bring it into view. */
export function select(item, origin) {
  set({ selected: item ? { ...item, origin } : null });
}
