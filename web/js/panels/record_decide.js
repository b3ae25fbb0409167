/** Decisions of the master about the revision on show. They bind to what was read: the hash of the revision. */

import { revisions } from "../api.js";
import { el, replace, show } from "../dom.js";
import { formField, formMessage, sayRefusal } from "../record/fields.js";
import { act } from "../record/open.js";
import { reasonsList } from "../record/reasons.js";
import { claimedLine, whoFields } from "../record/who.js";
import { state } from "../state.js";

const WORDS = { approve: "Approve", return: "Return", take_into_use: "Take into use", close: "Close" };
const BUTTONS = { approve: (r) => `Approve ${r}`, return: (r) => `Return ${r}`, take_into_use: (r) => `Take ${r} into use`, close: (r) => `Close ${r}` };
const HINTS = {
  approve: "Binds to the hash of this revision. A later change of route, ship, conditions, limits or of dangers near the track makes it lapse.",
  return: "Say what is to be changed; the navigator reads it on the Desk and here.",
  take_into_use: "The revision that was in use before is closed by this.",
  close: "Nothing more is decided of a closed revision. Its record stays.",
};
const NOT_APPROVED = "This is the demonstration: it cannot be approved. Bring your own route.";

/** Which decisions the state leaves open. */
function open({ state: at, counts_as_approved: counts }) {
  return [
    at !== "closed" && !counts && "approve", ["offered", "approved"].includes(at) && "return",
    at === "approved" && counts && "take_into_use", at !== "closed" && "close",
  ].filter(Boolean);
}

export function decidePart() {
  const who = whoFields("master", { id: "decide" });
  const words = formField({ id: "decide-words", label: "Words", area: true });
  const [message, reasons] = [formMessage("decide-refused"), reasonsList(state.frozen.plan_id, state.frozen.number)];
  const [choices, hint, none] = [el("div", { class: "choices", role: "radiogroup", "aria-label": "Decision" }), el("p", { class: "field-hint" }), el("p", { "data-testid": "decide-none" })];
  const button = el("button", { type: "submit", class: "primary", "data-testid": "decide-record" });
  const rest = el("div", {}, reasons.node, words.node, who.node, el("p", { class: "field-hint" }, claimedLine()));
  let chosen = null;

  const decide = async () => {
    const by = who.by();
    if (!by) return;
    message.say(null);
    button.disabled = true;
    const decision = { kind: chosen, by, words: words.text(), ...(chosen === "approve" && { reasons: reasons.reasons() }) };
    const done = await act((id, number) => revisions.decide(id, number, decision, state.frozen.etag), (error) => {
      if (reasons.refuse(error)) message.say(error.detail);
      else sayRefusal(error, { ...who.places, "/words": words }, message);
    });
    button.disabled = false;
    if (!done) return;
    if (decision.kind === "approve") reasons.done();
    who.keep();
    words.input.value = "";
    chosen = null;
    dress();
    document.getElementById("plan-state-words")?.focus();
  };
  const form = el("form", { class: "strip-form", novalidate: true, on: { submit: (event) => { event.preventDefault(); if (chosen && !button.disabled) decide(); } } },
    choices, hint, rest, message.node, el("div", { class: "actions" }, button));

  const choice = (kind, demonstration) => {
    const off = demonstration && kind === "approve";
    const input = el("input", { type: "radio", name: "decision", value: kind, checked: chosen === kind, disabled: off, "data-testid": `decide-${kind}`, on: { change: () => { chosen = kind; message.say(null); dress(); choices.querySelector(`[value="${kind}"]`).focus(); } } });
    return el("label", { class: "choice" }, input, WORDS[kind]);
  };

  function dress() {
    const { answer } = state.record;
    const kinds = open(answer);
    if (!kinds.includes(chosen)) chosen = null;
    replace(choices, kinds.map((kind) => choice(kind, answer.demonstration)));
    const said = [answer.demonstration && NOT_APPROVED, kinds.length === 0 && `r${answer.revision} is closed; nothing more is decided of it.`, answer.newest_revision > answer.revision && kinds.length > 0 && `r${answer.newest_revision} is newer.`].filter(Boolean);
    replace(none, said.join(" "));
    show(none, said.length > 0);
    show(form, kinds.length > 0);
    show(rest, chosen !== null);
    show(button, chosen !== null);
    replace(hint, chosen ? HINTS[chosen] : "Choose what is decided.");
    button.textContent = chosen ? BUTTONS[chosen](`r${answer.revision}`) : "";
    show(reasons.node, chosen === "approve");
    reasons.fill(answer.open_items, state.frozen.result);
  }
  return { node: el("section", { class: "record-part", "aria-labelledby": "decide-title", "data-testid": "decide" }, el("h3", { id: "decide-title" }, "Decision of the master"), none, form), dress };
}
