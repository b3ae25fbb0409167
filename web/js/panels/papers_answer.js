/** What a fit gave: numbers given beside those computed, limits of the standard, what the data cannot tell, the response. */

import { el, replace, tableBox } from "../dom.js";
import { sameMember } from "../draft/difference.js";
import { ALL_FIELDS, partTexts, shipFrom } from "../fields.js";
import { figure } from "../figures.js";
import { countText, decimals, plainText, sideText } from "../format.js";
import { askFit, isStale, stopFit } from "../papers/ask.js";
import { placeWords } from "../papers/words.js";
import { set, state, watch } from "../state.js";
import { withoutSpread } from "./helm.js";
import { keepLoading, loadingInUse, loadingOf, loadingsOf } from "./loadings.js";
import { problemBox } from "./problem.js";

const ORIGINS = { recorded: "from her own recorded turns", fitted: "fitted to her own trials", estimated: "ESTIMATED from her main dimensions, no trials of her own" };

/** The standard that the numbers are held against, as its own title names it. */
const STANDARD = "MSC.137(76), Standards for ship manoeuvrability";

const UNIT_PLACES = { m: 0, s: 0, kn: 1, deg: 1, lengths: 2 };
const amount = (value, unit) => figure(value, unit, (number) => decimals(number, UNIT_PLACES[unit] ?? 2), { unitShown: true });

/** A member of the fit that was sought as a logarithm: the number itself, and the factor of one standard deviation. */
function sought({ names, theta, covariance }, name) {
  const at = names.indexOf(name);
  return { value: Math.exp(theta[at]), factor: Math.exp(Math.sqrt(covariance[at][at])) };
}

/** The response in ship lengths, and as the ship takes it. */
function responseFacts({ response, uncertain }) {
  const [gain, lag] = [sought(uncertain, "ln_gain"), sought(uncertain, "ln_lag")];
  const fact = (word, ...value) => el("div", {}, el("dt", {}, word), el("dd", {}, value));
  const spread = ({ factor }) => el("span", { class: "sub" }, `one standard deviation: a factor of ${decimals(factor, 2)}`);
  return el("dl", { class: "facts", "data-testid": "fit-response" },
    fact("K', gain in ship lengths (rate of turn times length over speed)", figure(gain.value, "per rad of rudder", (value) => decimals(value, 2), { unitShown: true }), spread(gain)),
    fact("T', time constant in ship lengths run", figure(lag.value, "lengths", (value) => decimals(value, 2), { unitShown: true }), spread(lag)),
    fact("K, T at the speed of the trials", figure(response.k_per_s, "1/s", (value) => decimals(value, 4), { unitShown: true }), ", ", amount(response.t_s, "s"), " at ", amount(response.at_speed_kn, "kn"),
      el("span", { class: "sub" }, "lengths are those over all, ", figure(uncertain.length_m, "m", (value) => plainText(value, 1), { unitShown: true }))),
    fact("Water it holds in", response.at_depth_m === null ? "deep" : [amount(response.at_depth_m, "m"), " of depth"]),
    fact("The band", bandWords(uncertain)));
}

function bandWords({ scatter_ratio: scatter, band_ratio: band, structural_floor_lengths: floor }) {
  const width = band === 1 ? "as wide as data and experience of ships make it" : `taken ${plainText(band, 1)} times as wide as data and experience of ships make it`;
  const data = scatter === 1 ? "" : `; the numbers it is made from are taken to be ${plainText(scatter, 1)} times as far off as those of trials`;
  return [`${width}${data}; across the track no response of this form follows a ship closer than `, figure(floor, "lengths", (value) => decimals(value, 2), { unitShown: true })];
}

const where = ({ trial, side }) => [trial, side && `to ${sideText(side)}`].filter(Boolean).join(" ");

function comparisonsTable({ comparisons }) {
  const row = (one) => el("tr", { "data-testid": "fit-comparison" },
    el("th", { scope: "row", "data-label": "Trial" }, where(one)),
    el("td", { "data-label": "Number" }, [one.quantity.replaceAll("_", " "), one.heading_change_deg && ["time", "speed"].includes(one.quantity) && `at ${plainText(one.heading_change_deg)} deg`].filter(Boolean).join(" ")),
    el("td", { class: "num", "data-label": "Given" }, amount(one.given, one.unit)),
    el("td", { class: "num", "data-label": "Computed" }, amount(one.computed, one.unit)),
    el("td", { "data-label": "Difference" }, one.words, !one.weighed && ", shown only"));
  return tableBox("Numbers given beside those of the response", el("table", { class: "stacks fit-table" },
    el("caption", {}, "Given beside computed"),
    el("thead", {}, el("tr", {}, ["Trial", "Number", "Given", "Computed", "Difference"].map((word) => el("th", { scope: "col" }, word)))),
    el("tbody", {}, comparisons.map(row))));
}

function checksTable({ checks }) {
  const row = (one) => el("tr", { "data-testid": "fit-check", class: one.met ? null : "doubtful" },
    el("th", { scope: "row", "data-label": "Criterion" }, one.criterion),
    el("td", { "data-label": "Number" }, one.by === "given" ? "given" : "of the response"),
    el("td", { class: "num", "data-label": "Measured" }, amount(one.measured, one.unit)),
    el("td", { class: "num", "data-label": "At most" }, amount(one.limit, one.unit)),
    el("td", { "data-label": "State" }, one.met ? "within" : el("strong", {}, "BEYOND THE LIMIT"), el("span", { class: "sub" }, one.words)));
  return tableBox("Numbers beside the limits of the standard", el("table", { class: "stacks fit-table" },
    el("thead", {}, el("tr", {}, ["Criterion", "Number", "Measured", "At most", "State"].map((word) => el("th", { scope: "col" }, word)))),
    el("tbody", {}, checks.map(row))));
}

function checksPart(fit) {
  const beyond = fit.checks.filter((one) => !one.met).length;
  return el("details", { "data-testid": "fit-checks" },
    el("summary", {}, `Against ${STANDARD}: ${countText(fit.checks.length, "number")}, ${beyond === 0 ? "none" : beyond} beyond its limit`),
    el("p", { class: "field-hint" }, "The limits are for the ship fully loaded, in deep water, at her test speed. A number beyond one is a reason to look again, no fault of the response."),
    checksTable(fit));
}

function statementsPart({ statements }) {
  const told = statements.filter((one) => !one.refuses);
  return told.length > 0 && el("div", {}, el("h5", {}, "What must be known beside it"),
    el("ul", { class: "notes", "data-testid": "fit-statements" }, told.map((one) => el("li", { "data-code": one.code }, one.message))));
}

function refusalPart({ statements }) {
  const refused = statements.filter((one) => one.refuses);
  return refused.length > 0 && el("div", { class: "problem", "data-testid": "fit-refused" },
    el("p", { class: "problem-title" }, "No response is given"), el("ul", {}, refused.map((one) => el("li", { "data-code": one.code }, one.message))));
}

/** A response as a ship keeps it: what is not given has no member. */
const asKept = (response) => Object.fromEntries(Object.entries(response).filter(([, value]) => value !== null));

/** Puts a response whole into the ship's fields: one step of the draft. */
function takeResponse(response, commitShip) {
  const { texts, others } = partTexts("/ship/response", asKept(response));
  const rest = Object.entries(state.form).filter(([pointer]) => !pointer.startsWith("/ship/response/"));
  const errors = [...state.fieldErrors].filter(([pointer]) => !pointer.startsWith("/ship/response"));
  const extra = withoutSpread(state.extra);
  const ship = others ? { ...extra.ship, response: others } : extra.ship;
  set({ form: { ...Object.fromEntries(rest), ...texts }, extra: { ...extra, ship }, fieldErrors: new Map(errors), responseByHand: null });
  commitShip();
}

/** What is dressed anew as the ship and the papers change. */
let dressings = [];

const stepWords = (waits) => (waits ? "; the ship is not stored with it yet, see above" : ", as a step of the plan that can be undone");

/** The button that keeps a fit as a loading of the ship, and what stands beside it. */
function keepPart(fit, index, work, commitShip) {
  const loading = loadingOf(fit, asKept(fit.response), JSON.parse(work.sent));
  const note = el("p", { role: "status", "data-testid": `fit-keep-note-${index}` });
  const keep = el("button", { type: "button", "data-testid": `fit-keep-${index}`, on: { click: () => keepLoading(loading, commitShip) } }, "Keep as a loading");
  dressings.push(() => {
    const kept = loadingsOf().find(({ name }) => name === loading.name);
    const same = kept && sameMember(asKept(kept.response ?? {}), loading.response) && ["draught_fore_m", "draught_aft_m"].every((member) => (kept[member] ?? undefined) === loading[member]);
    const waits = state.shipMissing.length > 0 || state.shipEdited;
    keep.disabled = isStale(work);
    if (same) note.textContent = `Kept as the loading ${loading.name}${stepWords(waits)}. ${loadingInUse() === loading.name ? "It is in use." : "Choose it under Loadings to plan in it."}`;
    else note.textContent = kept ? `Another response is kept as the loading ${loading.name}: this one would take its place.` : "";
    note.hidden = !kept;
  });
  return el("div", { class: "inline-form" }, keep, note);
}

/** The button that takes a response, and what stands beside it. */
function usePart({ response }, index, work, commitShip) {
  const note = el("p", { role: "status", "data-testid": `fit-use-note-${index}` });
  const take = el("button", { type: "button", class: "primary", "data-testid": `fit-use-${index}`, on: { click: () => takeResponse(response, commitShip) } }, "Use this response");
  dressings.push(() => {
    const used = sameMember(shipFrom(state.form, state.extra).ship?.response, asKept(response));
    const waits = state.shipMissing.length > 0 || state.shipEdited;
    const stale = isStale(work);
    take.disabled = stale;
    const inUse = loadingInUse();
    const otherwise = inUse === null ? "" : ` In use is the loading ${inUse}, which has a response of its own or none.`;
    note.textContent = used ? `This response is in the ship's fields${stepWords(waits)}.${otherwise}` : "";
    note.hidden = !used;
  });
  return el("div", { class: "inline-form" }, take, note);
}

function fitPart(fit, index, work, commitShip) {
  const depth = fit.depth_m === null ? "deep water" : `${plainText(fit.depth_m, 1)} m of water`;
  return el("section", { class: "fit-part", "data-testid": `fit-${index}`, "aria-label": `Fit ${fit.loading}` },
    el("h4", {}, `${fit.loading}, draught ${plainText(fit.draught_m, 2)} m, ${depth}`),
    el("p", {}, el("strong", { "data-testid": "fit-origin", "data-origin": fit.origin }, ORIGINS[fit.origin]), `. Source: ${fit.source}.`),
    refusalPart(fit),
    fit.response && [responseFacts(fit), usePart(fit, index, work, commitShip), keepPart(fit, index, work, commitShip)],
    statementsPart(fit),
    fit.comparisons.length > 0 && comparisonsTable(fit),
    fit.checks.length > 0 && checksPart(fit));
}

/** What a member of the request is called that is typed elsewhere. */
const elsewhere = (pointer) => pointer.slice(1).replaceAll("/", ", ").replaceAll("_", " ");

/** A refusal with the places of its messages in words; the service's detail only repeats the first of them. */
function withWords({ error, placed }) {
  const errors = placed.map(({ pointer, message, place }) => {
    if (place) return { message: `${placeWords(place)}: ${message}` };
    return !pointer || ALL_FIELDS.some((one) => one.pointer === pointer) ? { pointer, message } : { message: `${elsewhere(pointer)}: ${message}` };
  });
  return { title: error.title, detail: errors.length > 0 ? null : error.detail, message: error.message, errors };
}

function workPart(work, commitShip) {
  if (work.status === "working") return el("p", { class: "working", role: "status", "data-testid": "fit-working" }, work.estimate ? "Estimating her response." : "Fitting her response to the numbers given.", el("button", { type: "button", on: { click: stopFit } }, "Stop waiting"));
  if (work.status === "unsent") return el("p", { class: "field-error", role: "alert", "data-testid": "fit-unsent" }, work.reason);
  if (work.status === "failed") return problemBox(work.estimate ? "Nothing was estimated" : "Nothing was fitted", withWords(work), () => askFit(work), () => set({ papersWork: { status: "idle" } }));
  if (work.status !== "done") return null;
  const stale = el("p", { class: "notice", role: "status", "data-testid": "fit-stale" }, el("span", { class: "stale-word is-shown" }, "STALE"), "Papers, ship or conditions were changed since; fit again before a response is used.");
  dressings.push(() => { stale.hidden = !isStale(work); });
  return el("div", { class: "fit-answer", "data-testid": "fit-answer" }, stale, work.answer.fits.map((fit, index) => fitPart(fit, index, work, commitShip)));
}

export function startPapersAnswer(host, { commitShip }) {
  const dress = () => dressings.forEach((one) => one());
  watch(["papersWork"], () => {
    dressings = [];
    replace(host, workPart(state.papersWork, commitShip));
    dress();
  });
  watch(["papers", "papersTyped", "form", "extra", "inputs", "shipMissing", "shipEdited"], dress);
}
