/** The form that explains a finding, or answers an explanation as the master. */

import { explanations } from "../api.js";
import { el } from "../dom.js";
import { actorFields } from "../record/actor.js";
import { choiceField, formField, formMessage, sayRefusal } from "../record/fields.js";
import { readRecord } from "../record/open.js";
import { set, state } from "../state.js";
import { readExplanations } from "./explanations.js";

/** {node, first}: `first` is the field that takes the focus. */
export function explainForm({ finding, name, kind, explanation: one }) {
  const answering = kind === "answer";
  const words = formField({ id: "explain-words", label: answering ? "Words; needed where it is not accepted" : "Why it stands as it is", area: true });
  const choice = choiceField({ id: "explain-answer", label: "Answer of the master" });
  choice.fill([["accepted", "accepted"], ["not_accepted", "not accepted"]]);
  const who = actorFields(answering ? "master" : "navigator", { id: "explain", password: answering });
  const message = formMessage("explain-refused");
  const act = el("button", { type: "submit", class: "primary", "data-testid": "explain-record" }, answering ? "Record this answer" : "Record this explanation");
  const record = async (event) => {
    event.preventDefault();
    const said = who.said();
    if (!said || act.disabled) return;
    if (!answering && !words.text()) { words.say("Words are needed."); return; }
    message.say(null);
    act.disabled = true;
    const id = state.place.id;
    try {
      if (answering) await explanations.answer(id, one.id, { answer: choice.text(), words: words.text(), ...said });
      else await explanations.create(id, { finding_id: finding.id, words: words.text(), ...said, ...(state.frozen && { revision: state.frozen.number }) });
      who.keep();
      set({ explaining: null });
      await (state.frozen ? readRecord(0) : readExplanations());
    } catch (error) {
      if (error.status === undefined) throw error;
      sayRefusal(error, { ...who.places, "/words": words, "/answer": choice }, message);
    }
    act.disabled = false;
  };
  const leave = () => set({ explaining: null });
  const node = el("form", { class: "strip-form", novalidate: true, "data-testid": "explain-form", on: { submit: record, keydown: (event) => { if (event.key === "Escape") leave(); } } },
    el("h3", {}, answering ? "Answer to an explanation" : "Explain a finding"), el("p", {}, el("strong", {}, name), `: ${finding.message}`), answering && el("p", {}, "Explained: ", el("q", {}, one.words)),
    answering && choice.node, words.node, who.node, message.node, el("p", { class: "field-hint" }, "The grade of the finding stays."),
    el("div", { class: "actions" }, act, el("button", { type: "button", on: { click: leave } }, "Not now")));
  return { node, first: answering ? choice.input : words.input };
}
