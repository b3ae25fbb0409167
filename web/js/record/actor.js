/**
 * Who acts, whichever way people are known here: name and rank as typed, or who is signed in; and where an act
 * needs it, that person's password again. `said()` is what goes with the act, null with a message in place where something is missing.
 */

import { el } from "../dom.js";
import { state } from "../state.js";
import { formField } from "./fields.js";
import { CLAIMED, whoFields } from "./who.js";

function passwordFields(id, me) {
  const account = formField({ id: `${id}-account`, label: "Account", value: me.account, attributes: { autocomplete: "username", spellcheck: "false" } });
  const password = formField({ id: `${id}-password`, label: "Password (may be pasted)", attributes: { type: "password", autocomplete: "current-password" } });
  const said = () => {
    password.say(password.input.value ? null : "The password is needed.");
    return password.input.value ? { by: { account: account.text() || me.account, password: password.input.value } } : null;
  };
  const keep = () => { password.input.value = ""; };
  return { node: el("div", { class: "fields" }, account.node, password.node), said, keep, places: { "/by": password, "/by/account": account, "/by/password": password } };
}

/** {node, said(), keep(), places}; `part` is the part played, under which name and rank are remembered here. */
export function actorFields(part, { id = part, password = false } = {}) {
  const me = state.session?.signed_in;
  if (me && password) return passwordFields(id, me);
  if (me) return { node: el("p", { class: "field-hint" }, `As ${me.person}, ${me.rank}.`), said: () => ({}), keep() {}, places: {} };
  const who = whoFields(part, { id });
  const said = () => { const by = who.by(); return by && { by }; };
  return { node: el("div", {}, who.node, el("p", { class: "field-hint" }, CLAIMED)), said, keep: who.keep, places: who.places };
}
