/** Explanations beside findings and the master's answer to them. The grade stays as it is, whatever is written. */

import { explanations } from "../api.js";
import { el, replace } from "../dom.js";
import { dateText, plainText } from "../format.js";
import { personWords, plainWords } from "../record/words.js";
import { set, state, watch } from "../state.js";

/** The explanations on show: of a frozen revision those of its record, of a draft those that were asked for. */
const shown = () => (state.frozen ? state.record?.answer.explanations : state.explanations?.items) ?? [];

/** Those of a finding, the last written in front. */
export const explanationsOf = (finding) => shown().filter((one) => one.finding_id === finding.id).reverse();

/** Of a draft the service does not say whether the numbers are others: they stand beside each other here. */
function forOthers({ for_other_numbers: said, written_for: was }, finding) {
  return said ?? ["grade", "measured", "limit"].some((name) => (was[name] ?? null) !== (finding[name] ?? null));
}

function writtenFor({ grade, measured, limit, unit }) {
  const value = (number) => `${plainText(number, 2)}${unit ? ` ${unit}` : ""}`;
  return [plainWords(grade), measured !== null && `found ${value(measured)}`, limit !== null && `limit ${value(limit)}`].filter(Boolean).join(", ");
}

const ANSWERS = { accepted: "accepted", not_accepted: "not accepted" };

function answerLine({ answer, current }) {
  if (!answer) return el("span", { class: "sub", "data-testid": "explanation-answer" }, current ? "Master: not yet answered." : "Master: did not answer.");
  return el("span", { class: "sub", "data-testid": "explanation-answer" }, "Master: ", el("strong", {}, ANSWERS[answer.answer] ?? answer.answer), ` by ${personWords(answer.by)}, ${dateText(answer.at_utc)}`, answer.words && `: ${answer.words}`);
}

function explanation(one, finding) {
  return el("li", { class: "explanation", "data-testid": "explanation" },
    el("span", {}, `Explained by ${personWords(one.by)}, ${dateText(one.at_utc)}, ${one.revision === null ? "on the draft" : `on r${one.revision}`}: `, el("q", {}, one.words)),
    forOthers(one, finding) && el("span", { class: "sub", "data-testid": "for-other-numbers" }, el("strong", {}, "Written for other numbers"), `: ${writtenFor(one.written_for)}.`), answerLine(one));
}

const button = (testId, words, label, explaining) => el("button", { type: "button", class: "comment", "data-testid": testId, "aria-label": label, on: { click: () => set({ explaining }) } }, words);

/** What stands under a finding. */
export function explainedPart(finding, name) {
  const all = explanationsOf(finding);
  const open = all[0];
  const answerable = state.frozen && open?.current && !open.answer;
  return el("div", { class: "explained" },
    all.length > 0 && el("ul", { class: "plain-list" }, explanation(open, finding)),
    all.length > 1 && el("details", {}, el("summary", {}, `${all.length - 1} earlier`), el("ul", { class: "plain-list" }, all.slice(1).map((one) => explanation(one, finding)))),
    el("span", { class: "actions" },
      button(`explain-${finding.id}`, all.length > 0 ? "Explain again" : "Explain", `Explain the finding on ${name}`, { finding, name, kind: "explain" }),
      answerable && button(`answer-${finding.id}`, "Answer as master", `Answer the explanation of the finding on ${name}`, { finding, name, kind: "answer", explanation: open })));
}

/** Asks for the explanations of the draft on show. */
export async function readExplanations() {
  const { draft } = state;
  if (!draft) return;
  try {
    const items = await explanations.list(draft.id);
    if (state.draft?.id === draft.id) set({ explanations: { id: draft.id, items } });
  } catch (error) {
    if (error.status === undefined) throw error; // a lost server is said in the banner
  }
}

/** The form is fetched when it is first wanted. */
async function openForm(place, explaining) {
  try {
    const { explainForm } = await import("./explain_form.js");
    if (state.explaining !== explaining) return;
    const { node, first } = explainForm(explaining);
    replace(place, node);
    node.scrollIntoView({ block: "nearest" });
    first.focus({ preventScroll: true });
  } catch (error) {
    replace(place, el("p", { class: "field-error", role: "alert" }, `The form could not be fetched (${error.message}). Try again when the server answers.`));
    set({ explaining: null });
  }
}

/** The form stands in a place of its own, built once for each finding: nothing typed is lost when the list is drawn anew. */
export function startExplaining(place) {
  let of = null;
  watch(["explaining"], () => {
    const { explaining } = state;
    if (explaining === of) return;
    const before = of;
    of = explaining;
    if (!explaining) {
      place.querySelector("form")?.remove();
      if (before) queueMicrotask(() => document.querySelector(`[data-testid="explain-${CSS.escape(before.finding.id)}"]`)?.focus({ preventScroll: true }));
      return;
    }
    openForm(place, explaining);
  });
  let asked = null;
  watch(["draft"], () => {
    const id = state.draft?.id ?? null;
    if (id === asked) return;
    asked = id;
    readExplanations();
  });
  watch(["place"], () => { if (state.explaining) set({ explaining: null }); });
}
