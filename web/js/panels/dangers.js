/** The dangers: a GeoJSON file, handed to the service as it is. The service judges it, not the page. */

import { el, replace } from "../dom.js";
import { countText } from "../format.js";
import { markDirty, set, state, watch } from "../state.js";

/** How many features a collection says it has. */
export function dangerCount(hazards) {
  const features = hazards?.collection?.features;
  return Array.isArray(features) ? features.length : null;
}

function keepDangers(hazards) {
  set({ inputs: { ...state.inputs, hazards }, fieldErrors: new Map() });
  markDirty();
}

/** Reads the file's text, which is sent as it is; the parsed copy here only counts and shows. */
async function load(file, message) {
  message.textContent = "";
  try {
    const text = await file.text();
    keepDangers({ fileName: file.name, collection: JSON.parse(text), text });
  } catch (error) {
    message.textContent = `${file.name} was not taken: it is not readable as JSON (${error.message}).`;
  }
  message.hidden = message.textContent === "";
}

function loadedPart() {
  const { hazards } = state.inputs;
  if (!hazards) return el("p", { class: "missing", "data-testid": "dangers-loaded" }, "No dangers loaded: clearances are not checked.");
  const count = dangerCount(hazards);
  return el("div", { class: "loaded" },
    el("p", { "data-testid": "dangers-loaded" }, `${hazards.fileName}: `,
      count === null ? "no list of features found in it" : countText(count, "danger")),
    el("button", { type: "button", "data-testid": "remove-dangers", on: { click: () => keepDangers(null) } }, "Take these dangers away"));
}

function messagesPart() {
  const rows = [...state.fieldErrors].filter(([pointer]) => pointer?.startsWith("/hazards"));
  return rows.length > 0 && el("ul", { class: "field-error" }, rows.slice(0, 20).map(([pointer, text]) => el("li", {}, el("code", {}, pointer), ` ${text}`)));
}

export function startDangers(host) {
  const message = el("p", { class: "field-error", role: "alert", hidden: true });
  const input = el("input", {
    type: "file", id: "dangers-file", class: "file-input", accept: ".json,.geojson,application/geo+json", "data-testid": "dangers-file",
    on: { change: () => { if (input.files[0]) load(input.files[0], message); input.value = ""; } },
  });
  const drop = el("div", {
    class: "drop",
    on: { drop: (event) => { const file = event.dataTransfer?.files[0]; if (file) load(file, message); } },
  }, el("label", { for: "dangers-file", class: "file-label" }, "Drop a GeoJSON file of dangers here, or pick one (opens bright)"), input);
  const loaded = el("div", {});
  const messages = el("div", {});
  replace(host, el("h2", {}, "Dangers"), drop, message, messages, loaded);
  watch(["inputs"], () => replace(loaded, loadedPart()));
  watch(["fieldErrors"], () => replace(messages, messagesPart()));
}
