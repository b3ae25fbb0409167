/** Stored ships: choose one, keep the entered one, store an edition, move the plan to the newest edition. */

import { ships } from "../api.js";
import { el } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { sameMember } from "../draft/difference.js";
import { keepShip as keepTexts, keptShip, shipOf } from "../draft/kept.js";
import { edit } from "../draft/save.js";
import { shipFrom } from "../fields.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";
import { problemBox } from "./problem.js";

let fill = () => {};

/** Runs something that asks the service, and shows a refusal in place. */
async function attempt(work) {
  set({ shipProblem: null });
  try {
    await work();
  } catch (error) {
    if (error.status === undefined) throw error;
    const fieldErrors = (error.errors || []).map(({ pointer, message }) => [pointer.startsWith("/ship") ? pointer : `/ship${pointer}`, message]);
    set({ shipProblem: error, fieldErrors: new Map([...state.fieldErrors, ...fieldErrors]) });
  }
}

const listShips = () => attempt(async () => set({ ships: { items: await ships.all() } }));

/** Shows the edition this plan uses in the fields, and over it what was typed on an earlier visit. */
async function showStored() {
  const { ship_id: id, ship_edition: number } = state.inputs;
  const [{ answer }, newest] = await Promise.all([ships.edition(id, number), ships.read(id)]);
  if (state.inputs?.ship_id !== id || state.inputs.ship_edition !== number) return;
  set({ storedShip: { ...answer, newest: newest.answer.edition, etag: newest.etag }, shipEdited: false, shipMissing: [] });
  fill(answer.ship);
  if (!state.draft) return; // of a frozen revision nothing is typed
  const kept = keptShip(state.draft.id);
  if (!kept || !sameMember(kept.of, shipOf(state.inputs))) return;
  const { errors } = shipFrom(kept.form, { ship: kept.extra });
  const others = Object.entries(state.form).filter(([pointer]) => !pointer.startsWith("/ship/"));
  set({ form: { ...Object.fromEntries(others), ...kept.form }, extra: { ...state.extra, ship: kept.extra }, shipMissing: kept.missing, shipEdited: true, fieldErrors: new Map([...state.fieldErrors, ...errors]) });
}

/** Lets the plan use a stored ship, in the edition given. */
function useShip(id, edition) {
  keepTexts(state.draft.id, null);
  edit(setTop({ ship: undefined, ship_id: id, ship_edition: edition }));
}

/** Puts the entered ship among the stored ones; the plan then uses that. */
const keepShip = () => attempt(async () => {
  const { ship, errors, missing } = shipFrom(state.form, state.extra);
  if (errors.size > 0 || missing.length > 0 || !ship) { set({ fieldErrors: errors, shipMissing: ship ? missing : ["name"] }); return; }
  const { answer } = await ships.create(ship);
  useShip(answer.id, answer.edition);
  await listShips();
});

/** Stores the fields as a new edition of the ship; this plan stays on its own edition. */
const storeEdition = () => attempt(async () => {
  const { ship, errors, missing } = shipFrom(state.form, state.extra);
  if (errors.size > 0 || missing.length > 0) { set({ fieldErrors: errors, shipMissing: missing }); return; }
  await ships.put(state.storedShip.id, ship, state.storedShip.etag);
  keepTexts(state.draft.id, null);
  await Promise.all([showStored(), listShips()]);
});

/** Takes the stored ship into the plan itself, to be changed for this plan alone. */
function ownCopy() {
  const { ship, errors, missing } = shipFrom(state.form, state.extra);
  if (errors.size === 0 && missing.length === 0) {
    keepTexts(state.draft.id, null);
    set({ shipEdited: false });
    edit(setTop({ ship, ship_id: undefined, ship_edition: undefined }));
  } else set({ fieldErrors: errors, shipMissing: missing });
}

function button(testId, words, click, attributes = {}) {
  return el("button", { type: "button", "data-testid": testId, on: { click }, ...attributes }, words);
}

/** The edition in use, whether a newer one exists, and what can be done about it. */
function storedPart({ id, name, edition, newest }) {
  const newer = newest > edition;
  return el("div", { class: "loaded", "data-testid": "stored-ship", "data-ship": id },
    el("p", {}, el("strong", {}, name), `, stored ship, edition ${edition} of ${newest}`, newer && ", newer exists"),
    newer && button("use-newest-ship", `Use edition ${newest}`, () => useShip(id, newest)),
    state.shipEdited && button("store-ship-edition", `Store as edition ${newest + 1}`, storeEdition, { class: "primary" }),
    state.shipEdited && el("p", {}, "The fields below differ from the edition; the plan does not use them yet."),
    button("own-ship", "Change her for this plan only", ownCopy));
}

function chooser() {
  const { items } = state.ships;
  if (items.length === 0) return el("p", { class: "field-hint" }, "No ship is stored yet.");
  const choice = el("select", { id: "stored-ship-choice", "data-testid": "ship-choice", "data-waits": true }, items.map((one) => el("option", { value: one.id }, `${one.name}, edition ${one.edition}`)));
  const use = () => {
    const one = items.find(({ id }) => id === choice.value);
    useShip(one.id, one.edition);
  };
  return el("div", { class: "inline-form" }, el("label", { for: "stored-ship-choice" }, "Stored ships"), choice, button("use-ship", "Use this ship", use));
}

function render(host) {
  if (!state.inputs) { redraw(host); return; }
  const stored = state.inputs.ship_id && state.storedShip?.id === state.inputs.ship_id ? state.storedShip : null;
  redraw(host,
    stored && storedPart(stored),
    el("div", { class: "library" }, chooser(), !state.inputs.ship_id && button("keep-ship", "Keep this ship for other plans", keepShip)),
    state.shipProblem && problemBox("The ship was not stored", state.shipProblem, null, () => set({ shipProblem: null })));
}

export function startShipLibrary(host, { fillShip }) {
  fill = fillShip;
  let shown = null;
  watch(["inputs"], () => {
    const key = state.inputs?.ship_id ? `${state.inputs.ship_id} ${state.inputs.ship_edition}` : null;
    if (key === shown) return;
    shown = key;
    if (key) attempt(showStored); else set({ storedShip: null });
  });
  watch(["openPanel"], () => { if (state.openPanel === "ship" && state.inputs) listShips(); });
  watch(["inputs", "ships", "storedShip", "shipEdited", "shipProblem"], () => render(host));
}
