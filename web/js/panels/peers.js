/** Peers: pairing with another installation, and the parcels made for each. */

import { fetchFile, peers } from "../api.js";
import { el, replace, saveBlob, show } from "../dom.js";
import { countText, dateText, sizeText } from "../format.js";
import { cameWords, carriesWords, sentWords, SIDES } from "../parcels/words.js";
import { actorFields } from "../record/actor.js";
import { readVessels } from "../people/api.js";
import { choiceField, formField, formMessage } from "../record/fields.js";
import { state, watch } from "../state.js";
import { readPeers, tryAct } from "./parcels.js";

/** Fetches a parcel and hands it to the browser. */
function downloadButton(out) {
  const said = el("span", { role: "status" });
  const get = async () => {
    try {
      const { body, name } = await fetchFile(out.href);
      saveBlob(name || `parcel-${out.sequence}`, body);
      replace(said, `${name} was handed to the browser.`);
    } catch (error) {
      if (error.status === undefined) throw error;
      replace(said, el("span", { class: "field-error" }, error.detail || error.title));
    }
  };
  return [el("button", { type: "button", "data-testid": `download-${out.sequence}`, on: { click: get } }, `Download parcel ${out.sequence}, ${sizeText(out.size_count)}`), " ", said];
}

/** One peer: its state, its parcels, the form that makes the next. */
export class Peer {
  constructor(id) {
    this.id = id;
    [this.head, this.parcels, this.plans] = [el("p", {}), el("div", {}), el("div", { class: "plan-choices", role: "group", "aria-label": "Plans that go to this peer" })];
    this.message = formMessage("make-refused");
    this.act = el("button", { type: "submit", class: "primary", "data-testid": `make-${id}` }, "Make the next parcel");
    this.revoke = el("button", { type: "button", "data-testid": `revoke-${id}`, on: { click: () => this.revokeIt() } }, "Revoke this peer");
    this.form = el("form", { novalidate: true, on: { submit: (event) => { event.preventDefault(); this.make(); } } }, el("p", { class: "field-label" }, "Plans that go to this peer from now on"), this.plans, this.message.node, el("div", { class: "actions" }, this.act, this.revoke));
    this.node = el("li", { class: "thread", "data-testid": `peer-${id}` }, this.head,
      el("details", { on: { toggle: ({ target }) => { if (target.open) this.read(); } } }, el("summary", { "data-testid": `peer-open-${id}` }, "Parcels"), this.form, this.parcels));
    this.chosen = null;
  }

  dress(peer) {
    this.peer = peer;
    this.chosen ??= new Set(peer.plans);
    replace(this.head, el("strong", {}, peer.name), `, ${SIDES[peer.side]}, `, el("span", { class: "thread-state", "data-testid": "peer-state" }, peer.state), peer.state === "revoked" && peer.revoked_utc ? ` since ${dateText(peer.revoked_utc)}: nothing more is taken from it` : ` since ${dateText(peer.paired_utc)}, ${countText(peer.plans.length, "plan")} ${peer.plans.length === 1 ? "goes" : "go"} there`, peer.pushed && ", brought to its address when the link allows");
    show(this.form, peer.state === "paired");
    this.dressPlans();
  }

  dressPlans() {
    const { items, inUse } = state.desk;
    const all = [...new Map([...inUse, ...items].map((one) => [one.id, one])).values()].filter((one) => !one.demonstration);
    const names = new Map(all.map((one) => [one.id, one.name || "Route without a name"]));
    this.peer.plans.forEach((id) => { if (!names.has(id)) names.set(id, id); });
    if (String([...names]) === this.listed) return;
    this.listed = String([...names]);
    replace(this.plans, names.size === 0 && el("p", { class: "gap-line" }, "No plan is stored here yet."), [...names].map(([id, name]) => {
      const already = this.peer.plans.includes(id);
      const box = el("input", { type: "checkbox", value: id, checked: this.chosen.has(id), disabled: already, "data-testid": `send-${id}`, on: { change: () => { if (!this.chosen.delete(id)) this.chosen.add(id); } } });
      return el("label", { class: "choice" }, box, `${name}${already ? " (goes there)" : ""}`);
    }));
  }

  async read() {
    try {
      const { sent, came } = await peers.read(this.id);
      const line = (words, one, more) => el("li", {}, words, el("span", { class: "sub" }, `Carries ${carriesWords(one.carries)}.`), more);
      replace(this.parcels, el("p", { class: "field-label" }, "Made for it"), sent.length === 0 ? el("p", { class: "gap-line" }, "None yet.") : el("ul", { class: "record-lines", "data-testid": "parcels-sent" }, [...sent].reverse().map((one) => line(sentWords(one), one, one.state === "sent" && one.size_count > 0 && downloadButton(one)))),
        el("p", { class: "field-label" }, "Came from it"), came.length === 0 ? el("p", { class: "gap-line" }, "None yet.") : el("ul", { class: "record-lines", "data-testid": "parcels-came" }, [...came].reverse().map((one) => line(cameWords(one), one))));
    } catch (error) {
      if (error.status === undefined) throw error;
      this.message.say(error.detail || error.title);
    }
  }

  async make() {
    const done = await tryAct(this.act, {}, this.message, () => peers.make(this.id, { plans: [...this.chosen] }));
    await this.read();
    if (done) { this.listed = null; await readPeers(); }
  }

  /** Nothing brings a revoked key back, so the button says what it does before it does it. */
  async revokeIt() {
    if (!this.asked) {
      this.asked = true;
      this.revoke.textContent = "Revoke: its key is never taken again";
      return;
    }
    if (await tryAct(this.revoke, {}, this.message, () => peers.revoke(this.id))) await readPeers();
  }
}

const MEMBERS = [["id", "Id"], ["name", "Name"], ["side", "Side: ship or shore"], ["public_key", "Public key, 64 figures and letters"]];

/** The vessel of an installation on board, to which its peers' plans belong unless another is named. */
const OWN_VESSEL = "own";

/** Pairing: the card comes in any way, its fingerprint by voice. */
export function pairPart() {
  const text = formField({ id: "pair-card", label: "Card of the other side, pasted", area: true, attributes: { spellcheck: "false" } });
  const typed = MEMBERS.map(([name, label]) => [name, formField({ id: `pair-${name}`, label, attributes: { spellcheck: "false", autocapitalize: "none" } })]);
  const fingerprint = formField({ id: "pair-fingerprint", label: "Its fingerprint, as it is read to you by voice", hint: "Eight groups of five digits, read from the screen of the other side and never from the message the card came in.", wide: true, attributes: { inputmode: "numeric" } });
  const vessel = choiceField({ id: "pair-vessel", label: "Vessel here that its plans belong to", hint: "An installation that was paired before keeps its vessel." });
  const unread = el("p", { class: "field-hint", role: "status" });
  const message = formMessage("pair-refused");
  const button = el("button", { type: "submit", class: "primary", "data-testid": "pair-record" }, "Pair with it");
  const who = el("div", {});
  let actor = null;
  /** The card as pasted, or as typed member by member; null with a message where it cannot be read. */
  const given = () => {
    if (!text.text()) return Object.fromEntries(typed.map(([name, field]) => [name, field.text()]));
    try {
      const { id, name, side, public_key } = JSON.parse(text.text());
      return { id, name, side, public_key };
    } catch {
      text.say("This is not a card: it begins with { and ends with }.");
      return null;
    }
  };
  const pair = async (event) => {
    event.preventDefault();
    const [card, said] = [given(), actor.said()];
    if (!card || !said) return;
    const places = { ...actor.places, "/vessel_id": vessel, ...Object.fromEntries(typed.map(([name, field]) => [`/${name}`, text.text() ? text : field])), "/fingerprint": fingerprint };
    const done = await tryAct(button, places, message, () => peers.pair({ ...card, fingerprint: fingerprint.text(), ...(vessel.text() && { vessel_id: vessel.text() }), ...said }));
    if (!done) return;
    actor.keep();
    vessel.input.value = "";
    [text, fingerprint, ...typed.map(([, field]) => field)].forEach((field) => { field.input.value = ""; });
    await Promise.all([readPeers(), readVessels()]);
  };
  /** The vessels one may choose from; where none is chosen, the service does what the first line says. */
  const dressVessels = () => {
    const { status, items, error } = state.vessels;
    const ashore = state.self?.side === "shore";
    const others = items.filter(({ id }) => ashore || id !== OWN_VESSEL);
    vessel.fill([["", ashore ? "a new one, with the name of the card" : "this ship herself"], ...others.map(({ id, name, fleet }) => [id, `${name}${fleet ? `, of ${fleet}` : ""}`])]);
    replace(unread, status === "failed" && `The vessels were not listed: ${error.detail || error.title}`);
  };
  watch(["vessels", "self"], dressVessels);
  const open = ({ target }) => { if (target.open) readVessels(); if (target.open && !actor) { actor = actorFields("pairing", { id: "pair-by" }); replace(who, actor.node); } };
  const node = el("section", { class: "parcel-part" }, el("h3", {}, "Pair with another installation"),
    el("details", { on: { toggle: open } }, el("summary", { "data-testid": "pair-open" }, "Pair by card and fingerprint"),
      el("form", { class: "strip-form", novalidate: true, on: { submit: pair } }, text.node, el("details", {}, el("summary", {}, "Type the card instead"), el("div", { class: "fields" }, typed.map(([, field]) => field.node))),
        fingerprint.node, el("div", { class: "fields" }, vessel.node), unread, who, message.node, el("div", { class: "actions" }, button))));
  return { node, dress() {} };
}
