/** The dangers: a GeoJSON file becomes a stored set; the service judges it, not the page. */

import { hazardSets } from "../api.js";
import { el, replace } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { countText } from "../format.js";
import { dangersNamed, featureCount, storedSet, usesCells } from "../hazards.js";
import { later } from "../later.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";
import { problemBox } from "./problem.js";

const listSets = async () => set({ hazardSets: { items: await hazardSets.all() } });

/** Runs something that asks the service, and shows a refusal in place. */
async function attempt(work, retry = null) {
  set({ dangersWork: { status: "working" } });
  try {
    await work();
    set({ dangersWork: null });
  } catch (error) {
    if (error.status === undefined) throw error;
    set({ dangersWork: { status: "failed", error, retry } });
  }
}

/** Lets the plan use a set in the edition given, beside those it uses already. */
const useSet = (id, edition) => edit((inputs) => setTop({
  hazard_set_ids: [...new Set([...(inputs.hazard_set_ids || []), id])],
  hazard_set_editions: { ...inputs.hazard_set_editions, [id]: edition },
})(inputs));

const leaveSet = (id) => edit((inputs) => {
  const ids = inputs.hazard_set_ids.filter((one) => one !== id);
  const { [id]: left, ...editions } = inputs.hazard_set_editions || {};
  return setTop({ hazard_set_ids: ids.length > 0 ? ids : undefined, hazard_set_editions: ids.length > 0 ? editions : undefined })(inputs);
});

/** Stores the text of a file, as it is, as a new set or as the next edition of one. */
async function storeText(name, text, id) {
  const { answer } = id ? await hazardSets.put(id, name, text, (await hazardSets.read(id)).etag) : await hazardSets.create(name, text);
  await listSets();
  set({ dangersFile: null });
  useSet(answer.id, answer.edition);
}

const store = (name, text, id) => attempt(() => storeText(name, text, id), () => store(name, text, id));

/** Reads a file. Where a set of its name is stored already, the navigator says what it is. */
async function load(file) {
  const name = file.name.replace(/\.(geo)?json$/i, "") || file.name;
  await attempt(async () => {
    const text = await file.text();
    if (!/\.(geo)?json$/i.test(file.name) && !text.trimStart().startsWith("{")) { set({ dangersTableFile: file }); return; } // no GeoJSON: read as a table first
    await keepText(name, text);
  }, () => load(file));
}

/** Stores a text under a name. Where a set of its name is stored already, the navigator says what it is. */
async function keepText(name, text) {
  await listSets();
  const known = state.hazardSets.items.find((one) => one.name === name);
  if (known) set({ dangersFile: { name, text, known } });
  else await storeText(name, text);
}

function button(testId, words, click) {
  return el("button", { type: "button", "data-testid": testId, on: { click } }, words);
}

/** The question about a name that is known already. */
function fileChoice({ name, text, known }) {
  return el("div", { class: "notice", "data-testid": "dangers-choice" },
    el("span", {}, `A set named ${name} is stored, edition ${known.edition}.`),
    button("dangers-new-edition", `Store as edition ${known.edition + 1}`, () => store(name, text, known.id)),
    button("dangers-new-set", "Store as a set of its own", () => store(name, text)),
    button("dangers-leave", "Leave, store nothing", () => set({ dangersFile: null })));
}

function setLine(id) {
  const known = storedSet(id);
  const edition = state.inputs.hazard_set_editions?.[id];
  const newer = known && known.edition > edition;
  return el("li", { class: "loaded", "data-testid": "used-set" },
    el("span", {}, el("strong", {}, known ? known.name : id), `, edition ${edition ?? "newest"}`, known && ` of ${known.edition}`, known && !newer && `, ${countText(known.item_count, "danger")}`),
    newer && button("use-newest-set", `Use edition ${known.edition}`, () => useSet(id, known.edition)),
    button("leave-set", "Take this set away", () => leaveSet(id)));
}

function inlineLine(hazards) {
  const count = featureCount(hazards);
  return el("li", { class: "loaded" },
    el("span", {}, el("strong", {}, "given with the plan"), ": ", count === null ? "no list of features found" : countText(count, "danger")),
    button("remove-dangers", "Take these dangers away", () => edit(setTop({ hazards: undefined }))));
}

function loadedPart() {
  const { inputs } = state;
  if (!inputs) return null;
  if (!dangersNamed(inputs) && usesCells(inputs)) return el("p", { class: "missing", "data-testid": "dangers-loaded" }, "No dangers of one's own: those of the cells count.");
  if (!dangersNamed(inputs)) return el("p", { class: "missing", "data-testid": "dangers-loaded" }, "No dangers loaded: clearances are not checked.");
  return el("ul", { class: "plain-list", "data-testid": "dangers-loaded" }, inputs.hazards && inlineLine(inputs.hazards), (inputs.hazard_set_ids || []).map(setLine));
}

/** Stored sets that this plan does not use yet. */
function chooser() {
  const used = new Set(state.inputs?.hazard_set_ids || []);
  const free = state.hazardSets.items.filter(({ id }) => !used.has(id));
  if (free.length === 0) return null;
  const choice = el("select", { id: "set-choice", "data-testid": "set-choice", "data-waits": true }, free.map((one) => el("option", { value: one.id }, `${one.name}, edition ${one.edition}, ${countText(one.item_count, "danger")}`)));
  return el("div", { class: "inline-form" }, el("label", { for: "set-choice" }, "Stored sets"), choice,
    button("use-set", "Use this set", () => { const one = storedSet(choice.value); useSet(one.id, one.edition); }));
}

function workPart() {
  const { dangersWork: work, dangersFile: file } = state;
  return [
    work?.status === "working" && el("p", { role: "status" }, "Working: the dangers are with the service."),
    work?.status === "failed" && problemBox("The dangers were not stored", work.error, work.retry, () => set({ dangersWork: null })),
    file && fileChoice(file),
  ];
}

export function startDangers(host) {
  const input = el("input", {
    type: "file", id: "dangers-file", class: "file-input", accept: ".json,.geojson,.csv,.txt,application/geo+json,text/csv", "data-testid": "dangers-file",
    on: { change: () => { if (input.files[0]) load(input.files[0]); input.value = ""; } },
  });
  const drop = el("div", {
    class: "drop",
    on: { drop: (event) => { const file = event.dataTransfer?.files[0]; if (file) load(file); } },
  }, el("label", { for: "dangers-file", class: "file-label" }, "Drop a file of dangers here, GeoJSON or CSV, or pick one (opens bright)"), input);
  const [loaded, stored, table, warnings, work] = [el("div", {}), el("div", {}), el("div", {}), el("div", {}), el("div", { "aria-live": "polite" })];
  replace(host, el("h2", {}, "Dangers"), el("p", { class: "panel-lead" }, "A file is kept as a set under its name, for other plans too. What is not in the sets used here is not checked."), loaded, work, drop, table, stored, el("h3", {}, "Navigational warnings"), warnings);
  later(table, ["dangersTableFile"], () => state.dangersTableFile, async () => {
    const { readTable } = await import("./danger_table.js");
    return (place) => watch(["dangersTableFile"], () => { if (state.dangersTableFile) readTable(place, state.dangersTableFile, (name, text) => attempt(() => keepText(name, text))); });
  });
  later(warnings, ["openPanel"], () => state.openPanel === "dangers", async () => (await import("./warnings.js")).startWarnings);
  watch(["inputs", "hazardSets"], () => { redraw(loaded, loadedPart()); redraw(stored, chooser()); });
  watch(["dangersWork", "dangersFile"], () => redraw(work, workPart()));
  const list = () => { if (state.inputs?.hazard_set_ids || (state.openPanel === "dangers" && state.inputs)) attempt(listSets); };
  let key = null;
  watch(["inputs", "openPanel"], () => {
    const next = `${state.inputs?.hazard_set_ids} ${state.openPanel === "dangers"}`;
    if (next !== key) { key = next; list(); }
  });
}
