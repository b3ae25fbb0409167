/** The line of the head that says who may edit the draft just now, where people sign in; and taking, asking for and giving back its pen. */

import { pens } from "../api.js";
import { el, replace, show } from "../dom.js";
import { penIsElsewhere, send } from "../draft/save.js";
import { dateText } from "../format.js";
import { formField } from "../record/fields.js";
import { set, state, watch } from "../state.js";
import { problemBox } from "./problem.js";

/** The plan whose draft is on show to somebody who is signed in, or null. */
const planNow = () => (state.session?.mode === "accounts" && state.session.signed_in && state.draft?.id) || null;

/** What was done with the pen on this page; an answer asked for before that is older, and is let go. */
let acts = 0;

/** Takes over what the service says of the pen; with the pen in hand, what waited for it is sent. */
function take(id, answer) {
  if (planNow() !== id) return;
  const pen = { id, ...answer };
  if (JSON.stringify(pen) !== JSON.stringify(state.pen)) set({ pen });
  if (answer.yours && penIsElsewhere()) send();
}

/** Asks who holds the pen of the draft on show. Without an answer nothing changes. */
export async function lookPen() {
  const [id, before] = [planNow(), acts];
  if (!id) return;
  try {
    const answer = await pens.look(id);
    if (before === acts) take(id, answer);
  } catch (error) {
    if (error.status === undefined) throw error; // a lost server is said in the banner; a refusal comes again with the next change
  }
}

/** "14:02Z" of today, or the date as well: a pen may be held for days. */
const sinceText = (utc) => (utc.slice(0, 10) === new Date().toISOString().slice(0, 10) ? `${utc.slice(11, 16)}Z` : dateText(utc));

const penOnShow = () => (state.pen && state.pen.id === planNow() ? state.pen : null);

function holderWords({ held_by: holder, since_utc: since, yours }) {
  if (yours) return [el("strong", {}, "you"), ""];
  return holder === null ? [el("strong", {}, "free"), ", your first edit takes it"] : [el("strong", {}, holder), `, since ${sinceText(since)}`];
}

const button = (testId, words, press, more = {}) => el("button", { type: "button", "data-testid": testId, on: { click: press }, ...more }, words);

/** Builds the line once, so that a note being typed stays while the words around it change. */
export function startPen(host) {
  const words = el("p", { "data-testid": "pen-words", tabindex: "-1" });
  const asked = el("ul", { "data-testid": "pen-asked", "aria-label": "Asked for the pen" });
  const told = el("div", { "aria-live": "polite", "data-testid": "pen-told" });
  const note = formField({ id: "pen-note", label: "Note to whoever holds the pen", area: true, attributes: { maxlength: 500 } });
  let [asking, busy] = [false, false];

  /** Does one thing with the pen; a refusal is said in the words of the service. True when it was done. */
  const act = async (heading, request, done) => {
    if (busy) return false;
    busy = true;
    acts += 1;
    const id = planNow();
    replace(told);
    try {
      const answer = await request(id);
      acts += 1;
      take(id, answer);
      replace(told, done);
      return true;
    } catch (error) {
      if (error.status === undefined) throw error;
      replace(told, problemBox(heading, error));
      lookPen();
      return false;
    } finally {
      busy = false;
    }
  };
  const turnAsking = (open) => {
    asking = open;
    draw();
  };
  const takeOver = async () => {
    const { held_by: holder } = penOnShow();
    if (await act("The pen was not taken", pens.take, `You took over the pen from ${holder}. That is recorded.`)) words.focus();
  };
  const giveBack = async () => {
    if (state.save.status !== "saved") { // sent later, they would take the pen again
      replace(told, "Your last edits are not stored yet. Give the pen back when they are.");
      return;
    }
    if (await act("The pen was not given back", pens.layDown, "You gave the pen back.")) words.focus();
  };
  const ask = async (event) => {
    event.preventDefault();
    if (!note.text()) { note.say("Say in a few words why you ask."); note.input.focus(); return; }
    const { held_by: holder } = penOnShow();
    if (!(await act("The pen was not asked for", (id) => pens.ask(id, note.text()), `Your note is shown to ${holder}.`))) return;
    note.input.value = "";
    turnAsking(false);
    words.focus();
  };

  const askButton = button("pen-ask", "Ask for the pen", () => { turnAsking(!asking); if (asking) note.input.focus(); }, { "aria-controls": "pen-form" });
  const takeButton = button("pen-take", "Take over the pen", takeOver, { "aria-describedby": "pen-recorded" });
  const giveButton = button("pen-give", "Give the pen back", giveBack);
  const recorded = el("span", { id: "pen-recorded", class: "field-hint" }, "Taking it over is recorded.");
  const form = el("form", { id: "pen-form", class: "strip-form", novalidate: true, hidden: true, on: { submit: ask } },
    note.node, el("div", { class: "actions" }, el("button", { type: "submit", class: "primary", "data-testid": "pen-send" }, "Send the note")));
  replace(host, words, asked, told, el("div", { class: "actions" }, askButton, takeButton, recorded, giveButton), form);

  const draw = () => {
    const pen = penOnShow();
    show(host, Boolean(pen));
    if (!pen) return;
    const another = !pen.yours && pen.held_by !== null;
    const focused = host.contains(document.activeElement) && document.activeElement;
    replace(words, "Pen: ", holderWords(pen));
    replace(asked, pen.yours && pen.asked.map((line) => el("li", {}, `Asked by ${line}`)));
    show(asked, pen.yours && pen.asked.length > 0);
    [askButton, takeButton, recorded].forEach((one) => show(one, another));
    show(giveButton, pen.yours);
    show(form, another && asking);
    askButton.setAttribute("aria-expanded", String(another && asking));
    if (focused && focused.closest("[hidden]")) words.focus(); // what had the focus has gone
  };
  watch(["pen", "draft", "session"], draw);
  let before = null;
  watch(["pen"], () => {
    const pen = penOnShow();
    const lost = before?.yours && pen && before.id === pen.id && !pen.yours && pen.held_by !== null;
    if (lost) replace(told, `${pen.held_by} took over the pen at ${sinceText(pen.since_utc)}. That is recorded.`);
    else if (before?.held_by !== pen?.held_by && !told.querySelector(".problem")) replace(told); // it was about the holder before
    before = pen;
  });

  let [seen, open, waited] = [null, null, false];
  watch(["draft", "session"], () => {
    const id = planNow();
    const now = id && `${id} ${state.draft.etag}`;
    if (now === seen) return;
    seen = now;
    if (id !== open) { // another plan: what was said and typed was about the one before
      open = id;
      note.input.value = "";
      replace(told);
      turnAsking(false);
    }
    lookPen();
  });
  watch(["save"], () => {
    if (penIsElsewhere() && !waited) lookPen();
    waited = penIsElsewhere();
  });
}
