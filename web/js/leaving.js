/** Asks before the page goes away with a text that was typed and not taken yet: such a text is kept nowhere. */

import { isCarried } from "./redraw.js";

const TEXTS = "input:not([type]), input[type='text'], textarea";

/** Texts that are kept letter by letter need no question; their part of the page says so with `data-kept`. */
const isText = (target) => target.matches(TEXTS) && !target.closest("[data-kept]");

/** Fields typed in, each with its text when the typing began. */
const typed = new Map();

/** Whether a field holds a text that neither the plan nor this browser has. */
function pending() {
  const begun = [...typed].some(([field, before]) => field.isConnected && field.value !== before);
  const carried = [...document.querySelectorAll(TEXTS)].some((field) => isText(field) && isCarried(field));
  const unsent = [...document.querySelectorAll(".strip-form textarea")].some((field) => field.value && !field.closest("[data-kept]"));
  return begun || carried || unsent || document.querySelector(".editor [aria-invalid='true']") !== null;
}

export function startLeaving() {
  let before = "";
  document.addEventListener("focusin", ({ target }) => { if (isText(target)) before = target.value; });
  document.addEventListener("input", ({ target }) => { if (isText(target) && !typed.has(target)) typed.set(target, before); });
  document.addEventListener("change", ({ target }) => typed.delete(target), true);
  window.addEventListener("beforeunload", (event) => { if (pending()) event.preventDefault(); });
}
