/** The address names what is open: the Desk, a plan, a frozen revision, a turn card of either. */

import { set, state } from "./state.js";

const rooms = { desk() {}, plan() {}, revision() {} };

const FROZEN = /^\/plans\/([^/]+)\/r\/(\d+)(?:\/turns\/(.+?))?\/?$/;

/** The place an address names. */
function placeOf({ pathname }) {
  const frozen = FROZEN.exec(pathname);
  if (frozen) return { kind: "plan", id: decodeURIComponent(frozen[1]), revision: Number(frozen[2]) };
  const plan = /^\/plans\/([^/]+)\/?$/.exec(pathname);
  return plan ? { kind: "plan", id: decodeURIComponent(plan[1]) } : { kind: "desk" };
}

/** The waypoint whose turn card an address names, or null. */
function cardOf({ pathname, hash }) {
  const card = FROZEN.exec(pathname)?.[3] ?? /^#turn=(.+)$/.exec(hash)?.[1];
  return card ? decodeURIComponent(card) : null;
}

/** Opens what the address names, where it is not open already. */
export function follow() {
  const place = placeOf(location);
  const same = ["kind", "id", "revision"].every((one) => state.place[one] === place[one]);
  set({ turnCard: place.kind === "plan" ? cardOf(location) : null });
  if (same && place.kind === "plan") return;
  if (place.revision) rooms.revision(place.id, place.revision);
  else rooms[place.kind](place.id);
}

/** The address of a frozen revision. */
export function revisionAddress(id, number) {
  return `/plans/${encodeURIComponent(id)}/r/${number}`;
}

/** Goes to an address within the page. */
export function go(path) {
  history.pushState(null, "", path);
  follow();
  window.scrollTo(0, 0);
}

/** The address of the plan on show, without a turn card. */
export function planAddress() {
  const { id, revision } = state.place;
  return revision ? revisionAddress(id, revision) : location.pathname;
}

/** The address of a turn card: of a frozen revision a page of its own, for a link in a mail. */
export function cardAddress(waypointId) {
  const name = encodeURIComponent(waypointId);
  return state.place.revision ? `${planAddress()}/turns/${name}` : `#turn=${name}`;
}

/** Opens a turn card, or with null goes back to the plan. */
export function openCard(waypointId) {
  history.pushState(null, "", waypointId === null ? planAddress() : cardAddress(waypointId));
  follow();
}

/** Starts following the address; links of the page's own places open without loading it anew. */
export function startAddress({ desk, plan, revision }) {
  Object.assign(rooms, { desk, plan, revision });
  window.addEventListener("popstate", follow);
  window.addEventListener("hashchange", follow);
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-go]");
    if (!link || event.defaultPrevented || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    const href = link.getAttribute("href");
    if (href.startsWith("#turn=")) openCard(decodeURIComponent(href.slice(6)));
    else go(href);
  });
  follow();
}
