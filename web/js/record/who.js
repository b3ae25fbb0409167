/**
 * Who acts. Without accounts name and rank are typed, and each part played keeps its own name in this
 * browser, as the bridge's computer is shared. Where people sign in it is whoever has, or another
 * person at the same computer by account and password.
 */

import { session } from "../api.js";
import { el, show } from "../dom.js";
import { state } from "../state.js";
import { formField } from "./fields.js";

const key = (part) => `wheelover.who.${part}`;

function kept(part) {
  try {
    return JSON.parse(localStorage.getItem(key(part)) || "null") || {};
  } catch {
    return {}; // not ours, or no storage: the fields start empty
  }
}

/** Parts for which the password is typed again. */
const WITH_PASSWORD = new Set(["master", "second_person", "watch"]);

const signedIn = () => (state.session?.mode === "accounts" ? state.session.signed_in : null);

/** Stands for whoever is signed in: nothing is sent, the service knows. */
const AS_SIGNED_IN = { toJSON: () => undefined };

/** The page that is open when it is pressed is the one to come back to, not the one on which it was drawn. */
const comingBack = ({ currentTarget }) => currentTarget.setAttribute("href", session.outside({ again: true }));

/** For whom the shore office's provider signs in: it asks again, and then nothing is typed here for a while. */
function outsideLine(me, id) {
  if (!me.outside) return null;
  const fresh = me.decides_until_utc && Date.parse(me.decides_until_utc) > Date.now();
  const words = fresh ? `Signed in by the shore office just now: until ${me.decides_until_utc.slice(11, 16)} UTC no password is needed. `
    : "Without a password here: sign in anew by the shore office, and for five minutes none is needed. ";
  return el("p", { class: "field-hint", "data-testid": `${id}-outside` }, words, !fresh && el("a", { href: session.outside({ again: true }), "data-testid": `${id}-again`, on: { click: comingBack } }, "Sign in anew"));
}

/** As `whoFields`, where people sign in. */
function accountFields(me, passwordNeeded, id) {
  const line = el("p", { class: "field-hint", "data-testid": `${id}-as` }, `Recorded as ${me.person}, ${me.rank}.`);
  if (!passwordNeeded) return { node: line, by: () => AS_SIGNED_IN, keep: () => {}, places: {} };
  const account = formField({ id: `${id}-account`, label: "Account, where it is somebody else", attributes: { autocomplete: "off" } });
  const password = formField({ id: `${id}-password`, label: "Password, typed again", attributes: { type: "password", autocomplete: "current-password" } });
  const code = formField({ id: `${id}-code`, label: "One-time code, for accounts that sign in from ashore", attributes: { autocomplete: "one-time-code", inputmode: "numeric" } });
  let asked = false; // by a refusal: only the service knows which other account needs one
  const dress = () => show(code.node, asked || (me.needs_code && account.text() === ""));
  account.input.addEventListener("input", () => { asked = false; dress(); });
  dress();
  const by = () => {
    const given = { account: account.text(), password: password.input.value, code: code.text() };
    if (given.account === "" && given.password === "") return AS_SIGNED_IN;
    return { ...(given.account && { account: given.account }), password: given.password, ...(given.code && { code: given.code }) };
  };
  const keep = () => { [account, password, code].forEach((one) => { one.input.value = ""; }); asked = false; dress(); };
  const needed = { ...code, say: (words) => { asked ||= Boolean(words); dress(); code.say(words); } };
  const places = { "/by": password, "/by/password": password, "/by/account": account, "/by/code": needed };
  return { node: el("div", {}, line, outsideLine(me, id), el("div", { class: "fields" }, account.node, password.node, code.node)), by, keep, places };
}

/** Fields for name and rank: {node, by(), say(places)}; `by()` is null, with a message in place, where one is missing. */
export function whoFields(part, { id = part, password = WITH_PASSWORD.has(part) } = {}) {
  const me = signedIn();
  if (me) return accountFields(me, password, id);
  const { name = "", rank = "" } = kept(part);
  const fields = {
    name: formField({ id: `${id}-name`, label: "Name", value: name }),
    rank: formField({ id: `${id}-rank`, label: "Rank", value: rank }),
  };
  const by = () => {
    const given = { name: fields.name.text(), rank: fields.rank.text() };
    fields.name.say(given.name ? null : "A name is needed.");
    fields.rank.say(given.rank ? null : "A rank is needed.");
    return given.name && given.rank ? given : null;
  };
  const keep = () => {
    try {
      localStorage.setItem(key(part), JSON.stringify({ name: fields.name.text(), rank: fields.rank.text() }));
    } catch (error) {
      console.info(`Name and rank are not kept: ${error.message}`);
    }
  };
  const places = { "/by": fields.name, "/by/name": fields.name, "/by/rank": fields.rank };
  return { node: el("div", { class: "fields" }, fields.name.node, fields.rank.node), by, keep, places };
}

/** What stands beside names that nobody checked. */
export const claimedLine = () => (signedIn() ? null : "There is no sign-in here: name and rank are recorded and printed as claimed.");
