/** Accounts, for administrators: who there is, with which roles; adding, changing, disabling, resetting. */

import { el, replace, show } from "../dom.js";
import { countText, dateText } from "../format.js";
import { accountFields, changeOf } from "../people/account_fields.js";
import { accounts, readAccounts } from "../people/api.js";
import { actForm, askedAct, needed, PLAIN, saidLine, showOnce } from "../people/form.js";
import { grantsWords } from "../people/words.js";
import { formField, formMessage } from "../record/fields.js";
import { state, watch } from "../state.js";
import { tryAct } from "./parcels.js";
import { problemBox } from "./problem.js";

/** From how many accounts on one may look for a name. */
const MANY_COUNT = 8;
const CHANGED = 412;

const nameWords = ({ person, rank }) => `${person}, ${rank}`;
const isOwn = ({ account }) => account === state.session.signed_in.account;

function standing({ disabled, ready }) {
  if (disabled) return "disabled";
  return ready ? "may sign in" : "waits for a password";
}

function showCode(host, { account, person, enrolment }) {
  showOnce(host, {
    testId: "code", heading: `Code for ${account}, shown once`, label: `Code by which ${person} sets a password`, secret: enrolment.code,
    words: `Good once, until ${dateText(enrolment.until_utc)}. Give it to its owner and to nobody else; they press "I was given a code" where they sign in. For another one, reset the account.`,
  });
}

/** One account. What is typed into its form stays until it is stored, whatever the list says meanwhile. */
class Account {
  constructor(id, codes) {
    Object.assign(this, { id, codes, etag: null, fields: null });
    [this.head, this.host] = [el("div", {}), el("div", {})];
    this.summary = el("summary", {});
    this.node = el("li", { class: "thread" }, this.head, el("details", { on: { toggle: ({ target }) => { if (target.open) this.open(); } } }, this.summary, this.host));
  }

  /** Shows the account as the list has it. */
  dress(record) {
    this.listed = record;
    this.node.dataset.testid = `account-${record.account}`;
    this.summary.dataset.testid = `account-open-${record.account}`;
    this.summary.textContent = `Change ${record.account}`;
    replace(this.head, el("p", {}, el("strong", {}, record.person), `, ${record.rank}. Signs in as `, el("strong", {}, record.account), isOwn(record) && " (this is you)", ` ${record.ashore ? "from ashore" : "on board"}. `,
      el("span", { class: "thread-state", "data-testid": `standing-${record.account}` }, standing(record))),
      el("p", { class: "gap-line", "data-testid": `grants-${record.account}` }, grantsWords(record.grants, state.vessels.items)));
    this.fields?.dress();
  }

  build() {
    const name = this.listed.account;
    const prefix = `account-${name.replaceAll(/[^\w-]/g, "_")}`;
    this.fields = accountFields(prefix);
    this.meanwhile = el("p", { class: "field-error", role: "alert", "data-testid": "account-meanwhile", hidden: true });
    this.message = formMessage("account-act-refused");
    this.said = saidLine("account-act-said");
    this.form = actForm({ testId: prefix, label: `Change ${name}`, parts: [this.meanwhile, this.fields.node], button: "Store these changes", check: () => this.fields.given(), places: () => this.fields.places(), act: (given) => this.store(given) });
    this.switch = el("button", { type: "button", "data-testid": `switch-${name}`, on: { click: () => this.turn() } });
    this.reset = askedAct({
      testId: `reset-${name}`, words: "Reset password and second factor", button: "Reset: a new code is needed to sign in", message: this.message,
      asks: () => `Takes password and second factor from ${nameWords(this.record)}, and ends each session of the account. Press again to do it.`, run: () => this.resetIt(),
    });
    const own = isOwn(this.listed);
    replace(this.host, own && el("p", { class: "field-hint" }, "This is your own account. Other roles end your session at once. Another administrator can disable or reset it, or whoever is at the machine itself by wheelover account."),
      this.form.node, !own && el("div", { class: "account-acts" }, el("div", { class: "actions" }, this.switch), this.reset.node), this.message.node, this.said.node);
  }

  /** The account is read anew each time it is opened: a change needs the state it is a change of. */
  async open() {
    try {
      this.take(await accounts.read(this.id));
    } catch (error) {
      if (error.status === undefined) throw error;
      if (this.fields) this.message.say(error.detail || error.title);
      else replace(this.host, problemBox(`${this.listed.account} was not read`, error, () => this.open()));
    }
  }

  /** Takes the account as it is stored now. Fields that somebody changed keep what is in them; `own`: by this page itself. */
  take({ answer, etag }, { own = false } = {}) {
    if (!this.fields) this.build();
    const touched = this.filled !== undefined && this.fields.texts() !== this.filled;
    const others = touched && !own && this.etag !== null && etag !== this.etag;
    [this.record, this.etag] = [answer, etag];
    replace(this.meanwhile, others && `It was changed elsewhere since it was read. It now reads: ${nameWords(answer)}, ${standing(answer)}. ${grantsWords(answer.grants, state.vessels.items)} What you typed stands in the fields; storing it takes the place of that.`);
    show(this.meanwhile, others);
    if (!touched) { this.fields.fill(answer); this.filled = this.fields.texts(); }
    replace(this.switch, answer.disabled ? "Enable" : "Disable: ends its sessions at once");
    this.dress(answer);
  }

  /** Sends a change of the account as it was read; one that was changed elsewhere is read anew, and nothing is stored. */
  async send(given) {
    try {
      return await accounts.change(this.id, given, this.etag);
    } catch (error) {
      if (error.status === CHANGED) this.take(await accounts.read(this.id));
      throw error;
    }
  }

  async store(given) {
    const { disabled } = this.record;
    const answered = await this.send({ ...given, disabled });
    this.filled = this.fields.texts();
    this.take(answered);
    readAccounts();
    return `Stored: ${nameWords(answered.answer)}.`;
  }

  async turn() {
    this.said.say(null);
    const disabled = !this.record.disabled;
    const done = await tryAct(this.switch, {}, this.message, async () => this.take(await this.send(changeOf(this.record, { disabled })), { own: true }));
    if (done) { this.said.say(disabled ? "Disabled. Its sessions are ended." : "Enabled."); readAccounts(); }
    this.switch.focus({ preventScroll: true });
  }

  async resetIt() {
    showCode(this.codes, await accounts.reset(this.id));
    this.take(await accounts.read(this.id), { own: true });
    readAccounts();
  }
}

function addPart(codes) {
  const name = formField({ id: "account-new-name", label: "Sign-in name", hint: "3 to 64 letters, digits, points, dashes or @. It stays as it is.", attributes: PLAIN });
  const fields = accountFields("account-new");
  const check = () => {
    const [account, rest] = [needed(name, "The sign-in name is needed."), fields.given()];
    return account && rest && { account, ...rest };
  };
  const act = async (given) => {
    const made = await accounts.add(given);
    name.input.value = "";
    fields.fill({ person: "", rank: "", ashore: false, outside: null, grants: [] });
    await readAccounts();
    showCode(codes, made);
    return `Added: ${nameWords(made)}. Its code stands above.`;
  };
  const form = actForm({ testId: "account-new", label: "Add an account", parts: [el("div", { class: "fields" }, name.node), fields.node], button: "Add this account", check, places: () => ({ "/account": name, ...fields.places() }), act });
  return { node: el("details", {}, el("summary", { "data-testid": "account-add" }, "Add an account"), form.node), dress: () => fields.dress() };
}

function countsLine(items, shown) {
  const count = (word) => items.filter((one) => standing(one) === word).length;
  return [`${countText(items.length, "account")}; ${count("disabled")} disabled, ${count("waits for a password")} without a password yet.`, shown < items.length && ` ${shown} shown.`];
}

export function accountsPart() {
  const [codes, list, trouble] = [el("div", {}), el("ul", { class: "threads", "data-testid": "accounts" }), el("div", {})];
  const counts = el("p", { class: "gap-line", role: "status", "data-testid": "accounts-count" });
  const find = formField({ id: "account-find", label: "Show only names with", attributes: PLAIN });
  const [made, add] = [new Map(), addPart(codes)];
  let told = "";
  const dress = () => {
    const { status, items, error } = state.accounts;
    const text = find.text().toLowerCase();
    const shown = items.filter(({ account, person }) => `${account} ${person}`.toLowerCase().includes(text)).sort((a, b) => (a.account < b.account ? -1 : 1));
    show(find.node, items.length > MANY_COUNT || Boolean(text));
    const words = items.length === 0 ? (status === "failed" ? [] : ["Working: asking for the accounts."]) : countsLine(items, shown.length);
    if (String(words) !== told) replace(counts, words);
    told = String(words);
    replace(trouble, status === "failed" && problemBox("The accounts were not listed", error, readAccounts));
    items.forEach((one) => { if (!made.has(one.id)) made.set(one.id, new Account(one.id, codes)); made.get(one.id).dress(one); });
    const nodes = shown.map((one) => made.get(one.id).node);
    if (nodes.length !== list.children.length || nodes.some((node, i) => list.children[i] !== node)) list.replaceChildren(...nodes);
    add.dress();
  };
  find.input.setAttribute("data-kept", "");
  find.input.addEventListener("input", dress);
  watch(["accounts", "vessels"], dress);
  return el("section", { class: "parcel-part", "aria-labelledby": "accounts-title" }, el("h3", { id: "accounts-title" }, "Accounts"), trouble, counts, codes, add.node, find.node, list);
}
