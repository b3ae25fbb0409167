/** What is recorded of the revision: its state, the marks beside it, every decision with its words and reasons. */

import { el, replace } from "../dom.js";
import { countText } from "../format.js";
import { eventWords, revisionStateWords } from "../record/words.js";
import { state } from "../state.js";
import { eventSync, revisionSync } from "./sync.js";

const MARKS = { inputs_changed_since: "Inputs changed since", stale: "Stale", noted: "Noted" };

const sentence = (words) => `${words}${/[.!?]$/.test(words) ? "" : "."}`;

/** "Approved for r4. Inputs changed since: ..." once an approval has lapsed. */
function standing(answer) {
  const { revision, approval, counts_as_approved: counts, marks } = answer;
  const changed = marks.filter((one) => one.mark === "inputs_changed_since").map((one) => one.words);
  const since = changed.length > 0 ? ` Inputs changed since: ${sentence(changed.join("; "))}` : " Inputs changed since.";
  if (approval && !counts) return `Approved for r${revision}.${since} It does not count as approved until the master decides again.`;
  if (counts && changed.length > 0) return `r${revision} is ${revisionStateWords(answer)}. The master decided knowing what changed since: ${sentence(changed.join("; "))}`;
  if (!approval && changed.length > 0) return `r${revision} is ${revisionStateWords(answer)}.${since}`;
  return `r${revision} is ${revisionStateWords(answer)}.`;
}

function others(marks) {
  return marks.filter((one) => one.mark !== "inputs_changed_since").map((one) => el("li", { "data-mark": one.mark }, el("strong", {}, MARKS[one.mark]), `: ${one.words}`));
}

/** The reasons of an approval, each with the items it serves. */
function reasonsOf({ reasons = [] }) {
  const items = reasons.reduce((count, one) => count + one.items.length, 0);
  return reasons.length > 0 && el("details", {}, el("summary", { "data-testid": "reasons-given" }, `${countText(reasons.length, "written reason")} for ${countText(items, "open item")}`),
    el("ul", { class: "record-lines" }, reasons.map((one) => el("li", {}, el("strong", {}, one.words), el("ul", {}, one.items.map(({ message }) => el("li", {}, message)))))));
}

/** Decisions, lapses and notes in the order they came. */
function history({ decisions, lapses, notes, shore, revision }) {
  const events = [...decisions, ...lapses, ...notes, ...shore].sort((a, b) => a.number - b.number);
  const own = new Set(["lapsed", "noted"]);
  return el("ol", { class: "record-lines", "data-testid": "history" }, events.map((event) => el("li", { "data-kind": event.kind }, eventWords(event, own.has(event.kind) ? null : revision), event.words && `: ${event.words}`, " ", eventSync(event.number), reasonsOf(event))));
}

export function statePart() {
  const body = el("div", {});
  const dress = () => {
    const { answer } = state.record;
    const marks = others(answer.marks);
    replace(body, el("p", { class: "standing", "data-testid": "standing", "data-counts": String(answer.counts_as_approved) }, standing(answer)),
      answer.warnings.length > 0 && el("ul", { class: "record-lines", "data-testid": "record-warnings" }, answer.warnings.map((one) => el("li", { "data-warning": one.code }, el("strong", {}, "Warning"), `: ${one.words}`))),
      state.sync?.peers.length > 0 && el("p", { class: "gap-line" }, `r${answer.revision}: `, revisionSync(answer.revision)),
      marks.length > 0 && el("ul", { class: "record-lines", "data-testid": "marks" }, marks), history(answer));
  };
  return { node: el("section", { class: "record-part", "data-testid": "record-state" }, el("h3", {}, "State and decisions"), body), dress };
}
