/** The strip about a waypoint being moved, and its keys. They act only while a move is under way. */

import { el, replace } from "../dom.js";
import { dropMove, keepMove, moveBy } from "../draft/moving.js";
import { position } from "../figures.js";
import { numberText } from "../format.js";
import { set, state, watch } from "../state.js";

const STEP_NM = 0.01;
const LONG_STEP_NM = 0.1;
const BEARINGS = { ArrowUp: 0, ArrowRight: 90, ArrowDown: 180, ArrowLeft: 270 };

/** What takes keys itself: a key pressed there is not meant for the waypoint. */
const ACTING = "button, a, input, select, textarea, summary";

function keys(event) {
  if (state.placing && event.key === "Escape") { set({ placing: null }); return; }
  if (!state.moving) return;
  const bearing = BEARINGS[event.key];
  if (event.key === "Escape") dropMove();
  else if (state.moving.by !== "keys" || event.target.closest(ACTING)) return;
  else if (bearing !== undefined) moveBy(bearing, event.shiftKey ? LONG_STEP_NM : STEP_NM);
  else if (event.key === "Enter") keepMove();
  else return;
  event.preventDefault();
  event.stopPropagation();
}

/** Arrows as buttons too, for a screen without keys. */
function arrows() {
  return el("span", { class: "arrows", role: "group", "aria-label": "Move by 0.01 NM" },
    [["N", 0], ["E", 90], ["S", 180], ["W", 270]].map(([word, bearing]) => el("button", { type: "button", on: { click: () => moveBy(bearing, STEP_NM) } }, `0.01 NM ${word}`)));
}

function strip({ index, id, by, position: place, problem }) {
  return el("div", { class: "moving-strip", "data-testid": "moving" },
    el("p", {}, el("strong", {}, `Moving WPT ${numberText(index)} (${id}): `), position(place)),
    el("p", {}, by === "keys" ? "Arrows 0.01 NM, Shift 0.1 NM, Enter keeps, Esc puts back." : "Let go to keep, Esc puts back."),
    problem && el("p", { class: "field-error" }, problem),
    by === "keys" && [arrows(), el("span", { class: "actions" },
      el("button", { type: "button", class: "primary", "data-testid": "keep-move", on: { click: keepMove } }, "Keep"),
      el("button", { type: "button", "data-testid": "drop-move", on: { click: dropMove } }, "Put back"))]);
}

function placingStrip(id) {
  const index = state.inputs.route.waypoints.findIndex((waypoint) => waypoint.id === id);
  return el("div", { class: "moving-strip", "data-testid": "placing" }, el("p", {}, `Press the Plot where the waypoint after WPT ${numberText(index)} goes; Esc leaves it.`));
}

export function startMoving(host) {
  document.addEventListener("keydown", keys, true);
  let moved = null;
  watch(["moving", "placing"], () => {
    const held = host.contains(document.activeElement) ? document.activeElement.textContent : null;
    replace(host, state.moving && strip(state.moving), state.placing && placingStrip(state.placing));
    if (held) [...host.querySelectorAll("button")].find((one) => one.textContent === held)?.focus();
    if (held && moved && !state.moving) document.querySelector(`#ledger [data-testid="${CSS.escape(`wp-row-${moved}`)}"]`)?.focus({ preventScroll: true });
    moved = state.moving?.id ?? null;
  });
}
