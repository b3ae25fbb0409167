/** Asks for the card of the open turn whenever the plan on show is another one. */

import { set, state, watch } from "../state.js";
import { Asker } from "./asker.js";

const asker = new Asker(({ id, of }, { answer, error }) => {
  set({ card: error ? { ...state.card, status: "failed", error } : { id, of, status: "ready", answer } });
});

/** The card of the open turn as far as it belongs to the plan on show, else null. */
export function cardNow() {
  const { card, plan, turnCard } = state;
  return card?.status === "ready" && card.id === turnCard && card.of === plan?.request ? card.answer : null;
}

/** Why figures of the card are missing just now, in words for their places. */
export function whyNone() {
  return state.card?.status === "failed" ? "the card did not come" : "working";
}

/** Asks, unless the answer that is here or under way is of this plan and turn. `again` asks after a failure too. */
export function askCard({ again = false } = {}) {
  const { plan, turnCard: id, card } = state;
  if (!id || !plan?.answer.turns.some((turn) => turn.waypoint_id === id)) {
    asker.drop();
    if (card) set({ card: null });
    return;
  }
  if (!again && card?.id === id && card.of === plan.request) return;
  asker.drop();
  set({ card: { id, of: plan.request, status: "working", answer: card?.id === id ? card.answer : null } });
  asker.ask({ id, of: plan.request, request: { plan: plan.request, waypoint_id: id } });
}

/** Called once; before whatever draws the card. */
export function startCardAsking() {
  watch(["plan", "turnCard"], () => askCard());
}
