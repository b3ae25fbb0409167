/** Keys of other systems, for administrators: what each may do, for how long; making and ending them. */

import { el, replace, show } from "../dom.js";
import { dateText, listText } from "../format.js";
import { readSystemKeys, systemKeys } from "../people/api.js";
import { actForm, askedAct, needed, showOnce } from "../people/form.js";
import { reachOf, reachOptions, reachWords, SCOPES } from "../people/words.js";
import { choiceField, formField, formMessage } from "../record/fields.js";
import { state, watch } from "../state.js";
import { problemBox } from "./problem.js";

const MOST_DAYS = 365;

/** The service decides whether a key is still good; by the clock of this browser it only reads so. */
function standing({ until_utc: until, revoked_utc: ended }) {
  if (ended) return `ended ${dateText(ended)}`;
  return `${Date.parse(until) < Date.now() ? "ran out" : "good until"} ${dateText(until)}`;
}

class Key {
  constructor(key) {
    this.head = el("p", {});
    this.message = formMessage("key-refused");
    this.end = askedAct({
      testId: `key-end-${key.id}`, words: `End ${key.name}`, button: "End it: nothing brings it back", message: this.message,
      asks: () => `Whoever uses ${key.name} is refused from then on. Press again to do it.`,
      run: async () => { await systemKeys.end(key.id); await readSystemKeys(); },
    });
    this.node = el("li", { class: "thread", "data-testid": `key-${key.id}` }, this.head, this.end.node, this.message.node);
  }

  dress(key) {
    replace(this.head, el("strong", {}, key.name), `, ${listText(key.scopes)}, on ${reachWords(key, state.vessels.items)}. Made ${dateText(key.created_utc)}. `, el("span", { class: "thread-state" }, standing(key)));
    if (key.revoked_utc && this.end.node.contains(document.activeElement)) { this.node.tabIndex = -1; this.node.focus({ preventScroll: true }); }
    show(this.end.node, !key.revoked_utc);
  }
}

/** Boxes for the scopes, with a message of their own. */
function scopesField() {
  const message = formMessage("error-key-scopes");
  const boxes = Object.keys(SCOPES).map((scope) => el("input", { type: "checkbox", value: scope, "data-testid": `key-scope-${scope}`, on: { change: () => message.say(null) } }));
  const node = el("fieldset", { class: "reason-group" }, el("legend", {}, "What it may do"), boxes.map((box) => el("div", {}, el("label", { class: "choice" }, box, SCOPES[box.value]))), message.node);
  const chosen = () => boxes.filter((box) => box.checked).map((box) => box.value);
  return { node, say: message.say, empty: () => boxes.forEach((box) => { box.checked = false; }), given: () => { const all = chosen(); message.say(all.length > 0 ? null : "Choose at least one thing that it may do."); return all.length > 0 ? all : null; } };
}

/** Whole days, or null with a message in place. */
function daysOf(field) {
  const text = field.text();
  const days = /^\d{1,3}$/.test(text) ? Number(text) : 0;
  const wrong = days < 1 || days > MOST_DAYS;
  field.say(wrong ? `Days are a whole number from 1 to ${MOST_DAYS}.` : null);
  return wrong ? null : days;
}

function makePart(once) {
  const name = formField({ id: "key-name", label: "Name of the other system" });
  const on = choiceField({ id: "key-of", label: "On" });
  const days = formField({ id: "key-days", label: "Good for, days", hint: `1 to ${MOST_DAYS}`, attributes: { inputmode: "numeric" } });
  const scopes = scopesField();
  const check = () => {
    const given = { name: needed(name, "The name of the other system is needed."), scopes: scopes.given(), days: daysOf(days), on: needed(on, "Choose a vessel or a fleet.") };
    if (Object.values(given).includes(null)) return null;
    const { on: value, ...rest } = given;
    return { ...rest, ...reachOf(value) };
  };
  const act = async (given) => {
    const made = await systemKeys.make(given);
    [name, days, on].forEach((one) => { one.input.value = ""; });
    scopes.empty();
    await readSystemKeys();
    showOnce(once, { testId: "key", heading: `Key ${made.name}, shown once`, label: "Key", secret: made.key, words: `Good until ${dateText(made.until_utc)}. The other system sends it as "Authorization: Bearer" and the key. It is kept nowhere here; if it is lost, end it and make another.` });
    return `Made: ${made.name}. The key stands above.`;
  };
  const form = actForm({
    testId: "key-new", label: "Make a key", button: "Make this key", check, act, places: () => ({ "/name": name, "/scopes": scopes, "/of": on, "/reach": on, "/days": days }),
    parts: [el("div", { class: "fields" }, name.node, on.node, days.node), scopes.node],
  });
  return { node: el("details", {}, el("summary", { "data-testid": "key-add" }, "Make a key"), form.node), dress: () => on.fill(reachOptions(state.vessels.items)) };
}

export function keysPart() {
  const [once, list, trouble] = [el("div", {}), el("ul", { class: "threads", "data-testid": "keys" }), el("div", {})];
  const none = el("p", { class: "gap-line", role: "status", "data-testid": "keys-none" });
  const [made, make] = [new Map(), makePart(once)];
  watch(["systemKeys", "vessels"], () => {
    const { status, items, error } = state.systemKeys;
    replace(none, items.length === 0 && status !== "failed" && (status === "ready" ? "No key was made yet: no other system may ask." : "Working: asking for the keys."));
    replace(trouble, status === "failed" && problemBox("The keys were not listed", error, readSystemKeys));
    items.forEach((one) => { if (!made.has(one.id)) made.set(one.id, new Key(one)); made.get(one.id).dress(one); });
    const nodes = items.map((one) => made.get(one.id).node);
    if (nodes.length !== list.children.length || nodes.some((node, i) => list.children[i] !== node)) list.replaceChildren(...nodes);
    make.dress();
  });
  return el("section", { class: "parcel-part", "aria-labelledby": "keys-title" }, el("h3", { id: "keys-title" }, "Keys of other systems"),
    el("p", { class: "field-hint" }, "A key is for one vessel or one fleet. None checks, signs or decides."), trouble, none, once, make.node, list);
}
