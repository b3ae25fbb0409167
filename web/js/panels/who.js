/** Who is signed in, in the head; asked for now and then. */

import { session } from "../api.js";
import { el, show } from "../dom.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";

let lookedMs = -Infinity;

/** Asks who is signed in, unless that was asked less than `everyMs` ago. Without an answer nothing changes. */
export async function lookSession(everyMs = 0) {
  if (performance.now() - lookedMs < everyMs) return;
  lookedMs = performance.now();
  try {
    set({ session: await session.look() });
  } catch (error) {
    if (!error.unreachable && error.status === undefined) throw error; // a fault of this page, not an answer
  }
}

/** Whether people sign in here and nobody is. */
export const nobody = () => state.session?.mode === "accounts" && !state.session.signed_in;

export const openLink = () => state.session?.link === "open" && el("span", { class: "link-open", "data-testid": "link-open" }, "This link is open (plain http)");

/** Who is signed in, in the head; and that the link is open, where it is. */
export function startWho(host) {
  const leave = async () => {
    await session.signOut();
    location.assign("/");
  };
  watch(["session"], () => {
    document.body.toggleAttribute("data-nobody", nobody());
    const me = state.session?.signed_in;
    redraw(host, openLink(), me && [
      el("span", { class: "who-name", "data-testid": "who-name" }, `${me.person}, ${me.rank}`),
      me.locked && el("span", { "data-testid": "locked-word" }, "locked"),
      el("a", { class: "button", href: "/#people", "data-testid": "to-people" }, me.grants.some(({ role }) => role === "administrator") ? "Accounts" : "Your account"),
      el("button", { type: "button", "data-testid": "sign-out", on: { click: leave } }, "Sign out")]);
    show(host, Boolean(me) || state.session?.link === "open");
  });
}
