/** Signing in, where people do: the form, a first password, and the strip of a locked session. */

import { session } from "../api.js";
import { el, replace, show } from "../dom.js";
import { state, watch } from "../state.js";
import { problemBox } from "./problem.js";
import { lookSession, nobody, openLink } from "./who.js";

function field(label, id, type, more = {}) {
  return [el("label", { for: id }, label), el("input", { id, name: id, type, spellcheck: "false", autocapitalize: "none", ...more })];
}

/** A form that says what was wrong above its fields, keeps what was typed, and never sends twice at once. */
function form(name, heading, fields, button, submit, ...below) {
  const told = el("div", { "aria-live": "polite" });
  const press = el("button", { type: "submit", class: "primary" }, button);
  const send = async (event) => {
    event.preventDefault();
    if (press.disabled) return;
    press.disabled = true;
    replace(told);
    try {
      await submit((id) => event.target.elements[id].value);
    } catch (error) {
      replace(told, problemBox(`${heading}: not done`, error));
    } finally {
      press.disabled = false;
    }
  };
  return el("form", { "data-testid": name, on: { submit: send } },
    el("h2", {}, heading), openLink(), told, fields, el("div", { class: "actions" }, press, ...below));
}

/** The page that is open when it is pressed is the one to come back to, not the one on which it was drawn. */
const comingBack = ({ currentTarget }) => currentTarget.setAttribute("href", session.outside());

function signInForm(turn) {
  const fields = [
    field("Account", "account", "text", { required: true, autocomplete: "username" }),
    field("Password (may be pasted)", "password", "password", { required: true, autocomplete: "current-password" }),
    field("One-time code, for accounts that sign in from ashore", "one-time-code", "text", { autocomplete: "one-time-code", inputmode: "numeric" }),
  ];
  const submit = async (value) => {
    const code = value("one-time-code").trim();
    await session.signIn({ account: value("account"), password: value("password"), ...(code && { one_time_code: code }) });
    location.reload();
  };
  return form("sign-in-form", "Sign in", fields, "Sign in", submit,
    state.session.outside_sign_in && el("a", { class: "button", href: session.outside(), "data-testid": "outside", on: { click: comingBack } }, "Sign in by the shore office"),
    el("button", { type: "button", class: "linkish", "data-testid": "to-enrolment", on: { click: () => turn("enrolment") } }, "I was given a code"));
}

function enrolmentForm(turn) {
  const fields = [
    field("Account", "account", "text", { required: true, autocomplete: "username" }),
    field("Code you were given", "code", "text", { required: true, autocomplete: "off" }),
    field("New password: 12 characters at least, 15 or more are better", "password", "password", { required: true, autocomplete: "new-password" }),
  ];
  const submit = async (value) => {
    const made = await session.enrol({ account: value("account"), code: value("code"), password: value("password") });
    turn("sign-in", made.second_factor);
  };
  return form("enrolment-form", "Set your password", fields, "Set the password", submit,
    el("button", { type: "button", class: "linkish", on: { click: () => turn("sign-in") } }, "Back to sign in"));
}

/** The second factor, shown once: type it, or open it, in an authenticator. */
function factorPart(factor) {
  return factor && el("div", { class: "once", "data-testid": "second-factor" },
    el("p", {}, "Your password is set. Put this into your authenticator now; it is shown once. Every sign-in needs a code from it."),
    el("p", {}, el("code", {}, factor.secret)), el("p", {}, el("a", { href: factor.uri }, "Open it in an authenticator on this device")));
}

function unlockForm(resume) {
  const fields = field(`Password of ${state.session.signed_in.account}`, "password", "password", { required: true, autocomplete: "current-password" });
  const submit = async (value) => {
    await session.unlock(value("password"));
    await lookSession();
    resume();
  };
  return form("unlock-form", "Nothing was done here for 15 minutes", [el("p", {}, "The view stays. To change anything, type your password again; what you changed meanwhile is kept."), fields], "Go on", submit);
}

/** Draws the form that is needed, and only when another one is: what is being typed stays. */
export function startSignIn(host, resume) {
  let drawn = null;
  const turn = (which, factor = null) => {
    drawn = which;
    const forms = { "sign-in": () => signInForm(turn), enrolment: () => enrolmentForm(turn), unlock: () => unlockForm(resume) };
    replace(host, factorPart(factor), which && forms[which]());
    show(host, Boolean(which));
    if (which) host.querySelector("input").focus({ preventScroll: true });
  };
  watch(["session"], () => {
    const wanted = nobody() ? "sign-in" : state.session?.signed_in?.locked ? "unlock" : null;
    const there = drawn === wanted || (wanted === "sign-in" && drawn === "enrolment");
    if (!there) turn(wanted);
  });
}
