/**
 * What this browser keeps for a plan: edits the server has not taken yet, changes set aside, and the raw
 * rows of holes, for which a plan has no place. Every open page has a key of its own, so that one never
 * wipes what another keeps; what a closed page left is gathered when the plan is opened again.
 */

import { difference } from "./difference.js";

const SAME = { as: "stored" };
const ROLL_CALL_MS = 150;

/** This page, from its loading to its end. */
const page = Array.from(crypto.getRandomValues(new Uint32Array(2)), (word) => word.toString(36)).join("");

/** Pages that are open say so when asked; what they keep is theirs. */
const pages = new BroadcastChannel("wheelover.pages");
let others = new Set();
pages.addEventListener("message", ({ data }) => {
  if (data.asks) pages.postMessage({ here: page });
  else others.add(data.here);
});

async function openPages() {
  others = new Set();
  pages.postMessage({ asks: page });
  await new Promise((done) => { setTimeout(done, ROLL_CALL_MS); });
  return others;
}

const prefix = (what, id) => `wheelover.${what}.${encodeURIComponent(id)}/`;
const ownKey = (what, id) => prefix(what, id) + page;

/** Writes a value under a key, or with null takes it away; returns the reason when the browser could not. */
function write(key, value) {
  try {
    if (value === null) localStorage.removeItem(key);
    else localStorage.setItem(key, JSON.stringify(value));
    return null;
  } catch (error) {
    return error.message;
  }
}

const read = (key) => JSON.parse(localStorage.getItem(key) || "null");

/** Dangers can be large: those that are the stored ones are kept as a mark. */
function packed(inputs, stored) {
  return inputs.hazards && inputs.hazards === stored.hazards ? { ...inputs, hazards: SAME } : inputs;
}

function unpacked(inputs, stored) {
  return inputs.hazards?.as === SAME.as ? { ...inputs, hazards: stored.hazards } : inputs;
}

/** Keeps the edits; returns the reason when the browser could not, so that it can be said. */
export function keepEdits(id, base, edits) {
  if (edits.length === 0) return write(ownKey("edits", id), null);
  return write(ownKey("edits", id), { base: packed(base, base), edits: edits.map((one) => packed(one, base)), kept_ms: Date.now() });
}

/** Keeps changes that were set aside: a list as of `difference`. */
export function keepAside(id, changes) {
  return write(ownKey("aside", id), changes?.length > 0 ? changes : null);
}

/** The keys of a plan that belong to this page, or to none that is open. */
async function freeKeys(id) {
  const starts = [prefix("edits", id), prefix("aside", id)];
  const keys = Object.keys(localStorage).filter((key) => starts.some((start) => key.startsWith(start)));
  if (keys.every((key) => key.endsWith(`/${page}`))) return keys;
  const open = await openPages();
  return keys.filter((key) => !open.has(key.slice(key.lastIndexOf("/") + 1)));
}

/**
 * What was kept for a plan: {edits: {base, edits} | null, aside, keys}. Where several pages left edits the
 * oldest are sent; the others come as set aside. The keys are let go with `letGo` when this page keeps it all.
 */
export async function gather(id, stored) {
  const keys = await freeKeys(id);
  const sets = keys.filter((key) => key.startsWith(prefix("edits", id))).map(read).sort((a, b) => a.kept_ms - b.kept_ms)
    .map(({ base, edits }) => ({ base: unpacked(base, stored), edits: edits.map((one) => unpacked(one, stored)) }));
  const [edits = null, ...more] = sets;
  const aside = keys.filter((key) => key.startsWith(prefix("aside", id))).flatMap(read);
  return { edits, keys, aside: [...aside, ...more.flatMap((one) => difference(one.base, one.edits.at(-1)))] };
}

/** Lets go of keys of closed pages, after this page has taken over what was there. */
export function letGo(keys) {
  keys.filter((key) => !key.endsWith(`/${page}`)).forEach((key) => localStorage.removeItem(key));
}

/** The plans with edits kept in this browser: {id, name, count}. */
export function plansWithEdits() {
  const found = new Map();
  for (const key of Object.keys(localStorage)) {
    const id = /^wheelover\.edits\.(.+)\/[^/]+$/.exec(key)?.[1];
    if (id === undefined) continue;
    const { edits } = read(key);
    found.set(id, { id: decodeURIComponent(id), name: edits.at(-1).route.name, count: edits.length + (found.get(id)?.count ?? 0) });
  }
  return [...found.values()];
}

const rowsKey = (id) => `wheelover.rows.${id}`;

export function keepRows(id, rows) {
  if (Object.keys(rows).length === 0) return;
  const failed = write(rowsKey(id), rows);
  if (failed) console.info(`Raw rows of holes are not kept: ${failed}`); // the holes themselves are in the plan
}

export function keptRows(id) {
  return read(rowsKey(id)) || {};
}

const shipKey = (id) => `wheelover.ship.${id}`;

/** Keeps a ship that cannot be stored yet, {form, extra, missing, of}, or with null forgets it. `of` is what she changes. */
export function keepShip(id, ship) {
  return write(shipKey(id), ship);
}

export function keptShip(id) {
  return read(shipKey(id));
}

const papersKey = (id) => `wheelover.papers.${id}`;

/** Keeps the texts of a ship's papers: a plan has no place for them. */
export function keepPapers(id, papers) {
  return write(papersKey(id), papers);
}

export function keptPapers(id) {
  return read(papersKey(id));
}

/** What kept fields of a ship are a change of: they come back only beside the same. */
export const shipOf = ({ ship = null, ship_id = null, ship_edition = null }) => ({ ship, ship_id, ship_edition });
