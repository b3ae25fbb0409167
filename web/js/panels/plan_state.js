/** The line of the head that says where the plan stands: of the draft, or of the frozen revision on show. */

import { el, replace, show } from "../dom.js";
import { dateText } from "../format.js";
import { newestOf, revisionStateWords, sailedOf, stateWords } from "../record/words.js";
import { reviewAddress, revisionAddress } from "../address.js";
import { set, state, watch } from "../state.js";

const revisionLink = (number, words) => el("a", { class: "button", href: revisionAddress(state.place.id, number), "data-go": true, "data-testid": `open-r${number}` }, words);

function amendmentWords({ of_revision: of, kind, reason }) {
  return el("span", { "data-testid": "amendment-words" }, el("strong", {}, `Amendment of r${of}`), kind === "pilot" && " by the pilot's intentions", `: ${reason}`);
}

function draftState() {
  const { draft, inputs, offering, offered } = state;
  const newest = newestOf(draft);
  const amendment = inputs?.amendment;
  return [
    el("p", { "data-testid": "plan-state", id: "plan-state-words", tabindex: "-1" }, "State: ", el("strong", {}, stateWords(draft)),
      draft.edited_since_revision && `; this draft has changes since r${newest}`, "."),
    amendment && draft.edited_since_revision && amendmentWords(amendment),
    offered === newest && newest > 0 && el("p", { role: "status", "data-testid": "offered" }, `r${newest} is frozen and offered. Undo reaches no further back than r${newest}.`),
    el("div", { class: "actions" },
      newest > 0 && revisionLink(newest, `Open r${newest}`),
      newest > 0 && el("a", { class: "button", href: reviewAddress(state.place.id), "data-go": true, "data-testid": "compare" }, "Compare"),
      draft.in_use_revision !== null && draft.in_use_revision !== newest && revisionLink(draft.in_use_revision, `Open r${draft.in_use_revision}, in use`),
      sailedOf(draft) !== null && el("button", { type: "button", "data-testid": "amend", "aria-expanded": String(Boolean(state.amending)), "aria-controls": "amend-strip", on: { click: () => set({ amending: state.amending ? null : { status: "open" }, offering: null, picking: false }) } }, "Amend under way"),
      el("button", { type: "button", class: offering ? null : "primary", "data-testid": "offer", "aria-expanded": String(Boolean(offering)), "aria-controls": "offer-strip", on: { click: () => set({ offering: offering ? null : { status: "open" }, offered: null, amending: null, picking: false }) } }, "Offer to the master")),
  ];
}

/** A revision is compared with the one before it; the first with whatever is newest. */
const compareFrozen = (number) => (number > 1 ? reviewAddress(state.place.id, number - 1, number) : reviewAddress(state.place.id));

function frozenState() {
  const { frozen, record } = state;
  const { amendment } = frozen.inputs;
  return [
    el("p", { "data-testid": "frozen-word", id: "plan-state-words", tabindex: "-1" }, el("strong", {}, `Revision r${frozen.number}`), `, frozen ${dateText(frozen.created_utc)}, sha256 `, el("code", { title: frozen.sha256 }, frozen.sha256.slice(0, 8)),
      record && [". State: ", el("strong", {}, revisionStateWords(record.answer))], ". Nothing in it can be changed."),
    amendment && amendmentWords(amendment),
    el("div", { class: "actions" },
      el("a", { class: "button", href: compareFrozen(frozen.number), "data-go": true, "data-testid": "compare" }, "Compare"),
      record && record.answer.newest_revision > frozen.number && revisionLink(record.answer.newest_revision, `Open r${record.answer.newest_revision}, the newest`),
      el("a", { class: "button", href: `/plans/${encodeURIComponent(state.place.id)}`, "data-go": true, "data-testid": "to-draft" }, "To the draft")),
  ];
}

export function startPlanState(host) {
  watch(["draft", "inputs", "frozen", "record", "offering", "offered", "amending"], () => {
    const on = state.frozen || state.draft;
    show(host, Boolean(on));
    const held = host.contains(document.activeElement) ? document.activeElement.dataset.testid : null;
    replace(host, on && (state.frozen ? frozenState() : draftState()));
    if (held) (host.querySelector(`[data-testid="${held}"]`) ?? host.querySelector("#plan-state-words"))?.focus();
  });
  // The strip is gone once the offer is made: the line that says so takes the focus it had.
  watch(["offered"], () => { if (state.offered) queueMicrotask(() => host.querySelector("#plan-state-words")?.focus()); });
}
