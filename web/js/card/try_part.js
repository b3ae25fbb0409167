/** TRY: other values for the open turn, and what comes of them beside what is planned. The plan stays as it is. */

import { el, replace, tableBox } from "../dom.js";
import { keepCase } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { figure, missing } from "../figures.js";
import { known, nmInCables, nmText, oneDecimal, plainText, secondsText } from "../format.js";
import { state, watch } from "../state.js";
import { cardNow, whyNone } from "./asking.js";
import { boundWords, endCables, isEmpty, toClose, windowWords } from "./bounds.js";
import { hullClear } from "./hull_clear.js";
import { isAside, offTrack, offTrackBand } from "./off_track.js";
import { readTried, shortText, STEERING, triedWords, TRY_FIELDS } from "./try_fields.js";
import { clearTry, plannedNow, tryTexts } from "./trying.js";

const simulatedOf = (card) => card?.methods.find((row) => row.method === "simulated")?.manoeuvre;

/** The rows of the comparison: {head, of}, each written from a card. */
const ROWS = [
  ["Helm before WPT cab", ({ card }) => figure(nmInCables(card.planned.distance_nm), "cab", nmText)],
  ["Off new track m", ({ card, none }) => offTrack(card.planned, { unitShown: false, reason: card.reason || none })],
  ["Off track 5-95 % m", ({ card, none, side }) => offTrackBand(card.planned, side, none)],
  ["Window opens cab", ({ card, none }) => end(card, "earliest", none)],
  ["Window closes cab", ({ card, none }) => end(card, "latest", none)],
  ["Bound by, at the close", ({ card, none }) => (hasEnds(card) ? boundWords(card.window.latest.bound) : missing(card.window_reason || none))],
  ["WOP to close", ({ card, none }) => (hasEnds(card) ? toClose(card.window) : missing(card.window_reason || none))],
  ["Hull clear m", ({ card, none }) => hullClear(card.planned, none)],
  ["Greatest rudder deg", ({ card, none }) => figure(simulatedOf(card)?.rudder_deg, "deg", oneDecimal, { reason: none })],
  ["Steady after s", ({ card, none }) => figure(simulatedOf(card)?.steady_at_s, "s", secondsText, { reason: none })],
  ["Speed when steady kn", ({ card, none }) => figure(simulatedOf(card)?.steady_speed_kn, "kn", oneDecimal, { reason: none })],
];

const hasEnds = ({ window }) => Boolean(window) && !isEmpty(window);

function end(card, which, none) {
  if (hasEnds(card)) return endCables(card.window[which]);
  return card.window ? "none held every limit" : missing(card.window_reason || none);
}

function comparison(tried, side) {
  const planned = cardNow();
  const column = (card, none, head) => (write) => el("td", { class: "num", "data-label": head }, card ? write({ card, none, side }) : missing(none));
  const [before, after] = [column(planned, planned?.reason || whyNone(), "Planned"), column(tried, tried.reason || "only once nothing is moved", "TRY")];
  return tableBox("As planned and as tried", el("table", { class: "stacks try-table", "data-testid": "try-table" },
    el("thead", {}, el("tr", {}, ["", "Planned", "TRY"].map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, ROWS.map(([head, write]) => el("tr", {}, el("th", { scope: "row" }, head), before(write), after(write))))));
}

/** The result in a sentence. */
function said(card, stale) {
  const mark = stale && [el("span", { class: "stale-word pane-stale" }, "stale, working"), " "];
  if (card.reason) return el("p", { class: "missing" }, mark, `TRY: ${card.reason}`);
  return el("p", { class: "try-result" }, mark, el("strong", {}, "TRY "), "ends ", offTrack(card.planned), isAside(card.planned) ? " of the new track; " : " off the new track; ", windowWords(card.window, card.window_reason), ".");
}

function failure({ error, texts }) {
  const reasons = error.errors?.map(({ message }) => message).filter(Boolean) ?? [];
  return el("div", { class: "problem", "data-testid": "try-failed" }, el("p", { class: "problem-title" }, `What is tried was not computed: ${error.title}`), el("p", {}, reasons.length > 0 ? reasons.join("; ") : error.detail || error.message),
    el("div", { class: "actions" }, el("button", { type: "button", on: { click: () => tryTexts(texts) } }, "Try again")));
}

function result(host) {
  const { trying } = state;
  const now = plannedNow();
  if (!trying || !now) { replace(host, el("p", { class: "field-hint", "data-testid": "try-idle" }, "Nothing is tried: an empty field is as planned.")); return; }
  const stale = trying.answer && trying.status === "working";
  replace(host, trying.status === "working" && !trying.answer && el("p", { class: "working", "data-state": "working" }, "Working: computing what is tried."),
    trying.status === "failed" && failure(trying),
    trying.answer && el("div", { "data-testid": "try-answer", "data-state": stale ? "stale" : "fresh" }, said(trying.answer, stale), comparison(trying.answer, now.turn.side)));
}

/** One field, with a slider where it has a range; both hold the same text. */
function field({ name, label, unit, slider, write = shortText }, changed) {
  const id = `try-${name}`;
  const hint = el("p", { class: "field-hint", id: `${id}-hint` });
  const error = el("p", { class: "field-error", id: `${id}-error`, "data-testid": `${id}-error`, hidden: true });
  const input = el("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", "data-testid": id, "data-try": name, "aria-describedby": `${id}-hint ${id}-error`,
    on: { input: () => { follow(); changed(true); }, change: () => changed(false) } });
  const range = slider && el("input", { id: `${id}-slider`, type: "range", class: "slider", ...slider, "data-testid": `${id}-slider`, "aria-label": `${label}, ${unit}`,
    on: { input: () => { input.value = range.value; changed(true); }, change: () => changed(false) } });
  const follow = () => { if (range && Number.isFinite(parseFloat(input.value))) range.value = parseFloat(input.value); };
  const renew = (planned) => {
    hint.textContent = known(planned) ? `planned ${write(planned)} ${unit}` : "empty: as planned";
    if (range && input.value === "") { range.value = planned ?? range.min; range.setAttribute("aria-valuetext", `${range.value} ${unit}, as planned`); } else range?.removeAttribute("aria-valuetext");
  };
  const say = (reason) => {
    error.textContent = reason || "";
    error.hidden = !reason;
    input.setAttribute("aria-invalid", String(Boolean(reason)));
  };
  return { name, input, renew, say, node: el("div", { class: "field" }, el("label", { for: id }, label, el("span", { class: "unit" }, ` ${unit}`)), input, range, hint, error) };
}

/** What the service refused, at the field it is about. */
function refusedAt(name) {
  return state.trying?.error?.errors?.find(({ pointer }) => pointer === `/tried/${name}`)?.message;
}

/** The names of the ship's other loadings, of the stored ship where the plan uses one. */
function loadingNames() {
  const ship = state.inputs.ship ?? (state.storedShip?.id === state.inputs.ship_id ? state.storedShip?.ship : null);
  return (ship?.loadings || []).map(({ name }) => name);
}

/** A choice with its label; `options` are [value, words]. */
function choiceField(name, label, options, changed) {
  const id = `try-${name}`;
  const choice = el("select", { id, "data-testid": id, on: { change: () => changed(false) } }, options.map(([value, words]) => el("option", { value }, words)));
  return { choice, node: el("div", { class: "field" }, el("label", { for: id }, label), choice) };
}

/** The fields of one turn; made once for it, so that nothing half typed is lost. */
function makeFields() {
  const texts = () => ({ ...Object.fromEntries(fields.map(({ name, input }) => [name, input.value])), steering: steering.choice.value, loading: loading.choice.value });
  const changed = (moving) => tryTexts(texts(), { moving });
  const fields = TRY_FIELDS.map((one) => field(one, changed));
  const steering = choiceField("steering", "Steering", STEERING, changed);
  const names = loadingNames();
  const loading = choiceField("loading", "Loading", [["", "as planned"], ...names.map((one) => [one, one])], changed);
  const caseName = el("input", { id: "case-name", type: "text", autocomplete: "off", maxlength: 200, "data-testid": "case-name" });
  const clear = el("button", { type: "button", "data-testid": "try-clear", on: { click: () => { [...fields.map(({ input }) => input), steering.choice, loading.choice, caseName].forEach((one) => { one.value = ""; }); clearTry(); fields[0].input.focus(); } } }, "Clear");
  const keep = el("button", { type: "button", "data-testid": "case-keep", on: { click: () => {
    const { id, tried } = state.trying;
    edit(keepCase({ name: caseName.value.trim() || triedWords(readTried(texts(), plannedNow()).tried), waypoint_id: id, tried }));
    caseName.value = "";
  } } }, "Keep as case");
  const renew = () => {
    const now = plannedNow();
    const { trying } = state;
    if (!now) return;
    fields.forEach((one, i) => {
      one.renew(TRY_FIELDS[i].planned(now));
      one.say(trying?.errors?.[one.name] || refusedAt(one.name));
    });
    clear.disabled = Object.values(texts()).every((text) => text === "");
    keep.disabled = !trying?.tried || trying.status === "failed"; // also while it is computed: leaving a field asks once more
  };
  const [pairs, rest] = [fields.slice(0, 3), fields.slice(3)];
  return { renew, node: el("div", {}, el("div", { class: "fields try-fields" }, pairs.map(({ node }) => node), steering.node, names.length > 0 && loading.node, rest.map(({ node }) => node)),
    el("div", { class: "fields" }, el("div", { class: "field field-wide" }, el("label", { for: "case-name" }, "Name, where it is kept as a case"), caseName, el("p", { class: "field-hint" }, "empty: what is tried, in words"))),
    el("div", { class: "actions" }, keep, clear)) };
}

export function startTryPart(host) {
  const [fieldHost, resultHost] = [el("div", {}), el("div", { role: "status", "data-testid": "try-result" })];
  let [made, of] = [null, null];
  watch(["plan", "turnCard", "card", "trying"], () => {
    const now = plannedNow();
    if (!now) { [made, of] = [null, null]; replace(host); return; }
    if (of !== state.turnCard) {
      made = makeFields();
      of = state.turnCard;
      replace(fieldHost, made.node);
      replace(host, el("section", { class: "pane", "data-testid": "try-part" }, el("h3", {}, "TRY other values"),
        el("p", { class: "panel-lead", "data-testid": "try-unchanged" }, "The plan stays unchanged. Helm is given at the planned WOP, unless an own place is tried. Nothing here is printed unless it is kept as a case."), fieldHost, resultHost));
    }
    made.renew();
    result(resultHost);
  });
}
