/** The address names what is open: the Desk, a plan, a frozen revision, a turn card of either, the review of two revisions. */

import { set, state } from "./state.js";

const rooms = { desk() {}, plan() {}, revision() {}, review() {} };

const FROZEN = /^\/plans\/([^/]+)\/r\/(\d+)(?:\/turns\/(.+?))?\/?$/;

/** Which two are compared; what an address does not name, or names wrongly, is left to be chosen. */
function sidesOf(asked) {
  const number = (text) => (/^[1-9]\d{0,8}$/.test(text ?? "") ? Number(text) : undefined);
  return { was: number(asked.get("was")), now: asked.get("now") === "draft" ? "draft" : number(asked.get("now")) };
}

/** The place an address names. */
function placeOf({ pathname, search }) {
  const review = /^\/plans\/([^/]+)\/review\/?$/.exec(pathname);
  if (review) return { kind: "review", id: decodeURIComponent(review[1]), ...sidesOf(new URLSearchParams(search)) };
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
  const same = ["kind", "id", "revision", "was", "now"].every((one) => state.place[one] === place[one]);
  set({ turnCard: place.kind === "plan" ? cardOf(location) : null });
  if (same && place.kind !== "desk") return;
  if (place.kind === "review") rooms.review(place);
  else if (place.revision) rooms.revision(place.id, place.revision);
  else rooms[place.kind](place.id);
}

/** The address of a frozen revision. */
export function revisionAddress(id, number) {
  return `/plans/${encodeURIComponent(id)}/r/${number}`;
}

/** The address of the comparison of two revisions, of which the later may be the draft; without them the service's page chooses. */
export function reviewAddress(id, was = null, now = null) {
  return `/plans/${encodeURIComponent(id)}/review${was ? `?was=${was}&now=${now}` : ""}`;
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
export function startAddress(opened) {
  Object.assign(rooms, opened);
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
