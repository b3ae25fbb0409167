/**
 * Draws a part of the page anew around whoever types in it. An answer of the service may arrive between two
 * keystrokes: the field keeps its text, its focus and its selection, and what was typed is taken when the field
 * is left, never earlier. A field is known again by `data-keep`, its id or its `data-testid`, whichever it has first.
 * `data-waits` marks a field whose text goes nowhere until a button is pressed: it keeps its text without the focus too.
 */

import { el, replace } from "./dom.js";
import { watch } from "./state.js";

const TEXTS = "input:not([type=file], [type=radio], [type=checkbox], [type=range]), textarea, select";

/** Fields with a text that nothing has taken yet; those of another plan are over with it. */
let typed = new WeakSet();
/** What a field was drawn with, where a text was carried into it: a text set by script fires no `change` by itself. */
const carried = new WeakMap();
/** What was drawn last, by host, and draws that wait. */
const drawn = new WeakMap();
const waiting = new Map();
/** Whether a fold was open when it was drawn or last told so: the browser tells of a press on it some time later. */
const folds = new WeakMap();
/** A draw is under way; a text is being taken; a button is pressed down. */
let [drawing, taking, pressed] = [false, false, false];

const waits = (field) => field.hasAttribute?.("data-waits");
const keyOf = (node) => node.dataset.keep || node.id || node.dataset.testid;
const known = (host, key) => (key ? [...host.querySelectorAll("[data-keep], [id], [data-testid]")].find((node) => keyOf(node) === key) : null);
const fieldsOf = (host) => [...host.querySelectorAll(TEXTS)];

/** Whether a field holds a text that is not taken yet. */
export const isTyped = (field) => typed.has(field);

/** Whether a field drawn under a text shows another than it was drawn with. */
export const isCarried = (field) => carried.has(field) && carried.get(field) !== field.value;

/** The text of a field has been taken by a button, or is of no use any more. */
export function forgetTyped(field) {
  typed.delete(field);
  carried.delete(field);
}

/** Puts the text of a field that is gone into the one drawn in its place. */
function carry(field, copy) {
  if (copy.matches("select") && ![...copy.options].some(({ value }) => value === field.value)) return;
  carried.set(copy, copy.value);
  copy.value = field.value;
  typed.add(copy);
}

function selectionOf(field) {
  return field.matches("input, textarea") && field.selectionStart !== null ? [field.selectionStart, field.selectionEnd, field.selectionDirection] : null;
}

const foldsOf = (host) => [...host.querySelectorAll("details")];

/** A fold drawn anew between the press on it and the browser's word of it stands as the press left it. */
function keepFolds(host, pressedOnes) {
  for (const fold of pressedOnes.filter((one) => !one.isConnected)) {
    const copy = known(host, keyOf(fold));
    if (copy) copy.open = fold.open;
  }
  foldsOf(host).forEach((fold) => { if (!folds.has(fold)) folds.set(fold, fold.open); });
}

/** Runs `draw`, which builds what is in `host` anew; focus and selection stay, and with `texts` what is typed. */
export function keepTyped(host, draw, { texts = true } = {}) {
  const focused = host.contains(document.activeElement) ? document.activeElement : null;
  const selection = focused && selectionOf(focused);
  const fields = texts ? fieldsOf(host).filter(isTyped) : [];
  const pressedOnes = foldsOf(host).filter((fold) => folds.has(fold) && folds.get(fold) !== fold.open);
  drawing = true; // a field that is taken out of the page would be left, and half a text taken
  try {
    draw();
  } finally {
    drawing = false;
  }
  keepFolds(host, pressedOnes);
  for (const field of fields.filter((one) => !one.isConnected)) {
    const copy = known(host, keyOf(field));
    if (copy) carry(field, copy);
  }
  if (!focused || focused.isConnected) return;
  const copy = known(host, keyOf(focused));
  copy?.focus({ preventScroll: true });
  if (copy && selection) copy.setSelectionRange(...selection);
}

/** What a part shows: its markup, and the values of its fields. */
const shownBy = (part) => `${part.innerHTML}\n${JSON.stringify(fieldsOf(part).map(({ value }) => value))}`;

/** The part shows this already: only a text that was taken, and reads otherwise, is put right. */
function renewValues(fields, now) {
  fields.forEach((field, i) => { if (!isTyped(field)) field.value = now[i].value; });
}

function drawNow(host, part) {
  const shown = shownBy(part);
  const [fields, now] = [fieldsOf(host), fieldsOf(part)];
  if (fields.includes(document.activeElement) && fields.length === now.length && drawn.get(host) === shown) { // an open list of options stays open
    renewValues(fields, now);
    return;
  }
  drawn.set(host, shown);
  keepTyped(host, () => replace(host, ...part.childNodes));
}

/**
 * Replaces everything in `host`, as `replace` does, around what is being typed. While a text is being taken or a
 * button is pressed down it waits a moment: the focus is on its way to a field, or the press would be lost, with
 * what it goes to. A part that shows the same is not drawn while somebody is in a field of it, so what
 * its listeners act on must stand in its markup, or be read from the state when they act.
 */
export function redraw(host, ...children) {
  const part = el("div", {}, children);
  if (taking || pressed) { waiting.set(host, part); return; }
  waiting.delete(host);
  drawNow(host, part);
}

function drawWaiting() {
  if (taking || pressed) return;
  const parts = [...waiting];
  waiting.clear();
  parts.forEach(([host, part]) => drawNow(host, part));
}

/** The text of a field that was drawn under it: the browser does not know that it changed, so it is said here. */
function takeCarried(field) {
  const changed = isCarried(field) && !waits(field);
  carried.delete(field);
  if (changed) field.dispatchEvent(new Event("change", { bubbles: true }));
}

function startTyping() {
  const stop = (event) => { if (drawing) event.stopImmediatePropagation(); };
  ["change", "blur", "focusout"].forEach((name) => window.addEventListener(name, stop, true));
  document.addEventListener("input", ({ target }) => typed.add(target), true);
  document.addEventListener("change", ({ target }) => {
    if (!waits(target)) forgetTyped(target);
    taking = true;
    setTimeout(() => { taking = false; drawWaiting(); });
  }, true);
  document.addEventListener("blur", ({ target }) => {
    if (target === document.activeElement) return; // the window was left, not the field
    takeCarried(target);
    if (!waits(target)) typed.delete(target);
  }, true);
  document.addEventListener("toggle", ({ target }) => { if (folds.has(target)) folds.set(target, target.open); }, true); // before the fold's own listener
  document.addEventListener("keydown", ({ key, target, isComposing }) => { if (key === "Enter" && !isComposing && target.matches("input")) takeCarried(target); }, true);
  watch(["place"], () => { typed = new WeakSet(); });
}

/** What is drawn between press and click would take the button away, and the click with it. */
function startPresses() {
  const listen = (name, listener) => window.addEventListener(name, listener, true);
  const press = ({ target }) => { pressed = Boolean(target.closest("button, a, summary")); };
  const release = () => { pressed = false; drawWaiting(); };
  listen("mousedown", (event) => { if (event.button === 0) press(event); });
  listen("keydown", (event) => { if (event.key === " ") press(event); });
  ["mouseup", "keyup"].forEach((name) => listen(name, () => setTimeout(release))); // after the click
  listen("click", () => { [taking, pressed] = [false, false]; }); // what it does is drawn at once
  listen("mousemove", ({ buttons }) => { if (pressed && buttons === 0) release(); }); // let go outside the window
  listen("dragend", release);
  listen("blur", ({ target }) => { if (target === window) release(); });
}

startTyping();
startPresses();
