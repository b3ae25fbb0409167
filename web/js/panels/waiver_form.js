/** A word given for something: name, rank and reason, and when. Who signs in need not say who they are. */

import { el } from "../dom.js";
import { formField, formMessage } from "../record/fields.js";
import { claimedLine, whoFields } from "../record/who.js";
import { state } from "../state.js";

/** Name and rank of whoever is signed in; elsewhere as typed. */
function byOf(who) {
  const me = state.session?.mode === "accounts" ? state.session.signed_in : null;
  return me ? { name: me.person, rank: me.rank } : who.by();
}

/** `take` gets {reason, by, at_utc} and what fields of its own give: `more` holds their nodes, and `read()`, null where they want mending. */
export function waiverForm({ id, heading, lead, act, take, leave, more = { nodes: [], read: () => ({}) } }) {
  const reason = formField({ id: `${id}-reason`, label: "Reason", area: true });
  const who = whoFields("navigator", { id, password: false });
  const message = formMessage(`${id}-refused`);
  const submit = (event) => {
    event.preventDefault();
    const by = byOf(who);
    reason.say(reason.text() ? null : "A reason is needed.");
    const told = more.read();
    if (!by || !reason.text() || !told) return;
    who.keep();
    take({ reason: reason.text(), by, at_utc: `${new Date().toISOString().slice(0, 19)}Z`, ...told });
  };
  return el("form", { class: "strip-form", novalidate: true, "data-testid": `${id}-form`, on: { submit, keydown: (event) => { if (event.key === "Escape") leave(); } } },
    el("h3", {}, heading), lead && el("p", {}, lead), reason.node, more.nodes, who.node, claimedLine() && el("p", { class: "field-hint" }, claimedLine()), message.node,
    el("div", { class: "actions" }, el("button", { type: "submit", class: "primary", "data-testid": `${id}-take` }, act), el("button", { type: "button", on: { click: leave } }, "Not now")));
}
