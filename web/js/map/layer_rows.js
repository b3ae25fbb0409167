/**
 * What every layer of the Plot has beside its drawing: a switch that is kept, a piece of itself as a key, a table of what it
 * shows, and a file.
 */

import { el, saveBlob, tableBox } from "../dom.js";
import { fileStem, known, listText, positionText } from "../format.js";
import { pager, pageRows } from "../paging.js";
import { state } from "../state.js";

/** Which layers of a list are off, kept in the browser under a key. */
export class Switches {
  constructor(key) {
    this.key = key;
    try {
      this.off = new Set(JSON.parse(localStorage.getItem(key) || "[]"));
    } catch {
      this.off = new Set(); // nothing kept, or not ours
    }
  }

  isOn(name) { return !this.off.has(name); }

  turn(name) {
    if (!this.off.delete(name)) this.off.add(name);
    try {
      localStorage.setItem(this.key, JSON.stringify([...this.off]));
    } catch (error) {
      console.info(`Which layers are off is not kept: ${error.message}`);
    }
  }
}

const SKIPPED = new Set(["layer"]);
const memberName = (name) => name.replaceAll("_", " ");
const valueText = (value) => (Array.isArray(value) ? listText(value.map(valueText)) : typeof value === "object" && value !== null ? Object.entries(value).map(([name, one]) => `${memberName(name)} ${valueText(one)}`).join(", ") : String(value));

/** What is said of a feature, member by member. */
export function featureWords({ properties }) {
  return Object.entries(properties || {}).filter(([name, value]) => !SKIPPED.has(name) && value !== null && value !== "" && !(Array.isArray(value) && value.length === 0)).map(([name, value]) => `${memberName(name)}: ${valueText(value)}`);
}

function firstPosition({ geometry }) {
  const [lon_deg, lat_deg] = [geometry?.coordinates].flat(5).slice(0, 2);
  return known(lat_deg) ? positionText({ lat_deg, lon_deg }) : "none";
}

const SHAPES = { Point: "point", MultiPoint: "points", LineString: "line", MultiLineString: "lines", Polygon: "area", MultiPolygon: "areas" };

function layerTable({ name, features }, words, { open, again, showOne }) {
  const { page, first, rows } = pageRows(features, open.page);
  open.page = page;
  const row = (feature, index) => el("tr", {},
    el("th", { scope: "row" }, el("button", { type: "button", class: "linkish", on: { click: () => showOne(feature) } }, `${first + index + 1}`)),
    el("td", { "data-label": "Shape" }, SHAPES[feature.geometry?.type] || "none"), el("td", { "data-label": "First position" }, firstPosition(feature)),
    el("td", { "data-label": "What is said of it" }, featureWords(feature).join("; ") || "nothing more"));
  return [pager(features.length, page, words, (to) => { open.page = to; again(); }),
    tableBox(`Layer as a table, scrolls sideways`, el("table", { class: "checks-table stacks", "data-testid": `layer-table-${name}` }, el("caption", {}, `${words}; the number shows it on the Plot`),
      el("thead", {}, el("tr", {}, ["No.", "Shape", "First position", "What is said of it"].map((head) => el("th", { scope: "col" }, head)))), el("tbody", {}, rows.map(row))))];
}

function save({ name, features }) {
  const route = state.plan?.request.route.name;
  const collection = { type: "FeatureCollection", name: `${route || "cells"}: ${name}`, cautions: state.plan?.answer.cautions ?? [], features };
  saveBlob(`${fileStem([route, name].filter(Boolean).join("_"))}.geojson`, new Blob([JSON.stringify(collection)], { type: "application/geo+json" }));
}

/**
 * The row of one layer. `open` is {table, page}: which layer stands open as a table; `again` draws the list anew, `showOne` takes a
 * feature to the Plot.
 */
export function layerRow(one, { words, swatch }, { switches, open, again, showOne }) {
  const { name, features } = one;
  const isOpen = open.table === name;
  const button = (testId, text, click, more = {}) => el("button", { type: "button", "data-testid": `${testId}-${name}`, on: { click }, ...more }, text);
  return el("li", {}, el("div", { class: "layer-row" },
    el("label", { class: "choice" }, el("input", { type: "checkbox", checked: switches.isOn(name), "data-testid": `layer-${name}`, on: { change: () => { switches.turn(name); again(); } } }), swatch, el("span", {}, `${words} (${features.length})`)),
    button("layer-as-table", isOpen ? "Close the table" : "As a table", () => { open.table = isOpen ? null : name; open.page = 0; again(); }, { "aria-expanded": String(isOpen) }),
    button("layer-save", "Save as GeoJSON", () => save(one))), isOpen && layerTable(one, words, { open, again, showOne }));
}
