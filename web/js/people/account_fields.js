/** What an administrator says of an account: name, rank, from ashore, roles, and who it is for the shore office's provider. */

import { el, replace, show } from "../dom.js";
import { choiceField, formField } from "../record/fields.js";
import { state } from "../state.js";
import { needed } from "./form.js";
import { grantsField } from "./grants.js";

const MAIL = "mailto:";
const LINKS = [["", "not linked"], ["email", "by a verified e-mail address"], ["subject", "by the provider's subject"]];

/** The link to the provider as it is stored, as {by, text}. */
function linkOf(outside) {
  if (!outside) return { by: "", text: "" };
  return outside.startsWith(MAIL) ? { by: "email", text: outside.slice(MAIL.length) } : { by: "subject", text: outside };
}

function outsideField(prefix) {
  const by = choiceField({ id: `${prefix}-link`, label: "Signs in by the shore office" });
  const text = formField({ id: `${prefix}-outside`, label: "Who that is there", attributes: { spellcheck: "false", autocapitalize: "none" } });
  const ends = el("p", { class: "field-hint" });
  const fields = el("div", { class: "fields" }, by.node, text.node);
  by.fill(LINKS);
  const dress = () => show(text.node, Boolean(by.text()));
  by.input.addEventListener("change", dress);
  const offered = Boolean(state.session.outside_sign_in);
  const fill = (outside) => {
    const link = linkOf(outside);
    [by.input.value, text.input.value] = [link.by, link.text];
    show(fields, offered);
    replace(ends, !offered && outside && `Linked to the shore office as ${link.text}. No sign-in by the shore office is set here now: storing a change ends the link.`);
    dress();
  };
  fill(null);
  return {
    node: el("div", {}, fields, ends), fill,
    texts: () => [by.text(), text.text()],
    given: () => {
      if (!offered || !by.text()) return {};
      const words = needed(text, "Write the address or the subject.");
      return words && { outside: { [by.text()]: words } };
    },
    places: { "/outside": text, "/outside/email": text, "/outside/subject": text },
  };
}

/** {node, fill(record), given(), places(), texts(), dress()}; `given()` is null, with messages in place, where something is missing. */
export function accountFields(prefix) {
  const person = formField({ id: `${prefix}-person`, label: "Name of the person" });
  const rank = formField({ id: `${prefix}-rank`, label: "Rank" });
  const ashore = el("input", { type: "checkbox", id: `${prefix}-ashore`, "data-testid": `${prefix}-ashore`, "aria-describedby": `${prefix}-ashore-hint` });
  const [outside, grants] = [outsideField(prefix), grantsField(prefix)];
  const node = el("div", {}, el("div", { class: "fields" }, person.node, rank.node),
    el("label", { class: "choice" }, ashore, "Signs in from ashore"),
    el("p", { class: "field-hint", id: `${prefix}-ashore-hint` }, "Then each sign-in needs a code of a second factor, which its owner is given together with the password. An account that has a password already must be reset for it."),
    outside.node, grants.node);
  return {
    node, person,
    fill: (record) => {
      [person.input.value, rank.input.value, ashore.checked] = [record.person, record.rank, record.ashore];
      [person, rank].forEach((one) => one.say(null));
      outside.fill(record.outside);
      grants.fill(record.grants);
    },
    given: () => {
      const all = [needed(person, "The name of the person is needed."), needed(rank, "The rank is needed."), outside.given(), grants.given()];
      if (all.includes(null)) return null;
      return { person: all[0], rank: all[1], ashore: ashore.checked, ...all[2], grants: all[3] };
    },
    places: () => ({ "/person": person, "/rank": rank, ...outside.places, ...grants.places() }),
    texts: () => JSON.stringify([person.text(), rank.text(), ashore.checked, outside.texts(), grants.texts()]),
    dress: () => grants.dress(),
  };
}

/** What a stored account says of itself, as a change sends it. */
export function changeOf(record, change) {
  const link = linkOf(record.outside);
  const kept = link.by && state.session.outside_sign_in ? { outside: { [link.by]: link.text } } : {};
  const { person, rank, ashore, disabled, grants } = record;
  return { person, rank, ashore, disabled, grants, ...kept, ...change };
}
