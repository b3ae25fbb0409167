/** The address names what is open: the Desk, a plan, a turn card of it. */

import { set, state } from "./state.js";

const rooms = { desk() {}, plan() {} };

/** The place an address names. */
function placeOf({ pathname }) {
  const plan = /^\/plans\/([^/]+)\/?$/.exec(pathname);
  return plan ? { kind: "plan", id: decodeURIComponent(plan[1]) } : { kind: "desk" };
}

/** The waypoint whose turn card an address names, or null. */
function cardOf({ hash }) {
  const card = /^#turn=(.+)$/.exec(hash);
  return card ? decodeURIComponent(card[1]) : null;
}

/** Opens what the address names, where it is not open already. */
export function follow() {
  const place = placeOf(location);
  const same = state.place.kind === place.kind && state.place.id === place.id;
  set({ turnCard: place.kind === "plan" ? cardOf(location) : null });
  if (!same || place.kind === "desk") rooms[place.kind](place.id);
}

/** Goes to an address within the page. */
export function go(path) {
  history.pushState(null, "", path);
  follow();
  window.scrollTo(0, 0);
}

/** The address of a turn card. */
export function cardAddress(waypointId) {
  return `#turn=${encodeURIComponent(waypointId)}`;
}

/** Opens a turn card, or with null goes back to the plan. */
export function openCard(waypointId) {
  history.pushState(null, "", waypointId === null ? location.pathname : cardAddress(waypointId));
  follow();
}

/** Starts following the address; links of the page's own places open without loading it anew. */
export function startAddress({ desk, plan }) {
  Object.assign(rooms, { desk, plan });
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
