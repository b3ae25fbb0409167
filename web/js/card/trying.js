/**
 * What is tried in the open turn. Nothing of it is in the plan until it is kept as a case. The helm is given where
 * it is planned, unless an own place is tried: else the simulated wheel-over would move with what is tried.
 */

import { known } from "../format.js";
import { set, state, watch } from "../state.js";
import { Asker } from "./asker.js";
import { cardNow } from "./asking.js";
import { readTried } from "./try_fields.js";

const asker = new Asker(({ id, tried }, { answer, error }, more) => {
  if (state.trying?.id !== id) return;
  const outcome = error ? { status: "failed", error, answer: null } : { status: more ? "working" : "ready", error: null, answer, of: tried };
  set({ trying: { ...state.trying, ...outcome } });
});

/** The turn, card and inputs that what is tried is held against. */
export function plannedNow() {
  const { plan, turnCard } = state;
  const turn = plan?.answer.turns.find((one) => one.waypoint_id === turnCard);
  return turn ? { turn, card: cardNow(), inputs: plan.request } : null;
}

/** Where the helm is given, unless said otherwise. */
function atPlanned(tried, { turn }) {
  return "distance_nm" in tried || !known(turn.planned?.distance_nm) || turn.planned.distance_nm <= 0 ? tried : { ...tried, distance_nm: turn.planned.distance_nm };
}

/** Takes all texts of the fields as they stand, and asks where they can be read; while a value is moved, without the band. */
export function tryTexts(texts, { moving = false } = {}) {
  const { turnCard: id, trying, plan } = state;
  const now = plannedNow();
  if (!now) return;
  const { tried, errors } = readTried(texts, now);
  const old = trying?.id === id ? trying.answer : null;
  if (Object.keys(errors).length > 0 || Object.keys(tried).length === 0) {
    asker.drop();
    set({ trying: { id, texts, errors, status: "idle", answer: null, error: null } });
    return;
  }
  const question = atPlanned(tried, now);
  set({ trying: { id, texts, errors, tried: question, status: "working", answer: old, error: null, of: trying?.of } });
  asker.ask({ id, tried: question, request: { plan: plan.request, waypoint_id: id, tried: question, ...(moving && { member_count: 0 }) } });
}

/** Back to the turn as planned. */
export function clearTry() {
  asker.drop();
  set({ trying: null });
}

/** Another turn ends what is tried; another plan asks for it anew. */
export function startTrying() {
  watch(["plan", "turnCard"], () => {
    const { trying, turnCard } = state;
    if (!trying) return;
    if (trying.id !== turnCard || !plannedNow()) clearTry();
    else if (trying.tried) { asker.drop(); tryTexts(trying.texts); }
  });
}
