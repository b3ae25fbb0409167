/** Files of the draft, frozen revisions and their files. What is stale or not stored is not saved as a file. */

import { reviewAddress, revisionAddress } from "../address.js";
import { exportAddress, fetchFile } from "../api.js";
import { lookElsewhere } from "../draft/elsewhere.js";
import { el, saveBlob, tableBox } from "../dom.js";
import { dateText, fileStem } from "../format.js";
import { isSlow, makingLine, watchedFile } from "../making.js";
import { newestOf, revisionStateWords } from "../record/words.js";
import { redraw } from "../redraw.js";
import { freshness, FRESHNESS_KEYS, set, state, watch } from "../state.js";
import { revisionSync } from "./sync.js";
import { problemBox } from "./problem.js";

const FORMATS = [["geojson", "GeoJSON"], ["rtz", "Route exchange XML"], ["gpx", "GPX"], ["csv", "CSV"], ["html", "Map for any browser (HTML)"], ["pdf", "Paper (PDF, opens bright)"], ["xlsx", "Workbook (XLSX)"]];

/** Why the draft cannot be saved as a file just now, or null. */
function reason() {
  if (!state.plan) return "Nothing is computed yet.";
  if (state.save.status !== "saved") return "A change is not stored yet.";
  if (state.elsewhere) return "The plan was changed elsewhere; files wait until that is on show.";
  return freshness() === "fresh" ? null : "The values on show are stale; files wait until they are computed.";
}

function fileLink(testId, href, words, why, save = saveFile) {
  if (why) return el("span", { class: "button is-off", "data-testid": testId, "aria-disabled": "true" }, words);
  return el("a", { class: "button", "data-testid": testId, href, download: true, on: { click: (event) => { event.preventDefault(); save(href, words); } } }, words);
}

/** A file of the draft holds what is on show, or is not saved: the plan may have been changed elsewhere a moment ago. */
async function saveDraft(href, words) {
  const { id, edit: shown } = state.draft;
  await lookElsewhere();
  if (state.draft?.id === id && state.draft.edit === shown && !state.elsewhere) await saveFile(href, words);
}

/** The answer on show, as the service sent it. */
function saveShown() {
  const name = `${fileStem(state.draft.name)}.json`;
  saveBlob(name, new Blob([state.plan.text], { type: "application/json" }));
  set({ filing: { status: "done", name, warnings: "" } });
}

/** Fetches a file and saves it; a refusal, and what could not be put into the file, are said in place. */
async function saveFile(href, words) {
  const waiting = new AbortController();
  const filing = { status: "working", words, startedMs: performance.now(), stop: () => waiting.abort() };
  const shown = (progress) => { if (state.filing?.stop === filing.stop) set({ filing: { ...filing, progress } }); };
  const made = (address) => fetchFile(address, isSlow(address) ? waiting.signal : undefined);
  set({ filing });
  try {
    const { body, name, warnings } = isSlow(href) ? await watchedFile(href, made, shown) : await made(href);
    saveBlob(name || `${fileStem(state.inputs.route.name)}.json`, body);
    set({ filing: { status: "done", name: name || "The file", warnings } });
  } catch (error) {
    if (error.name === "AbortError") { set({ filing: null }); return; }
    if (error.status === undefined) throw error;
    set({ filing: { status: "failed", words, error, retry: () => saveFile(href, words) } });
  }
}

/** What became of the file asked for last. */
export function filingPart() {
  const { filing } = state;
  if (filing?.status === "failed") return problemBox(`${filing.words} was not saved`, filing.error, filing.retry, () => set({ filing: null }));
  if (filing?.status === "done") return el("p", { role: "status", "data-testid": "file-saved" }, `${filing.name} was handed to the browser. `, filing.warnings ? el("strong", {}, `Not in the file: ${filing.warnings}`) : "");
  return filing && makingLine(filing);
}

function draftPart() {
  const why = reason();
  const { id, edit } = state.draft;
  return el("div", {},
    el("h3", {}, "The draft as a file, marked DRAFT"),
    why && el("p", { class: "gap-line", "data-testid": "export-reason" }, why),
    el("div", { class: "actions" },
      FORMATS.map(([format, words]) => fileLink(`export-${format}`, exportAddress(id, format, { edit }), words, why, saveDraft)),
      fileLink("export-json", `/api/v1/plans/${encodeURIComponent(id)}/computed`, "This as JSON", why, saveShown)));
}

/** Links to the files of a frozen revision. */
export function revisionFiles(id, number) {
  return FORMATS.map(([format, words]) => fileLink(`revision-${number}-${format}`, exportAddress(id, format, { revision: number }), words, null));
}

const compareLink = (was, now) => el("a", { class: "button", href: reviewAddress(state.draft.id, was, now), "data-go": true, "data-testid": `compare-${was}-${now}` }, `r${was} with ${now === "draft" ? "the draft" : `r${now}`}`);

function revisionRow(one) {
  return el("tr", { "data-testid": `revision-${one.number}` },
    el("th", { scope: "row", "data-label": "Revision" }, el("a", { href: revisionAddress(state.draft.id, one.number), "data-go": true }, `r${one.number}`)),
    el("td", { "data-label": "State" }, revisionStateWords(one), " ", revisionSync(one.number)),
    el("td", { "data-label": "Frozen UTC" }, dateText(one.created_utc)),
    el("td", { "data-label": "SHA-256, first 8" }, el("code", { title: one.sha256 }, one.sha256.slice(0, 8))),
    el("td", { "data-label": "Files" }, el("span", { class: "actions" }, revisionFiles(state.draft.id, one.number))),
    el("td", { "data-label": "Compare" }, one.number > 1 ? compareLink(one.number - 1, one.number) : compareLink(one.number, "draft")));
}

function revisionsPart() {
  const { revisions } = state.draft;
  return el("div", {},
    el("h3", {}, "Revisions"),
    el("p", { class: "panel-lead" }, "A frozen revision never changes, and undo reaches no further back than it. Freezing offers it to the master; that is not an approval."),
    revisions.length === 0 ? el("p", { "data-testid": "no-revisions" }, "None is frozen yet.") : tableBox("Revisions", el("table", { class: "stacks revisions" },
      el("thead", {}, el("tr", {}, ["Revision", "State", "Frozen UTC", "SHA-256, first 8", "Files", "Compare"].map((head) => el("th", { scope: "col" }, head)))),
      el("tbody", {}, revisions.map(revisionRow)))),
    el("div", { class: "actions" }, el("button", { type: "button", "data-testid": "freeze", on: { click: () => set({ offering: { status: "open" }, offered: null }) } }, `Offer as revision r${newestOf(state.draft) + 1}`)));
}

export function startFiles(host) {
  watch([...FRESHNESS_KEYS, "draft", "filing", "sync"], () => {
    if (!state.draft) { redraw(host); return; }
    redraw(host, el("h2", {}, "Files and revisions"), el("div", { class: "halves" }, draftPart(), revisionsPart()), filingPart());
  });
}
