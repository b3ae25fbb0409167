/** One labelled field, its unit in the label, its message right under it. */

import { el, replace, show } from "../dom.js";
import { isTyped } from "../redraw.js";
import { set, state, watch } from "../state.js";

/** An id that is also a selector, from a JSON pointer. */
export function fieldId(pointer) {
  return `field${pointer.replace(/\//g, "-")}`;
}

/** Keeps one text of the form, as it is typed. */
export function keepText(pointer, text) {
  const form = { ...state.form, [pointer]: text };
  if (text === "") delete form[pointer];
  state.form = form; // no redraw of the field being typed in
}

/** Puts the message for one pointer, or takes it away. */
export function setFieldError(pointer, message) {
  const fieldErrors = new Map(state.fieldErrors);
  if (message) fieldErrors.set(pointer, message);
  else fieldErrors.delete(pointer);
  set({ fieldErrors });
}

/** The message under a field, and the marks that tie it to the field. */
function showError(input, message, text) {
  input.setAttribute("aria-invalid", text ? "true" : "false");
  replace(message, text);
  show(message, Boolean(text));
}

/** What is typed or chosen in: a text, or one of the options. */
function entryOf({ kind, options }, attributes) {
  if (!options) return el("input", { type: "text", autocomplete: "off", inputmode: kind === "number" ? "decimal" : "text", ...attributes });
  return el("select", attributes, options.map(([value, words]) => el("option", { value }, words)));
}

/** A field for one pointer; `commit` is called when its text is complete (Enter, leaving it, or an option chosen). */
export function field(described, commit) {
  const { pointer, label, unit, kind, hint, options } = described;
  const id = fieldId(pointer);
  const message = el("p", { class: "field-error", id: `${id}-error`, "data-testid": `error-${id}`, hidden: true });
  const input = entryOf(described, {
    id, "data-testid": id, "data-pointer": pointer, "aria-describedby": `${id}-hint ${id}-error`,
    on: { input: () => keepText(pointer, input.value), change: () => { keepText(pointer, input.value); commit(pointer, input.value); } }, // an answer may have renewed the texts since
  });
  watch(["form"], () => { if (!isTyped(input)) input.value = state.form[pointer] ?? ""; });
  watch(["fieldErrors"], () => showError(input, message, state.fieldErrors.get(pointer)));
  return el("div", { class: kind === "text" ? "field field-wide" : "field" },
    el("label", { for: id }, label, unit && el("span", { class: "unit" }, ` ${unit}`)),
    input, el("p", { class: "field-hint", id: `${id}-hint` }, hint), message);
}
