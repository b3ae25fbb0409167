/** The strip that offers the draft to the master: what stays open, by whom, and the act. Open items travel with the offer. */

import { plans } from "../api.js";
import { el, replace, show } from "../dom.js";
import { accept } from "../draft/save.js";
import { countText } from "../format.js";
import { formField, formMessage, sayRefusal } from "../record/fields.js";
import { newestOf } from "../record/words.js";
import { claimedLine, whoFields } from "../record/who.js";
import { freshness, FRESHNESS_KEYS, set, state, watch } from "../state.js";
import { GRADES, gradeCounts, gradeMark, GRADE_WORDS } from "./grades.js";

const next = () => newestOf(state.draft) + 1;

/** Why nothing can be offered just now, or null. */
function reason() {
  if (state.unreachableSince) return "The server does not answer; offering needs it.";
  if (state.save.status !== "saved") return "A change is not stored yet: it would not be in what is offered.";
  return state.elsewhere ? "The plan was changed elsewhere; look at that before offering." : null;
}

function counts() {
  const { plan, inputs } = state;
  if (!plan) return el("p", { class: "gap-line" }, "Nothing is computed on show. What is stored is computed and frozen.");
  const { findings, checks, basis } = plan.answer;
  const found = gradeCounts(findings);
  const left = checks.rows.filter((row) => row.result === "not_checked").length;
  const defaults = basis.filter((row) => row.source === "default").length;
  const others = inputs.alternatives?.length ?? 0;
  return [
    el("p", {}, "These travel with the offer as they are:"),
    el("ul", { class: "offer-counts", "data-testid": "offer-counts" },
      GRADES.map((grade) => el("li", { class: `grade-${grade}`, "data-testid": `offer-${grade}` }, gradeMark(grade), el("strong", {}, String(found[grade])), ` ${GRADE_WORDS[grade]}`)),
      el("li", { "data-testid": "offer-unchecked" }, el("strong", {}, String(left)), ` of ${countText(checks.expected_count, "check")} not done`),
      el("li", { "data-testid": "offer-defaults" }, el("strong", {}, String(defaults)), defaults === 1 ? " DEFAULT in use" : " DEFAULTS in use"),
      others > 0 && el("li", {}, el("strong", {}, String(others)), others === 1 ? " alternative, laid and not checked" : " alternatives, laid and not checked")),
    freshness() === "stale" && el("p", { class: "gap-line", "data-testid": "offer-stale" }, "The values on show are stale. The draft is computed anew as it is stored, and that is frozen."),
  ];
}

/** The form; built when the strip is opened. */
function form() {
  const who = whoFields("navigator", { id: "offer" });
  const words = formField({ id: "offer-words", label: "Words with it", hint: "May be left empty.", area: true });
  const message = formMessage("offer-refused");
  const offer = async () => {
    const by = who.by();
    if (!by) return;
    who.keep();
    message.say(null);
    const { id, etag } = state.draft;
    set({ offering: { status: "working" } });
    try {
      const made = await plans.offer(id, { by, words: words.text() }, etag);
      const { answer, etag: tag } = await plans.read(id);
      if (state.draft?.id !== id) return;
      accept(answer, tag);
      set({ offering: null, offered: made.answer.number });
    } catch (error) {
      if (error.status === undefined) throw error;
      set({ offering: { status: "open" } });
      sayRefusal(error, { ...who.places, "/words": words }, message);
    }
  };
  const act = el("button", { type: "submit", class: "primary", "data-testid": "offer-record" });
  const node = el("form", { class: "strip-form", novalidate: true, on: { submit: (event) => { event.preventDefault(); if (!act.disabled) offer(); } } },
    who.node, words.node, el("p", { class: "field-hint" }, claimedLine()), message.node,
    el("div", { class: "actions" }, act, el("button", { type: "button", "data-testid": "offer-leave", on: { click: leave } }, "Not now")));
  return { node, act, first: node.querySelector("input") };
}

/** Puts the strip away; the button that opened it has the focus again. */
function leave() {
  set({ offering: null });
  document.querySelector('[data-testid="offer"]')?.focus();
}

export function startOffer(host) {
  host.addEventListener("keydown", (event) => { if (event.key === "Escape") leave(); });
  const [why, open] = [el("div", { role: "status" }), el("div", {})];
  let made = null;
  const dress = () => {
    if (!made) return;
    replace(open, counts());
    const reasons = reason();
    replace(why, reasons && el("p", { class: "gap-line", "data-testid": "offer-reason" }, reasons));
    made.act.textContent = `Offer as r${next()}`;
    made.act.disabled = Boolean(reasons) || state.offering.status === "working";
  };
  watch(["offering", "draft"], () => {
    const wanted = Boolean(state.offering && state.draft);
    show(host, wanted);
    if (!wanted) { made = null; replace(host); return; }
    if (!made) {
      made = form();
      replace(host, el("h2", {}, "Offer to the master"), el("p", { class: "panel-lead" }, "Freezes the draft as a numbered revision that never changes. Undo reaches no further back; the next edit opens a new draft."), open, why, made.node);
      queueMicrotask(() => made?.first.focus());
    }
    dress();
  });
  watch(["plan", "offering", ...FRESHNESS_KEYS], dress);
}
