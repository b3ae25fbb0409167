/** The browsers one is signed in with, and ending one of them or all the others. */

import { el, replace } from "../dom.js";
import { countText, dateText } from "../format.js";
import { ownSessions } from "../people/api.js";
import { actForm } from "../people/form.js";
import { formField } from "../record/fields.js";
import { problemBox } from "./problem.js";

const OTHERS = "others";
const NOT_RIGHT = 401;

/** "Since 26 Nov 2026 04:50Z, used last 26 Nov 2026 05:10Z, ends 26 Nov 2026 16:50Z". */
function sessionWords({ started_utc: started, used_utc: used, until_utc: until, locked, this: here }) {
  return `Since ${dateText(started)}, used last ${dateText(used)}${locked ? ", locked" : ""}, ends ${dateText(until)}${here ? ". The one you are in" : ""}`;
}

const choice = (value, words) => el("label", { class: "choice" }, el("input", { type: "radio", name: "own-session", value, "data-testid": `own-session-${value}` }), ` ${words}`);

export function sessionsForm({ account, outside }) {
  const list = el("div", { "data-testid": "own-sessions", role: "group", "aria-label": "Your sessions" });
  const name = el("input", { type: "text", autocomplete: "username", readonly: true, hidden: true, value: account });
  const password = formField({ id: "own-sessions-password", label: "Password you have now (may be pasted)", attributes: { type: "password", autocomplete: "current-password", spellcheck: "false" },
    hint: outside ? "Not needed for five minutes after you signed in by the shore office." : undefined });
  const read = async () => {
    try {
      const items = await ownSessions.list();
      const others = items.filter((one) => !one.this);
      replace(list, items.filter((one) => one.this).map((one) => el("p", {}, `${sessionWords(one)}.`)),
        others.map((one) => choice(one.id, `${sessionWords(one)}.`)),
        others.length > 0 ? choice(OTHERS, `All others: ${countText(others.length, "session")}.`) : el("p", {}, "You are signed in nowhere else."));
    } catch (error) {
      if (error.status === undefined && !error.unreachable) throw error; // a fault of this page, not an answer
      replace(list, problemBox("Your sessions were not read", error));
    }
  };
  const check = () => {
    const chosen = list.querySelector("input:checked");
    form.message.say(chosen ? null : "Choose the session that is to end.");
    return chosen && { session_id: chosen.value, ...(password.input.value && { password: password.input.value }) };
  };
  const act = async (given) => {
    let ended;
    try {
      ended = await ownSessions.end(given);
    } catch (error) {
      if (error.status === NOT_RIGHT && error.errors.length === 0) error.errors = [{ pointer: "/password", message: error.detail || error.title }];
      throw error;
    }
    password.input.value = "";
    await read();
    return `${countText(ended, "session")} ended.`;
  };
  const form = actForm({ testId: "own-sessions-end", label: "End sessions", button: "End it", check, act, places: () => ({ "/password": password }), parts: [name, list, el("div", { class: "fields" }, password.node)] });
  const opened = ({ currentTarget }) => currentTarget.open && read();
  return el("details", { on: { toggle: opened } }, el("summary", { "data-testid": "own-sessions-open" }, "Your sessions"), form.node);
}
