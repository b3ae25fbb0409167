/**
 * Single keys. They act only while the Ledger or the Plot has the focus, so that typing in a field
 * or speaking to the computer elsewhere never moves anything.
 */

import { openCard } from "./address.js";
import { startMove } from "./draft/moving.js";
import { insertAfter, removeWaypoint } from "./draft/waypoints.js";
import { sameItem, select, set, state } from "./state.js";
import { itemOf } from "./panels/ledger.js";

/** The ledger rows that can be selected, in order. */
function rows() {
  return [...document.querySelectorAll("#ledger [data-item]")];
}

/** Goes to a row: selected and focused together. */
function go(row) {
  if (!row) return;
  select(itemOf(row), "keys");
  row.focus();
}

/** One row up or down from the selected or focused one. */
function step(by) {
  const all = rows();
  const at = all.findIndex((row) => row === document.activeElement || sameItem(itemOf(row), state.selected));
  go(all[Math.min(Math.max(at + by, 0), all.length - 1)]);
}

/** The next or previous turn row. */
function stepTurn(by) {
  const all = rows();
  const at = all.findIndex((row) => sameItem(itemOf(row), state.selected));
  const inOrder = by > 0 ? all.slice(at + 1) : all.slice(0, Math.max(at, 0)).reverse();
  go(inOrder.find((row) => row.dataset.item === "turn"));
}

/** The next finding of the list as it is ordered now. */
function nextFinding() {
  const findings = [...document.querySelectorAll("#findings .finding")];
  const at = findings.indexOf(document.activeElement);
  const next = findings[(at + 1) % findings.length];
  if (!next) return;
  next.focus();
  next.scrollIntoView({ block: "nearest" });
}

function swapPane() {
  const inPlot = document.activeElement?.closest("#plot");
  const target = inPlot ? document.querySelector("#ledger [tabindex='0'][data-item]") : document.getElementById("plot");
  target?.focus();
}

/** Keys for the Ledger alone; in the Plot the arrows move the Plot. */
const LEDGER_KEYS = {
  ArrowDown: () => step(1),
  ArrowUp: () => step(-1),
  Enter: () => document.activeElement.querySelector(".opener, .opener-link")?.click(),
  F2: () => document.activeElement.querySelector(".opener")?.click(),
};

/** The waypoint that is selected: itself, or the one a selected turn lies at. */
function selectedWaypoint() {
  const { selected, plan, inputs } = state;
  if (!plan || state.moving || state.frozen) return null;
  const index = selected?.kind === "turn" ? plan.answer.turns[selected.index]?.waypoint_index : selected?.kind === "waypoint" ? selected.index : undefined;
  return index === undefined ? null : inputs.route.waypoints[index]?.id ?? null;
}

/** Does something with the selected waypoint; without one nothing happens. */
const withWaypoint = (act) => () => {
  const id = selectedWaypoint();
  if (id !== null) act(id);
};

const EDIT_KEYS = {
  m: withWaypoint((id) => { set({ editing: null }); startMove(id, "keys"); }),
  n: withWaypoint(insertAfter),
  Delete: withWaypoint(removeWaypoint),
};

/** The turn card before or after the open one. */
function stepCard(by) {
  const turns = state.plan?.answer.turns || [];
  const at = turns.findIndex((turn) => turn.waypoint_id === state.turnCard);
  const next = turns[at + by];
  if (at >= 0 && next) openCard(next.waypoint_id);
}

const BOTH_KEYS = { "[": () => stepTurn(-1), "]": () => stepTurn(1), f: nextFinding, g: swapPane };

export function startKeys({ ledger, plot, findings, card }, nextLight) {
  const both = { ...BOTH_KEYS, ...EDIT_KEYS, l: nextLight };
  const handle = (event, keys) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest("input, textarea, select, button, a, summary")) return;
    const act = keys[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!act) return;
    event.preventDefault();
    act();
  };
  ledger.addEventListener("keydown", (event) => handle(event, event.target.matches("[data-item]") ? { ...both, ...LEDGER_KEYS } : both));
  plot.addEventListener("keydown", (event) => handle(event, both));
  card.addEventListener("keydown", (event) => {
    const act = { "[": () => stepCard(-1), "]": () => stepCard(1), Escape: () => openCard(null) }[event.key];
    if (act && !event.ctrlKey && !event.altKey && !event.metaKey && !event.target.closest("input, textarea, select")) { event.preventDefault(); act(); }
  });
  findings.addEventListener("keydown", (event) => handle(event, { f: nextFinding }));
}
