/**
 * Every danger a plan was held against: those its answer carries, and the rest from where they are kept. An answer
 * carries the dangers near the track when there are many, so that an edit does not bring all of them again.
 */

import { hazardSets } from "./api.js";
import { usesCells } from "./hazards.js";
import { layerFeatures } from "./sailing.js";
import { set, state } from "./state.js";

/** A longer list is fetched when it is asked for: on a slow link it takes minutes. */
const MOST_UNASKED = 30_000;
const MOST_KEPT = 4;

const kept = new Map();

/** An edition of a set as the service has it; it never changes, so the last few stay here. */
async function edition(id, number) {
  const key = `${id} ${number}`;
  const found = kept.get(key) || (await hazardSets.edition(id, number)).answer;
  kept.delete(key);
  kept.set(key, found);
  if (kept.size > MOST_KEPT) kept.delete(kept.keys().next().value);
  return found;
}

/** The id of a danger, as the service reads it: its property, else the feature's, else its place in the list. */
function idOf({ id, properties }, index) {
  return String(properties?.id ?? id ?? index);
}

/** One danger, whatever it came from. */
function item(id, { name, kind, depth_m }, geometry) {
  return { id, name: name ?? null, kind: kind ?? null, depth_m: depth_m ?? null, geometry };
}

/** The dangers of all origins; ids that two of them share are told apart by the id of the set, as the service does. */
function joined(origins) {
  const taken = new Set();
  return origins.flatMap(({ id: origin, collection }) => collection.features.map((feature, index) => {
    let id = idOf(feature, index);
    while (origins.length > 1 && taken.has(id)) id = `${origin}/${id}`;
    taken.add(id);
    return item(id, feature.properties || {}, feature.geometry);
  }));
}

async function fetched(request) {
  const sets = await Promise.all((request.hazard_set_ids || []).map(async (id) => ({ id, collection: (await edition(id, request.hazard_set_editions?.[id])).hazards })));
  return joined([...(request.hazards ? [{ id: "plan", collection: request.hazards }] : []), ...sets]);
}

const keyOf = (request) => JSON.stringify([request.hazard_set_ids, request.hazard_set_editions]);

/** Dangers of the answer alone: that is all of them, unless it says that some are left out. */
function inAnswer(plan) {
  return layerFeatures(plan, "hazard").map(({ properties, geometry }) => item(properties.id, properties, geometry));
}

/** Looks for the dangers of the plan on show; `asked` fetches them however many they are. */
export async function lookLoaded(asked = false) {
  const { plan, loaded } = state;
  if (!plan) { if (loaded) set({ loaded: null }); return; }
  const missing = plan.answer.layers?.hazards_not_drawn_count || 0;
  if (missing === 0) { set({ loaded: { status: "ready", plan, items: inAnswer(plan) } }); return; }
  const key = keyOf(plan.request);
  const same = loaded?.key === key && loaded.hazards === plan.request.hazards;
  // With cells an answer brings dangers that stand nowhere else, so each is looked at.
  if (same && loaded.status === "ready" && !usesCells(plan.request)) { if (loaded.plan !== plan) set({ loaded: { ...loaded, plan } }); return; }
  if (same && loaded.status === "working") return;
  const stored = Boolean(plan.request.hazards || plan.request.hazard_set_ids?.length);
  const base = { key, hazards: plan.request.hazards, plan, items: inAnswer(plan), missing };
  if (!stored) { set({ loaded: { ...base, status: "ready" } }); return; }
  if (missing > MOST_UNASKED && !asked) { set({ loaded: { ...base, status: "many" } }); return; }
  set({ loaded: { ...base, status: "working" } });
  let found;
  try {
    const items = await fetched(plan.request);
    const ids = new Set(items.map(({ id }) => id));
    const charted = base.items.filter(({ id }) => !ids.has(id)); // those of cells: the answer alone has them
    const total = base.items.length + missing;
    found = { ...base, status: "ready", items: [...items, ...charted], missing: Math.max(0, total - items.length - charted.length) };
  } catch (error) {
    if (error.status === undefined && !error.unreachable) throw error;
    found = { ...base, status: "failed", error };
  }
  if (state.loaded?.key !== key || state.loaded.hazards !== base.hazards) return; // another plan is on show
  set({ loaded: { ...found, plan: state.plan } });
}
