/** Her loadings: what is kept of each, and the one the plan is computed in. A response of one is never taken for another. */

import { el, replace, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { countText, decimals, known, plainText } from "../format.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";

const ORIGINS = { recorded: "recorded", fitted: "fitted", estimated: "ESTIMATED" };

/** The loadings of the ship's fields, and the name of the one in use; null is the ship as she stands. */
export const loadingsOf = () => state.extra.ship?.loadings || [];
export const loadingInUse = () => state.extra.ship?.loading ?? null;

/** Gives the ship other members that have no field: one step of the draft. What is null or undefined goes. */
function change(members, commitShip) {
  const left = Object.entries({ ...state.extra.ship, ...members }).filter(([, value]) => value !== undefined && value !== null);
  set({ extra: { ...state.extra, ship: left.length > 0 ? Object.fromEntries(left) : undefined } });
  commitShip();
}

/** The draughts of the trials a fit was made from, where the request tells them beyond doubt. */
function draughtsOf({ loading, draught_m: mean }, { ship, sets }) {
  const nearly = ({ draught_fore_m: fore, draught_aft_m: aft }) => known(fore) && known(aft) && Math.abs((fore + aft) / 2 - mean) < 1e-6;
  const found = (sets ? sets.filter((one) => one.loading === loading) : [ship]).find(nearly);
  return found && { draught_fore_m: found.draught_fore_m, draught_aft_m: found.draught_aft_m };
}

/** The loading that a fit makes; `sent` is the request it was asked with, `response` as a ship keeps it. */
export function loadingOf(fit, response, sent) {
  return { name: fit.loading, ...draughtsOf(fit, sent), response };
}

/** Keeps a loading among the ship's. Of one with the same name only what a fit says nothing of stays. */
export function keepLoading(loading, commitShip) {
  const renewed = ({ draught_fore_m: fore, draught_aft_m: aft, response, ...rest }) => ({ ...rest, ...loading });
  const isKept = loadingsOf().some(({ name }) => name === loading.name);
  const loadings = loadingsOf().map((one) => (one.name === loading.name ? renewed(one) : one));
  change({ loadings: isKept ? loadings : [...loadings, loading] }, commitShip);
}

/** Takes a loading away; where the plan is computed in it, the ship is again as she stands. */
function takeAway(index, commitShip) {
  const loadings = loadingsOf().filter((_, i) => i !== index);
  const loading = loadingsOf()[index].name === loadingInUse() ? null : loadingInUse();
  change({ loadings: loadings.length > 0 ? loadings : null, loading }, commitShip);
  document.querySelector('[data-testid="loading-in-use"]').focus();
}

const metres = (value) => figure(value, "m", (number) => plainText(number, 2), { unitShown: true });

/** A loading that gives no draught has those of the ship's fields. */
function draughtWords({ draught_fore_m: fore, draught_aft_m: aft }) {
  const side = (word, value) => [`${word} `, known(value) ? metres(value) : "as in the field above"];
  return [side("fore", fore), ", ", side("aft", aft)];
}

function responseWords(response) {
  if (!response) return el("span", { class: "missing" }, "none: SIM is not computed in this loading");
  const { k_per_s: gain, t_s: lag, at_speed_kn: speed, at_depth_m: depth } = response;
  return [el("strong", {}, ORIGINS[response.origin] ?? "origin not said"), ", K ", figure(gain, "1/s", (value) => decimals(value, 4), { unitShown: true }),
    ", T ", figure(lag, "s", (value) => decimals(value, 0), { unitShown: true }), " at ", figure(speed, "kn", (value) => decimals(value, 1), { unitShown: true }),
    known(depth) ? [", in ", metres(depth), " of water"] : ", deep water"];
}

function loadingRow(loading, index, commitShip) {
  const { name, response, turn_tables: tables } = loading;
  return el("tr", { "data-testid": `loading-${index}` },
    el("th", { scope: "row", "data-label": "Loading" }, name, name === loadingInUse() && el("span", { class: "sub" }, "in use")),
    el("td", { "data-label": "Draughts" }, draughtWords(loading)),
    el("td", { "data-label": "Response" }, responseWords(response), tables?.length > 0 && el("span", { class: "sub" }, countText(tables.length, "turning table"))),
    el("td", {}, el("button", { type: "button", "data-testid": `loading-${index}-away`, "aria-label": `Take loading ${name} away`, on: { click: () => takeAway(index, commitShip) } }, "Take away")));
}

function keptList(commitShip) {
  if (loadingsOf().length === 0) return el("p", { class: "field-hint", "data-testid": "loadings-none" }, "None is kept. A fit from her papers can be kept as one.");
  return tableBox("Loadings kept of this ship", el("table", { class: "stacks loadings-table" },
    el("thead", {}, el("tr", {}, ["Loading", "Draughts", "Response"].map((word) => el("th", { scope: "col" }, word)), el("th", { scope: "col" }, el("span", { class: "quiet-live" }, "Take away")))),
    el("tbody", {}, loadingsOf().map((one, index) => loadingRow(one, index, commitShip)))));
}

/** The choice of the loading in use; with none kept there is nothing to choose. */
function choice(commitShip) {
  const names = loadingsOf().map(({ name }) => name);
  const at = names.indexOf(loadingInUse());
  const options = [["", "as she stands, by the fields above"], ...names.map((name, index) => [String(index), name])];
  const use = () => change({ loading: select.value === "" ? null : names[Number(select.value)] }, commitShip);
  const select = el("select", { id: "loading-in-use", "data-testid": "loading-in-use", "aria-describedby": "loadings-error", "aria-invalid": String(refusals().length > 0), on: { change: use } },
    options.map(([value, words]) => el("option", { value, selected: value === (at < 0 ? "" : String(at)) }, words)));
  return el("div", { class: "inline-form" }, el("label", { for: "loading-in-use" }, "Loading in use"), select);
}

/** What the service refused of the loadings, in words; one about the whole ship names them itself. */
function refusals() {
  const own = [...state.fieldErrors].filter(([pointer, message]) => /^\/ship\/loadings?(\/|$)/.test(pointer) || (pointer === "/ship" && /\bloadings?:/.test(message)));
  return own.map(([pointer, message]) => {
    const [index, ...member] = pointer.split("/").slice(3);
    const where = index === undefined ? [] : [loadingsOf()[index]?.name ?? `loading ${Number(index) + 1}`, ...member.map((one) => one.replaceAll("_", " "))];
    return where.length > 0 ? `${where.join(", ")}: ${message}` : message;
  });
}

function render(host, commitShip) {
  const said = refusals();
  redraw(host, choice(commitShip),
    el("p", { class: "field-error", id: "loadings-error", "data-testid": "loadings-error", hidden: said.length === 0 }, said.join(" ")),
    keptList(commitShip));
}

export function startLoadings(host, { commitShip }) {
  const part = el("div", {});
  replace(host, el("section", { class: "helm-part", "aria-labelledby": "loadings-title", "data-testid": "loadings" }, el("h3", { id: "loadings-title" }, "Loadings"),
    el("p", { class: "panel-lead" }, "In another loading she answers the helm otherwise: a response of one loading is never taken for another. With a loading in use the plan is computed with its draughts, response, turning tables and windage; the ones in the fields are then left out, save a draught the loading does not give. What a loading does not have is not computed and reads so."), part));
  watch(["extra", "fieldErrors"], () => render(part, commitShip));
}
