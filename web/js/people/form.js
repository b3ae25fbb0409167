/** Forms about people: built once, so that nothing typed is lost; each says what was done, or which field was refused. */

import { el, replace, show } from "../dom.js";
import { tryAct } from "../panels/parcels.js";
import { formField, formMessage } from "../record/fields.js";

/** A line that is read out when it changes. */
export function saidLine(testId) {
  const node = el("p", { role: "status", "data-testid": testId });
  return { node, say: (words) => replace(node, words) };
}

/** Says that a field must be filled; the text of it, or null. */
export function needed(field, words) {
  const text = field.text();
  field.say(text ? null : words);
  return text || null;
}

/**
 * A form: `check()` gives what is sent, or null with a message in place; `act(given)` sends it and gives the
 * words for what was done. After a refusal the focus goes to the first field that was refused.
 */
export function actForm({ testId, label, parts, button, check, places, act, beside = [] }) {
  const message = formMessage(`${testId}-refused`);
  const said = saidLine(`${testId}-said`);
  const press = el("button", { type: "submit", class: "primary", "data-testid": `${testId}-record` }, button);
  const submit = async (event) => {
    event.preventDefault();
    said.say(null);
    const given = check();
    let words = null;
    const done = given !== null && await tryAct(press, places(), message, async () => { words = await act(given); });
    if (done) said.say(words);
    const wrong = node.querySelector("[aria-invalid='true']");
    if (!done && wrong) wrong.focus();
    else if (document.activeElement === document.body) press.focus({ preventScroll: true });
  };
  const node = el("form", { class: "strip-form", "aria-label": label, "data-testid": testId, novalidate: true, on: { submit } },
    parts, message.node, said.node, el("div", { class: "actions" }, press, beside));
  return { node, message, said };
}

/** An act that nothing brings back: the first press says what it does, the second does it, and one may leave it. */
export function askedAct({ testId, words, asks, button, run, message }) {
  const say = el("p", { role: "alert", hidden: true });
  const leave = el("button", { type: "button", hidden: true, on: { click: () => { arm(false); act.focus(); } } }, "Leave it");
  const act = el("button", { type: "button", "data-testid": testId, on: { click: (event) => press(event) } }, words);
  let armed = false;
  const arm = (now) => {
    armed = now;
    replace(say, now && asks());
    [say, leave].forEach((one) => show(one, now));
    act.textContent = now ? button : words;
  };
  const press = async ({ detail }) => {
    if (!armed) { arm(true); return; }
    if (detail > 1) return; // the second half of a double click says nothing new
    if (await tryAct(act, {}, message, run)) arm(false);
  };
  return { node: el("div", { class: "asked" }, say, el("div", { class: "actions" }, act, leave)), arm };
}

/** Shows a secret once. It stands in a field, to be read out and selected, and leaves the page when it is put away. */
export function showOnce(host, { testId, heading, label, secret, words }) {
  const id = `${testId}-${host.children.length}`;
  const put = () => { node.remove(); };
  const text = formField({ id, label, attributes: { readonly: true, spellcheck: "false", "data-testid": testId, "aria-describedby": `${id}-words` }, area: true, value: secret });
  const node = el("div", { class: "notice-block strip-form once-block", role: "group", "aria-label": heading, "data-testid": `${testId}-once` },
    el("p", { class: "once-title" }, heading), text.node, el("p", { id: `${id}-words` }, words),
    el("div", { class: "actions" }, el("button", { type: "button", "data-testid": `${testId}-put-away`, on: { click: put } }, "It is written down: put it away")));
  host.prepend(node);
  text.input.focus();
  text.input.select();
  node.scrollIntoView({ block: "nearest" });
}

/** Names that people sign in by are not corrected while they are typed. */
export const PLAIN = { spellcheck: "false", autocapitalize: "none" };
