/** Fields of forms that are built once and never redrawn: what is typed in them cannot be lost. Each says its own refusals. */

import { el, replace, show } from "../dom.js";

/** A labelled field: {node, input, text(), say(message)}. */
export function formField({ id, label, hint = null, area = false, value = "", wide = false, attributes = {} }) {
  const message = el("p", { class: "field-error", id: `${id}-error`, "data-testid": `error-${id}`, hidden: true });
  const own = { id, "data-testid": id, "aria-describedby": hint ? `${id}-hint ${id}-error` : `${id}-error`, ...attributes };
  const input = area ? el("textarea", { rows: 2, class: "plain-text", ...own }) : el("input", { type: "text", autocomplete: "off", ...own });
  input.value = value;
  const say = (words) => {
    replace(message, words);
    show(message, Boolean(words));
    input.setAttribute("aria-invalid", words ? "true" : "false");
  };
  input.addEventListener("input", () => say(null));
  const node = el("div", { class: wide || area ? "field field-wide" : "field" }, el("label", { for: id }, label), input, hint && el("p", { class: "field-hint", id: `${id}-hint` }, hint), message);
  return { node, input, text: () => input.value.trim(), say };
}

/** A choice among options: as `formField`, with `fill(options)` for [value, words] pairs; a choice that still stands is kept. */
export function choiceField({ id, label, hint = null }) {
  const message = el("p", { class: "field-error", id: `${id}-error`, "data-testid": `error-${id}`, hidden: true });
  const input = el("select", { id, "data-testid": id, "aria-describedby": hint ? `${id}-hint ${id}-error` : `${id}-error` });
  const say = (words) => {
    replace(message, words);
    show(message, Boolean(words));
    input.setAttribute("aria-invalid", words ? "true" : "false");
  };
  const fill = (options) => {
    const before = input.value;
    replace(input, options.map(([value, words]) => el("option", { value }, words)));
    if (options.some(([value]) => value === before)) input.value = before;
  };
  input.addEventListener("change", () => say(null));
  const node = el("div", { class: "field" }, el("label", { for: id }, label), input, hint && el("p", { class: "field-hint", id: `${id}-hint` }, hint), message);
  return { node, input, text: () => input.value, say, fill };
}

/** Puts each message of a refusal under the field it is about; what has no field, and a refusal without messages, goes to `rest`. */
export function sayRefusal(error, places, rest) {
  const left = (error.errors ?? []).filter(({ pointer, message }) => {
    const place = places[pointer];
    place?.say(message);
    return !place;
  });
  const all = error.errors?.length > 0 && left.length === 0;
  rest.say(all ? null : [error.detail || error.title, ...left.map(({ message }) => message).filter((one) => one !== error.detail)].join(" "));
}

/** The line under a form for what belongs to no field of it. */
export function formMessage(testId) {
  const node = el("p", { class: "field-error", role: "alert", "data-testid": testId, hidden: true });
  return { node, say: (words) => { replace(node, words); show(node, Boolean(words)); } };
}
