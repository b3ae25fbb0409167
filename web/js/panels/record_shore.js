/** What the shore says of the revision on show: returned, agreed, or only read. It stands beside the master's decision and never locks it. */

import { revisions } from "../api.js";
import { el, replace, show } from "../dom.js";
import { countText } from "../format.js";
import { actorFields } from "../record/actor.js";
import { formField, formMessage, sayRefusal } from "../record/fields.js";
import { act } from "../record/open.js";
import { eventWords } from "../record/words.js";
import { state } from "../state.js";
import { eventSync } from "./sync.js";

const WORDS = { return: "Return", agree: "Agree", read: "Read, no decision" };
const BUTTONS = { return: (r) => `Record: ${r} returned from ashore`, agree: (r) => `Record: agreed with ${r}`, read: (r) => `Record: ${r} read, no decision` };
const MASTERS = new Set(["approved", "returned", "taken_into_use", "closed"]);

const openThreads = () => (state.threads?.items ?? []).filter((one) => ["open", "reopened"].includes(one.state)).length;

/** The master's last decision, beside which the shore's stands. */
function masterLine({ decisions, revision }) {
  const last = decisions.filter((one) => MASTERS.has(one.kind)).at(-1);
  return el("p", { "data-testid": "shore-master" }, "Master: ", el("strong", {}, last ? eventWords(last, revision) : `has not decided r${revision}`), ".");
}

export function shorePart() {
  const who = actorFields("shore", { id: "shore", password: true });
  const words = formField({ id: "shore-words", label: "Words", hint: "May be left empty.", area: true });
  const [message, said, hint, master] = [formMessage("shore-refused"), el("div", {}), el("p", { class: "field-hint" }), el("div", {})];
  const button = el("button", { type: "submit", "data-testid": "shore-record" });
  const rest = el("div", {}, words.node, who.node, message.node, el("div", { class: "actions" }, button));
  let chosen = null;
  const inputs = Object.keys(WORDS).map((kind) => el("input", { type: "radio", name: "shore-decision", value: kind, "data-testid": `shore-${kind}`, on: { change: () => { chosen = kind; message.say(null); dress(); } } }));
  const decide = async (event) => {
    event.preventDefault();
    const given = who.said();
    if (!given || !chosen || button.disabled) return;
    message.say(null);
    button.disabled = true;
    const body = { kind: chosen, words: words.text(), ...given };
    const done = await act((id, number) => revisions.keep(id, number, "shore-decisions", body), (error) => sayRefusal(error, { ...who.places, "/words": words }, message));
    button.disabled = false;
    if (!done) return;
    who.keep();
    words.input.value = "";
    chosen = null;
    inputs.forEach((one) => { one.checked = false; });
    dress();
    inputs[0].focus();
  };
  const form = el("form", { class: "strip-form", novalidate: true, on: { submit: decide } },
    el("div", { class: "choices", role: "radiogroup", "aria-label": "Decision of the shore" }, inputs.map((input) => el("label", { class: "choice" }, input, WORDS[input.value]))), hint, rest);
  function dress() {
    const { answer } = state.record;
    const waiting = openThreads();
    replace(master, masterLine(answer));
    replace(said, answer.shore.length === 0 ? el("p", { class: "gap-line", "data-testid": "shore-said" }, "The shore has said nothing of this revision.")
      : el("ul", { class: "record-lines", "data-testid": "shore-said" }, answer.shore.map((event) => el("li", {}, eventWords(event, answer.revision), event.words && `: ${event.words}`, " ", eventSync(event.number)))));
    replace(hint, `A return needs an open thread: ${countText(waiting, "open thread")} now. Only the master approves.`);
    show(rest, chosen !== null);
    button.textContent = chosen ? BUTTONS[chosen](`r${answer.revision}`) : "";
  }
  return { node: el("section", { class: "record-part", "aria-labelledby": "shore-title", "data-testid": "shore" }, el("h3", { id: "shore-title" }, "Decision of the shore"), master, said, form), dress };
}
