/** One's own account: what it may do, and another password. */

import { el } from "../dom.js";
import { sessionsForm } from "./people_sessions.js";
import { ownPassword } from "../people/api.js";
import { actForm, needed } from "../people/form.js";
import { grantsWords } from "../people/words.js";
import { formField } from "../record/fields.js";
import { state, watch } from "../state.js";

const NOT_RIGHT = 401;

const passwordField = (id, label, complete, hint) => {
  const field = formField({ id, label, hint, attributes: { type: "password", autocomplete: complete, spellcheck: "false" } });
  return { ...field, text: () => field.input.value }; // exactly as it was typed
};

function passwordForm(account) {
  const present = passwordField("own-present", "Password you have now (may be pasted)", "current-password");
  const next = passwordField("own-next", "New password", "new-password", "12 characters at least, 15 or more are better.");
  const again = passwordField("own-again", "New password again", "new-password");
  const check = () => {
    const given = [needed(present, "Type the password you have now."), needed(next, "A new password is needed."), needed(again, "Type the new password again.")];
    if (given.includes(null)) return null;
    const same = next.text() === again.text();
    again.say(same ? null : "This is not the same as the new password.");
    return same ? { password: given[0], new_password: given[1] } : null;
  };
  const act = async (given) => {
    try {
      await ownPassword(given);
    } catch (error) {
      if (error.status === NOT_RIGHT && error.errors.length === 0) error.errors = [{ pointer: "/password", message: error.detail || error.title }];
      throw error;
    }
    [present, next, again].forEach((one) => { one.input.value = ""; });
    return "The new password is set. Your sessions on other browsers are ended.";
  };
  const name = el("input", { type: "text", autocomplete: "username", readonly: true, hidden: true, value: account });
  return actForm({ testId: "own-password", label: "Change your password", button: "Set the new password", check, act, places: () => ({ "/password": present, "/new_password": next }), parts: [name, el("div", { class: "fields" }, present.node, next.node, again.node)] }).node;
}

export function ownPart() {
  const me = state.session.signed_in;
  const roles = el("p", { "data-testid": "own-roles" });
  watch(["vessels"], () => { roles.textContent = `Your roles: ${grantsWords(me.grants, state.vessels.items)}`; });
  return el("section", { class: "parcel-part", "aria-labelledby": "own-title" }, el("h3", { id: "own-title" }, "Your account"),
    el("p", {}, el("strong", {}, me.person), `, ${me.rank}. You sign in as `, el("strong", {}, me.account), "."), roles,
    el("details", {}, el("summary", { "data-testid": "own-password-open" }, "Change your password"), passwordForm(me.account)),
    sessionsForm(me),
    el("details", {}, el("summary", { "data-testid": "own-factor-open" }, "Change your second factor"),
      el("p", {}, "A second factor is given together with a password and never apart from it, so that a session left open cannot put in another. For a new authenticator ask an administrator to reset your account: with the code you are given you set both anew."),
      el("p", { class: "field-hint" }, "Where there is no other administrator: wheelover account reset, at the machine itself.")));
}

