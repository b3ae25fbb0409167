/** Notices that the stored plan has moved on without this page: another tab, another desk. */

import { plans } from "../api.js";
import { set, state } from "../state.js";
import { sameInputs } from "./difference.js";

/** Whether the page holds nothing that waits, so that a newer state can only be somebody else's. */
const idle = () => Boolean(state.draft) && state.save.status === "saved" && !state.elsewhere;

/** Asks whether the plan is still at the state on show. What is not the same is kept beside it, and said. */
export async function lookElsewhere() {
  if (!idle()) return;
  const { draft } = state;
  let newer;
  try {
    newer = await plans.newer(draft.id, draft.etag);
  } catch (error) {
    if (error.status === undefined) throw error;
    return; // a lost server is said in the banner; a refusal comes again with the next change
  }
  if (!newer || newer.etag === draft.etag || state.draft !== draft || !idle()) return;
  const theirs = { ...newer.answer, etag: newer.etag };
  if (theirs.edit === draft.edit && sameInputs(theirs.inputs, draft.inputs)) set({ draft: theirs }); // frozen elsewhere
  else set({ elsewhere: theirs });
}
