/** From her papers: what pilot card, poster and booklet give, as it is typed or brought as a file, and the fit. */

import { el, replace, tableBox } from "../dom.js";
import { countText, sizeText } from "../format.js";
import { askFit, paperId } from "../papers/ask.js";
import { begun, emptyRow, emptySet, ENGINE_ORDERS, MOST_POINTS, MOST_SETS, papersBegun, POINT_FIELDS, SET_FIELDS, setBegun, SHIP_FIELDS_OF_PAPERS, TRIALS } from "../papers/described.js";
import { bringBack, openPapers, reshape, typed } from "../papers/keep.js";
import { readText } from "../papers/texts.js";
import { keepTyped } from "../redraw.js";
import { set, state, watch } from "../state.js";
import { startPapersAnswer } from "./papers_answer.js";
import { startPapersFile } from "./papers_file.js";

/** Rows of one turn are far less; what is typed is kept in a browser that keeps only so much. */
const MOST_RECORD_BYTES = 200_000;

/** The message nodes by the place they speak of, with the field where there is one. */
let messages = new Map();

function messageAt(place, input = null) {
  const node = el("p", { class: "field-error", id: `${paperId(place)}-error`, "data-testid": `error-${paperId(place)}`, hidden: true });
  messages.set(place, { node, input });
  return node;
}

function showMessages() {
  for (const [place, { node, input }] of messages) {
    const text = state.papersErrors.get(place);
    node.textContent = text || "";
    node.hidden = !text;
    input?.setAttribute("aria-invalid", text ? "true" : "false");
  }
}

/** A text is finished: what cannot be read is said at once, an older message is over. */
function finished(place, described, text) {
  const { error } = readText(described, text);
  const gone = (one) => one === place || (place.startsWith(`${one}/`) && /\/\d+$/.test(one));
  const others = [...state.papersErrors].filter(([one]) => !gone(one));
  set({ papersErrors: new Map(error ? [...others, [place, error]] : others), papersTyped: state.papersTyped + 1 });
}

/** What is typed or chosen in, for a row of texts. */
function entry(place, row, described, attributes) {
  const { name, kind, options } = described;
  const id = paperId(place);
  const shared = { id, "data-testid": id, "aria-describedby": `${id}-error`, ...attributes };
  const change = { change: () => { typed(row, name, input.value); finished(place, described, input.value); } };
  const listeners = { input: () => typed(row, name, input.value), ...change };
  const input = options
    ? el("select", { ...shared, on: change }, options.map(([value, words]) => el("option", { value }, words)))
    : kind === "rows"
      ? el("textarea", { rows: "8", spellcheck: "false", autocomplete: "off", ...shared, on: listeners })
      : el("input", { type: "text", autocomplete: "off", inputmode: ["number", "distance"].includes(kind) ? "decimal" : "text", ...shared, on: listeners });
  input.value = row[name] ?? "";
  return input;
}

/** A labelled field of a row. */
function labelled(place, row, described) {
  const at = `${place}/${described.name}`;
  const input = entry(at, row, described, {});
  return el("div", { class: "field" },
    el("label", { for: paperId(at) }, described.label, described.unit && el("span", { class: "unit" }, ` ${described.unit}`)),
    input, described.hint && el("p", { class: "field-hint" }, described.hint), messageAt(at, input));
}

/** A field in a cell of a table, named by the head and its row. */
function cell(place, row, described, where) {
  const at = `${place}/${described.name}`;
  const unit = described.unit ? ` ${described.unit}` : "";
  const input = entry(at, row, described, { "aria-label": `${described.label}${unit}, ${where}` });
  return el("td", { "data-label": `${described.label}${unit}` }, input, messageAt(at, input));
}

const head = (fields) => el("thead", {}, el("tr", {}, fields.map(({ label, unit }) => el("th", { scope: "col" }, label, unit && el("span", { class: "unit" }, ` ${unit}`))), el("th", { scope: "col" }, el("span", { class: "quiet-live" }, "Take away"))));

const button = (testId, words, click, attributes = {}) => el("button", { type: "button", "data-testid": testId, on: { click }, ...attributes }, words);

/** Does something to the papers in place, and draws them anew. */
const inPlace = (work) => (papers) => {
  work();
  return { ...papers };
};

/** Takes a row out of its list; what was typed in it can be brought back. */
function remove(described, list, index, words, focus) {
  reshape(inPlace(() => list.splice(index, 1)), begun(described, list[index]) ? words : null);
  document.querySelector(`[data-testid="${focus}"]`)?.focus();
}

function add(described, list, place) {
  reshape(inPlace(() => list.push(emptyRow(described))));
  document.getElementById(paperId(`${place}/${list.length - 1}/${described.fields[0].name}`)).focus();
}

/** The moments of a circle: heading changed, time, speed. */
function pointsTable(place, { points }, where) {
  const row = (point, index) => el("tr", {}, POINT_FIELDS.map((one) => cell(`${place}/points/${index}`, point, one, `${where}, moment ${index + 1}`)));
  return el("table", { class: "moments" },
    el("thead", {}, el("tr", {}, POINT_FIELDS.map(({ label, unit }) => el("th", { scope: "col" }, label, el("span", { class: "unit" }, ` ${unit}`))))),
    el("tbody", {}, points.map(row)));
}

function addPoint(place, { points }) {
  reshape(inPlace(() => points.push({})));
  document.getElementById(paperId(`${place}/points/${points.length - 1}/heading_change_deg`)).focus();
}

/** Takes the text of a file into the rows of a turn; what stood there can be brought back. */
async function bringRows(file, row, place) {
  const refuse = (reason) => set({ papersErrors: new Map([...state.papersErrors, [place, `${file.name} was not taken: ${reason}`]]) });
  if (file.size > MOST_RECORD_BYTES) { refuse(`it is of ${sizeText(file.size)}, more than the rows of one turn; cut it to the turn.`); return; }
  let text;
  try {
    text = await file.text();
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
    refuse(error.message); // the browser could not read the file
    return;
  }
  reshape(inPlace(() => { row.rows = text; }), row.rows?.trim() ? `the rows that stood there before ${file.name}` : null);
  document.getElementById(paperId(place))?.focus();
}

/** The rows of a recorded turn, pasted or brought. */
function recordField(place, row, described) {
  const at = `${place}/${described.name}`;
  const id = `${paperId(at)}-file`;
  const input = el("input", {
    type: "file", id, class: "file-input", accept: ".csv,.txt,text/csv,text/plain", "data-testid": id,
    on: {
      change: () => {
        if (input.files[0]) bringRows(input.files[0], row, at);
        input.value = "";
      },
    },
  });
  return el("div", { class: "paper-record" }, labelled(place, row, described),
    el("div", { class: "inline-form" }, el("label", { for: id }, "Or bring them as a file (opens bright), CSV or text"), input));
}

/** A circle or a recorded turn as a card of its own: two of them stand side by side where there is room. */
function trialCard(described, place, list, index, adder) {
  const [trial, at] = [list[index], `${place}/${index}`];
  const words = `${described.one} ${index + 1}`;
  const [records, fields] = [true, false].map((wanted) => described.fields.filter(({ kind }) => (kind === "rows") === wanted));
  return el("fieldset", { class: "circle-card", id: paperId(at), tabindex: "-1" }, el("legend", {}, `${described.card[0].toUpperCase()}${described.card.slice(1)} ${index + 1}`),
    el("div", { class: "fields" }, fields.map((one) => labelled(at, trial, one))), messageAt(at),
    described.points && pointsTable(at, trial, words), records.map((one) => recordField(at, trial, one)),
    el("div", { class: "actions" },
      trial.points?.length < MOST_POINTS && button(`${paperId(at)}-moment`, "Add a heading", () => addPoint(at, trial)),
      button(`${paperId(at)}-away`, `Take this ${described.card} away`, () => remove(described, list, index, words, adder))));
}

function rowsTable(described, place, list, adder) {
  const line = (row, index) => {
    const at = `${place}/${index}`;
    const words = `${described.one} ${index + 1}`;
    const cells = described.fields.map((one) => cell(at, row, one, words));
    cells[0].append(messageAt(at));
    return el("tr", { id: paperId(at), tabindex: "-1" }, cells,
      el("td", {}, button(`${paperId(at)}-away`, "Take away", () => remove(described, list, index, words, adder), { "aria-label": `Take ${words} away` })));
  };
  return tableBox(`${described.title}, scrolls sideways`, el("table", { class: "paper-rows stacks" }, head(described.fields), el("tbody", {}, list.map(line))));
}

/** One sort of trials: its rows, and a button for another. */
function group(described, holder, place) {
  const list = holder[described.name];
  const at = `${place}/${described.name}`;
  const adder = `${paperId(at)}-add`;
  const cards = described.card && list.map((_, index) => trialCard(described, at, list, index, adder));
  return el("section", { class: list.length > 0 ? "paper-group" : "paper-group is-empty", "aria-label": described.title },
    el("h4", {}, described.title), messageAt(at),
    list.length > 0 && (cards ? el("div", { class: "circle-cards" }, cards) : rowsTable(described, at, list, adder)),
    list.length < described.most && button(adder, `Add ${/^[aeiou]/.test(described.one) ? "an" : "a"} ${described.one}`, () => add(described, list, at)));
}

/** "laden: 2 circles, 1 zig-zag". */
function setWords(one) {
  const counts = TRIALS.map((described) => [described, one[described.name].filter((row) => begun(described, row)).length]).filter(([, count]) => count > 0);
  return `${one.loading?.trim() || "not named yet"}: ${counts.map(([{ one: word }, count]) => countText(count, word)).join(", ") || "no trials entered"}`;
}

/** The lines that say how much is entered, by place; they follow what is typed. */
let lines = [];

/** Loadings that were folded away by hand. */
let folded = new Set();

function setPart(one, index) {
  const at = `/sets/${index}`;
  const away = () => {
    reshape((papers) => ({ ...papers, sets: papers.sets.filter((_, i) => i !== index) }), setBegun(one) ? `loading ${index + 1}` : null);
    document.querySelector('[data-testid="papers-add-set"]').focus();
  };
  const words = el("span", {});
  lines.push(() => { words.textContent = setWords(one); });
  const details = el("details", { class: "turn-table", open: !folded.has(index), "data-testid": paperId(at), id: paperId(at), on: { toggle: () => { if (details.open) folded.delete(index); else folded.add(index); } } },
    el("summary", {}, `Loading ${index + 1}, `, words), messageAt(at),
    el("div", { class: "fields" }, SET_FIELDS.map((described) => labelled(at, one, described))),
    TRIALS.map((described) => group(described, one, at)),
    state.papers.sets.length > 1 && el("div", { class: "actions" }, button(`${paperId(at)}-away`, "Take this loading away", away)));
  return details;
}

function addSet() {
  const index = state.papers.sets.length;
  reshape((papers) => ({ ...papers, sets: [...papers.sets, emptySet()] }));
  document.getElementById(paperId(`/sets/${index}/loading`)).focus();
}

function form() {
  const { sets, ship } = state.papers;
  return [
    sets.map(setPart),
    el("div", { class: "actions" }, sets.length < MOST_SETS && button("papers-add-set", "Add another loading", addSet)),
    group(ENGINE_ORDERS, state.papers, ""),
    el("p", { class: "panel-lead" }, "Engine orders and stops are kept beside the trials; the response says nothing of them."),
    el("div", { class: "fields" }, SHIP_FIELDS_OF_PAPERS.map((one) => labelled("/papers", ship, one))),
  ];
}

/** The one step back for what was taken away with numbers in it. */
function backLine() {
  const { papersBefore: before } = state;
  return before && el("div", { class: "notice", "data-testid": "papers-before" }, `Taken away: ${before.way}.`, button("papers-back", "Bring it back", () => { bringBack(); document.querySelector('[data-testid="papers-fit"]').focus(); }));
}

function actions() {
  return el("div", { class: "actions" },
    button("papers-fit", "Fit", () => askFit({ estimate: false }), { class: "primary" }),
    button("papers-estimate", "No trials: estimate from main dimensions", () => askFit({ estimate: true })));
}

export function startPapers(host, { commitShip }) {
  const [file, back, rows, work, unkept, count] = [el("div", {}), el("div", { role: "status" }), el("div", {}), el("div", {}), el("p", { class: "field-error" }), el("span", { class: "unit" })];
  replace(host, el("section", { class: "helm-part", "aria-label": "From her papers" },
    el("details", { class: "papers", "data-testid": "papers" }, el("summary", {}, el("strong", {}, "From her papers"), count),
      el("p", { class: "panel-lead" }, "Enter what pilot card, wheelhouse poster and manoeuvring booklet give, or bring it as a file; the service fits her response to it. Her dimensions are taken from the fields above. What is typed here is kept in this browser for this plan and nowhere else: the ship takes the response, not the trials."),
      el("p", { class: "panel-lead" }, "Distances in metres, or with cab, NM, or L for ship lengths behind the number; times in seconds or as min:s. Speeds are through the water. Empty fields are left out."),
      unkept, file, back, rows, actions(), work)));
  startPapersFile(file, { commitShip });
  startPapersAnswer(work, { commitShip });
  watch(["draft"], () => { if (!state.draft) folded = new Set(); openPapers(); });
  watch(["papers"], () => {
    [messages, lines] = [new Map(), []];
    keepTyped(rows, () => replace(rows, state.papers && form()), { texts: false }); // they are in the papers as they are typed
    showMessages();
  });
  watch(["papersErrors"], showMessages);
  watch(["papersBefore"], () => replace(back, backLine()));
  watch(["papers", "papersTyped"], () => {
    lines.forEach((write) => write());
    count.textContent = state.papers && papersBegun(state.papers) ? ", entered and kept in this browser" : ", nothing entered yet";
  });
  watch(["papersUnkept"], () => {
    rows.toggleAttribute("data-kept", !state.papersUnkept);
    unkept.textContent = state.papersUnkept ? `This browser could not keep what is typed here: ${state.papersUnkept}` : "";
  });
}
