/**
 * Navigational warnings as pasted text: every position found stands beside the text, and nothing is a danger until somebody
 * takes it. What a position means is the service's to say; where it may be read in two ways, the reader's.
 */

import { send } from "../api.js";
import { el, replace } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { countText, listText, plainText } from "../format.js";
import { formField } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";
import { problemBox } from "./problem.js";

const SHAPES = { points: "a point for each position", circle: "points, each anywhere within the radius", line: "a line through them", area: "an area bounded by them" };

const button = (testId, words, click, more = {}) => el("button", { type: "button", "data-testid": testId, on: { click }, ...more }, words);

const featuresNow = () => state.inputs?.hazards?.features || [];
const numberOf = (feature) => feature.properties?.warning?.number ?? null;

/** Puts features among the dangers given with the plan; one of the same id gives way. */
const takeIn = (features) => edit((inputs) => {
  const ids = new Set(features.map(({ properties }) => properties.id));
  const kept = (inputs.hazards?.features || []).filter(({ id, properties }) => !ids.has(properties?.id ?? id));
  return setTop({ hazards: { ...inputs.hazards, type: "FeatureCollection", features: [...kept, ...features] } })(inputs);
});

const takeOut = (number) => edit((inputs) => {
  const features = inputs.hazards.features.filter((one) => numberOf(one) !== number);
  return setTop({ hazards: features.length > 0 ? { ...inputs.hazards, features } : undefined })(inputs);
});

/** What is read now: {text, answer, error}; what was decided of positions, by where they start; the shape by message. */
const view = { read: null, chosen: new Map(), shapes: new Map() };

let again = () => {};

async function read(text) {
  try {
    const chosen = [...view.chosen].map(([start, reading]) => ({ start, reading }));
    const { answer } = await send("POST", "/warnings/read", { text, chosen });
    view.read = { text, answer };
  } catch (error) {
    if (error.status === undefined && !error.unreachable) throw error;
    view.read = { text, error };
  }
  again();
}

/** The text of a message with its positions marked by number. */
function markedText(text, { start, end, positions }) {
  const parts = [];
  let at = start;
  positions.forEach((one, index) => {
    parts.push(text.slice(at, one.start), el("mark", { class: one.settled ? "" : "in-question" }, text.slice(one.start, one.end), el("sup", {}, ` ${index + 1}`)));
    at = one.end;
  });
  return el("p", { class: "raw warning-text" }, parts, text.slice(at, end));
}

function positionChoice(one, index) {
  const id = `warning-position-${one.start}`;
  const now = view.chosen.has(one.start) ? view.chosen.get(one.start) : one.settled ? one.reading : undefined;
  const options = [...(one.settled ? [] : [["", "not settled: choose"]]), ...one.readings.map(({ shown, words }, at) => [String(at), [shown, words].filter(Boolean).join(", ")]), ["out", "leave it out"]];
  const choice = el("select", { id, "data-testid": id, "aria-label": `Position ${index + 1}, ${one.raw}`, on: { change: () => { if (choice.value === "") return; view.chosen.set(one.start, choice.value === "out" ? null : Number(choice.value)); read(view.read.text); } } },
    options.map(([value, words]) => el("option", { value, selected: value === (now === undefined ? "" : now === null ? "out" : String(now)) }, words)));
  return el("li", {}, el("span", { class: "raw" }, `${index + 1}. ${one.raw}`), " ", choice, one.problem && el("span", { class: "field-error" }, one.problem));
}

function shapePart(message, key) {
  const now = view.shapes.get(key) ?? (message.takings[message.suggested_shape] ? message.suggested_shape : Object.keys(message.takings)[0]);
  const choices = Object.entries(SHAPES).filter(([shape]) => message.takings[shape]);
  if (choices.length === 0) return el("p", { class: "missing" }, "No danger can be made of it: no position is settled.");
  const features = message.takings[now];
  const taken = featuresNow().filter((one) => features.some(({ properties }) => properties.id === one.properties?.id)).length;
  return el("div", {},
    el("div", { class: "order", role: "radiogroup", "aria-label": "What its positions are" }, choices.map(([shape, words]) => el("label", { class: "choice" },
      el("input", { type: "radio", name: `warning-shape-${key}`, value: shape, checked: shape === now, "data-testid": `warning-${key}-${shape}`, on: { change: () => { view.shapes.set(key, shape); again(); } } }), shape === "circle" ? `${words}, ${plainText(message.radius_m, 0)} m` : words))),
    Object.entries(message.missing).map(([shape, words]) => el("p", { class: "field-hint" }, `${SHAPES[shape]}: not offered, ${words}.`)),
    taken > 0 && el("p", { class: "field-hint" }, `${countText(taken, "danger")} of this warning ${taken === 1 ? "is" : "are"} in the plan already; taking it again puts the new in the place of the old.`),
    button(`warning-take-${key}`, `Take ${countText(features.length, "danger")} into this plan`, () => takeIn(features), { class: "primary", disabled: !state.inputs }));
}

function cancelPart({ cancels }) {
  return cancels.map((number) => {
    const count = featuresNow().filter((one) => numberOf(one) === number).length;
    return el("p", {}, `It cancels ${number}. `, count > 0 ? button(`warning-cancel-${number}`, `Take its ${countText(count, "danger")} out of this plan`, () => takeOut(number)) : "No danger of the plan is of that warning.");
  });
}

function messagePart(text, message, key) {
  const times = [message.issued && `issued ${message.issued.utc ?? message.issued.raw}`, message.cancel && `cancels itself ${message.cancel.utc ?? message.cancel.raw}`].filter(Boolean);
  return el("section", { class: "warning-message", "data-testid": `warning-message-${key}` }, el("h4", {}, message.number || "A warning without a number"), times.length > 0 && el("p", {}, listText(times)),
    markedText(text, message), message.positions.length > 0 ? el("ol", { class: "plain-list" }, message.positions.map(positionChoice)) : el("p", { class: "missing" }, "No position was found in it."), shapePart(message, key), cancelPart(message));
}

function readPart() {
  if (!view.read) return null;
  const { text, answer, error } = view.read;
  if (error) return problemBox("The text was not read", error, () => read(text), () => { view.read = null; again(); });
  return [el("p", { role: "status", "data-testid": "warnings-count" }, `${countText(answer.messages.length, "message")}, ${countText(answer.position_count, "position")}, ${answer.in_question_count} in question. Nothing is taken yet by reading.`), answer.messages.map((one, index) => messagePart(text, one, index))];
}

/** The warnings whose dangers the plan holds, with when they end. */
function heldPart() {
  const held = new Map();
  featuresNow().filter(({ properties }) => properties?.warning).forEach((one) => held.set(numberOf(one), [...(held.get(numberOf(one)) || []), one]));
  if (held.size === 0) return null;
  return el("ul", { class: "plain-list", "data-testid": "warnings-held" }, [...held].map(([number, features]) => {
    const { issued_utc: issued, cancel_utc: cancel } = features[0].properties.warning;
    const over = cancel && Date.parse(cancel) < Date.now();
    return el("li", { class: "loaded" }, el("span", {}, el("strong", {}, number ?? "a warning without a number"), `, ${countText(features.length, "danger")}`, issued && `, issued ${issued}`, cancel && `, cancels itself ${cancel}`, over && el("strong", {}, " (that time is past)")),
      button(`warning-drop-${number}`, "Take its dangers out", () => takeOut(number)));
  }));
}

export function startWarnings(host) {
  const [held, drawn] = [el("div", {}), el("div", { "aria-live": "polite" })];
  const text = formField({ id: "warning-text", label: "Text of warnings, pasted", area: true, attributes: { rows: 6, "data-waits": true } });
  const act = button("warning-read", "Read this text", () => {
    text.say(text.text() ? null : "There is no text yet.");
    if (!text.text()) return;
    view.chosen.clear();
    view.shapes.clear();
    read(text.input.value);
  });
  replace(host, held, text.node, el("div", { class: "actions" }, act), drawn);
  again = () => { redraw(held, heldPart()); redraw(drawn, readPart()); };
  watch(["inputs"], again);
}
