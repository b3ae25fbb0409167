/** Asks for the card of the open turn whenever the plan on show is another one. */

import { set, state, watch } from "../state.js";
import { Asker } from "./asker.js";

const asker = new Asker(({ id, of }, { answer, error }) => {
  set({ card: error ? { ...state.card, status: "failed", error } : { id, of, status: "ready", answer } });
});

/** Remembers what was made of a turn: parts of the page tell cards apart by identity. */
function oncePerTurn(make) {
  const made = new WeakMap();
  return (turn) => {
    if (!turn) return null;
    if (!made.has(turn)) made.set(turn, make(turn));
    return made.get(turn);
  };
}

const NOT_FROZEN = "not part of the frozen revision; the draft computes it";

/** What a frozen revision holds of a turn, in the shape of a card; her run, the band and hard over are not kept in it. */
const frozenCard = oncePerTurn((turn) => {
  const swept = turn.hull && !turn.hull.reason;
  const hull = swept ? turn.hull.least : undefined; // undefined says that the revision does not hold it, null that no danger is near
  return {
    waypoint_id: turn.waypoint_id, reason: null, run: null, run_reason: NOT_FROZEN, band: null, hard_over: null, hard_over_reason: NOT_FROZEN,
    methods: turn.wheel_overs.map((one) => ({ ...one, hull: one.method === turn.planned?.method ? hull : undefined })),
    planned: turn.planned && { ...turn.planned, hull },
    window: turn.hull?.window ?? null, window_reason: turn.hull?.window_reason ?? turn.hull?.reason ?? "no reason given",
  };
});

/** The card of the open turn as far as it belongs to the plan on show, else null. */
export function cardNow() {
  const { card, frozen, plan, turnCard } = state;
  if (frozen) return frozenCard(plan.answer.turns.find((turn) => turn.waypoint_id === turnCard));
  return card?.status === "ready" && card.id === turnCard && card.of === plan?.request ? card.answer : null;
}

/** Why figures of the card are missing just now, in words for their places. */
export function whyNone() {
  if (state.frozen) return NOT_FROZEN;
  return state.card?.status === "failed" ? "the card did not come" : "working";
}

/** Asks, unless the answer that is here or under way is of this plan and turn. `again` asks after a failure too. */
export function askCard({ again = false } = {}) {
  const { plan, turnCard: id, card } = state;
  if (state.frozen || !id || !plan?.answer.turns.some((turn) => turn.waypoint_id === id)) {
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
