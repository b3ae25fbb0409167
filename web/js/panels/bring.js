/** Bring a route: drop, pick or paste a file, or open the demonstration. */

import { demonstration } from "../api.js";
import { openDemonstration } from "../draft/open.js";
import { edit } from "../draft/save.js";
import { leaveRows, readFile } from "../reading.js";
import { el, replace } from "../dom.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";
import { problemBox } from "./problem.js";
import { readingReport } from "./report.js";

/** The file picker; the browser's own window cannot be darkened, so the label says so. */
function picker() {
  const input = el("input", {
    type: "file",
    id: "route-file",
    class: "file-input",
    accept: ".csv,.txt,.json,.geojson,.gpx,.rtz,.xml,text/csv,application/geo+json,application/gpx+xml,application/xml",
    "data-testid": "route-file",
    on: {
      change: () => {
        if (input.files[0]) readFile(input.files[0], input.files[0].name);
        input.value = "";
      },
    },
  });
  return el("div", { class: "drop", "data-testid": "route-drop" },
    el("label", { for: "route-file", class: "file-label" }, "Drop a route file here, or pick one (opens bright): CSV, GeoJSON, GPX, or route exchange XML (.rtz)"), input);
}

/** What pasted text is, by how it begins: the reader then judges the whole of it. */
function pastedKind(text) {
  const start = text.trimStart();
  if (start.startsWith("{")) return ["pasted.geojson", "application/geo+json"];
  if (!start.startsWith("<")) return ["pasted.csv", "text/csv"];
  return /<gpx[\s>]/.test(start) ? ["pasted.gpx", "application/gpx+xml"] : ["pasted.rtz", "application/xml"];
}

/** Pasted text becomes a file like any other. */
function pasteBox() {
  const area = el("textarea", {
    id: "route-paste", rows: "5", spellcheck: "false", "data-testid": "route-paste",
    placeholder: "name,latitude,longitude",
  });
  const read = () => {
    if (area.value.trim() === "") { area.focus(); return; }
    const [name, type] = pastedKind(area.value);
    readFile(new Blob([area.value], { type }), name);
  };
  return el("div", { class: "paste" },
    el("label", { for: "route-paste" }, "Or paste a file, rows with their header line"), area,
    el("button", { type: "button", "data-testid": "route-paste-read", on: { click: read } }, "Read what is pasted"));
}

function demonstrationBox() {
  return el("div", { class: "demo-box" },
    el("p", {}, "No file at hand? The demonstration is a made-up passage in fictional waters."),
    el("button", { type: "button", "data-testid": "open-demonstration", on: { click: openDemonstration } }, "Open the demonstration"));
}

/** What the last reading came to. */
function readingPart() {
  const { reading } = state;
  if (!reading) return null;
  if (reading.status === "working") return el("p", { role: "status" }, `Reading ${reading.fileName}. Nothing stored yet.`);
  if (reading.status === "failed") return problemBox(`${reading.fileName} was not read`, reading.error, reading.retry, leaveRows);
  return readingReport(reading);
}

/** Files dropped anywhere are read as a route: a near miss must not make the browser leave the page. */
function acceptDrops() {
  window.addEventListener("dragover", (event) => event.preventDefault());
  window.addEventListener("drop", (event) => {
    event.preventDefault();
    const file = event.dataTransfer?.files[0];
    if (file && !event.target.closest?.("#panel-dangers")) readFile(file, file.name);
  });
}

/** The name of the route, which is the name of the plan. */
function nameField() {
  const { name } = state.inputs.route;
  const input = el("input", { id: "route-name", type: "text", autocomplete: "off", "data-testid": "route-name", on: { change: () => edit((inputs) => ({ ...inputs, route: { ...inputs.route, name: input.value.trim() } })) } });
  input.value = name;
  return el("div", { class: "inline-form" }, el("label", { for: "route-name" }, "Name of the route"), input);
}

/** What a demonstration is made of is said once more beside its route. */
async function askNotes() {
  try {
    set({ demonstrationNotes: (await demonstration()).notes });
  } catch (error) {
    if (error.status === undefined) throw error;
    set({ demonstrationNotes: [`What the demonstration holds could not be asked for: ${error.message}`] });
  }
}

function routePart() {
  if (!state.inputs) return null;
  const notes = state.inputs.demonstration ? state.demonstrationNotes : [];
  return [nameField(), notes.length > 0 && el("ul", { class: "notes", "data-testid": "report-notes" }, notes.map((note) => el("li", {}, note)))];
}

export function startBring(host) {
  const [route, readingHost] = [el("div", {}), el("div", { class: "reading" })];
  const title = el("h2", {}, "Bring a route");
  replace(host, route, title, el("div", { class: "bring" }, picker(), pasteBox(), demonstrationBox()), readingHost);
  watch(["inputs", "demonstrationNotes"], () => {
    title.textContent = state.inputs ? "Bring another route" : "Bring a route";
    redraw(route, routePart());
  });
  watch(["openPanel"], () => { if (state.openPanel === "route" && state.inputs?.demonstration && state.demonstrationNotes.length === 0) askNotes(); });
  watch(["reading"], () => {
    host.classList.toggle("has-reading", Boolean(state.reading));
    redraw(readingHost, readingPart());
  });
  acceptDrops();
}
