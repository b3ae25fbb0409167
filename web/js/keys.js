/**
 * Single keys. They act only while the Ledger or the Plot has the focus, so that typing in a field
 * or speaking to the computer elsewhere never moves anything.
 */

import { sameItem, select, state } from "./state.js";
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
  Enter: () => document.activeElement.querySelector(".opener")?.click(),
};

const BOTH_KEYS = { "[": () => stepTurn(-1), "]": () => stepTurn(1), f: nextFinding, g: swapPane };

export function startKeys({ ledger, plot, findings }, nextLight) {
  const both = { ...BOTH_KEYS, l: nextLight };
  const handle = (event, keys) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest("input, textarea, select, button, a, summary")) return;
    const act = keys[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!act) return;
    event.preventDefault();
    act();
  };
  ledger.addEventListener("keydown", (event) => handle(event, event.target.matches("[data-item]") ? { ...both, ...LEDGER_KEYS } : both));
  plot.addEventListener("keydown", (event) => handle(event, both));
  findings.addEventListener("keydown", (event) => handle(event, { f: nextFinding }));
}
