/** Ship and shore, on the Desk: who this installation is, whom it is paired with, parcels that go and come. */

import { peers } from "../api.js";
import { el, replace, saveBlob, show } from "../dom.js";
import { sizeText } from "../format.js";
import { SIDES, carriesWords, takenWords } from "../parcels/words.js";
import { takeParcel } from "../parcels/take.js";
import { choiceField, formField, formMessage, sayRefusal } from "../record/fields.js";
import { set, state, watch } from "../state.js";
import { pairPart, Peer } from "./peers.js";
import { problemBox } from "./problem.js";

const card = ({ format, id, name, side, public_key: key }) => JSON.stringify({ format, id, name, side, public_key: key });

/** Asks for the card of this installation and for its peers. */
export async function readPeers() {
  try {
    const [self, items] = await Promise.all([peers.self(), peers.list()]);
    set({ self, peers: { items } });
  } catch (error) {
    if (error.status === undefined) throw error;
    set({ peers: { ...state.peers, items: state.peers?.items ?? [], error } });
  }
}

/** Runs an act of a form; a refusal, and what an account may not do, are said in the service's words. */
export async function tryAct(button, places, message, run) {
  if (button.disabled) return false;
  message.say(null);
  button.disabled = true;
  try {
    await run();
    return true;
  } catch (error) {
    if (error.status === undefined) throw error;
    sayRefusal(error, places, message);
    return false;
  } finally {
    button.disabled = false;
  }
}

function selfPart() {
  const name = formField({ id: "self-name", label: "Name" });
  const side = choiceField({ id: "self-side", label: "Side" });
  side.fill([["ship", "on board"], ["shore", "ashore"]]);
  const message = formMessage("self-refused");
  const [shown, text] = [el("div", {}), el("textarea", { id: "self-card", rows: 3, readonly: true, "data-testid": "self-card", "data-kept": true })];
  const button = el("button", { type: "submit", "data-testid": "self-record" }, "Name this installation");
  const rename = (event) => {
    event.preventDefault();
    tryAct(button, { "/name": name, "/side": side }, message, async () => set({ self: await peers.name({ name: name.text(), side: side.text() }) }));
  };
  let filled = { name: "", side: "ship" };
  const dress = () => {
    const { self } = state;
    if (!self) return;
    // An answer may come while somebody types: only fields that still show what was known are filled anew.
    if (name.input.value === filled.name) name.input.value = self.name;
    if (side.input.value === filled.side) side.input.value = self.side;
    filled = self;
    replace(shown, el("p", {}, el("strong", { "data-testid": "self-words" }, `${self.name}, ${SIDES[self.side]}`)), el("p", {}, "Fingerprint, to be read by voice to whoever pairs with this installation:"),
      el("p", { class: "fingerprint", "data-testid": "fingerprint" }, self.fingerprint.split(" ").map((group) => el("span", {}, group)).flatMap((one) => [one, " "])));
    text.value = card(self);
  };
  const node = el("section", { class: "parcel-part" }, el("h3", {}, "This installation"), shown,
    el("details", {}, el("summary", { "data-testid": "self-open" }, "Its card, and its name"),
      el("label", { for: "self-card" }, "Card, to be sent to the other side in any way"), text,
      el("div", { class: "actions" }, el("button", { type: "button", "data-testid": "self-save", on: { click: () => saveBlob(`card-${state.self.id}.json`, new Blob([card(state.self)], { type: "application/json" })) } }, "Save the card as a file")),
      el("form", { class: "strip-form", novalidate: true, on: { submit: rename } }, el("div", { class: "fields" }, name.node, side.node), message.node, el("div", { class: "actions" }, button))));
  return { node, dress };
}

/** A file is taken as soon as it is picked; the result, or why it was refused, is said under it. */
function takePart() {
  const said = el("div", { role: "status", "data-testid": "parcel-said" });
  const progress = el("p", { "data-testid": "parcel-progress" });
  const nameOf = (id) => state.peers?.items.find((one) => one.id === id)?.name ?? id;
  const take = async (file) => {
    input.disabled = true;
    replace(said, el("p", {}, `Working: ${file.name}, ${sizeText(file.size)}.`));
    try {
      const taken = await takeParcel(new Uint8Array(await file.arrayBuffer()), (sent, all) => replace(progress, `Sent ${sent} of ${all} chunks.`));
      replace(said, el("p", {}, takenWords(taken, nameOf(taken.peer_id))), el("p", {}, `It carries ${carriesWords(taken.carries)}.`));
      readPeers();
      const { listPlans } = await import("../draft/open.js");
      listPlans();
    } catch (error) {
      if (error.status === undefined) throw error;
      replace(said, problemBox(`${file.name} was not taken`, error, error.unreachable ? () => take(file) : null));
    }
    replace(progress);
    input.disabled = false;
    input.value = "";
  };
  const input = el("input", { type: "file", class: "file-input", id: "parcel-file", "data-testid": "parcel-file", on: { change: () => { if (input.files[0]) take(input.files[0]); } } });
  return { node: el("section", { class: "parcel-part" }, el("h3", {}, "Take a parcel"), el("label", { class: "file-label", for: "parcel-file" }, "File from the other side (opens bright)"), el("div", {}, input),
    el("p", { class: "field-hint" }, "All of it is taken, or nothing. The same again changes nothing. What was sent before a link dropped is not sent twice."), progress, said), dress() {} };
}

function peersPart() {
  const [list, none, trouble] = [el("ul", { class: "threads" }), el("p", { class: "gap-line", "data-testid": "peers-none" }, "Not paired with anybody yet: nothing goes anywhere."), el("div", {})];
  const made = new Map();
  const dress = () => {
    const items = state.peers?.items ?? [];
    show(none, items.length === 0);
    replace(trouble, state.peers?.error && !state.peers.error.unreachable && problemBox("Peers were not read", state.peers.error, readPeers));
    items.forEach((one) => { if (!made.has(one.id)) made.set(one.id, new Peer(one.id)); made.get(one.id).dress(one); });
    const nodes = items.map((one) => made.get(one.id).node);
    if (nodes.length !== list.children.length || nodes.some((node, i) => list.children[i] !== node)) list.replaceChildren(...nodes);
  };
  return { node: el("section", { class: "parcel-part" }, el("h3", {}, "Peers"), trouble, none, list), dress };
}

export function startParcels(host) {
  const parts = [selfPart(), peersPart(), pairPart(), takePart()];
  const [self, list, pair, take] = parts.map((one) => one.node);
  replace(host, el("h2", {}, "Ship and shore"), el("div", { class: "record-grid" }, el("div", { class: "record-column" }, list, take), el("div", { class: "record-column" }, self, pair)));
  watch(["self", "peers", "desk"], () => parts.forEach((one) => one.dress()));
  let here = false;
  watch(["place", "session"], () => {
    const wanted = state.place.kind === "desk";
    show(host, wanted);
    if (wanted && !here) readPeers();
    here = wanted;
  });
}
