/** Sources and checklists: what the plan is drawn from, for which legs, and what people say they went through, beside what is computed. */

import { button, dropRow, legWords, newRowId, putRow, refusedOf, said } from "../bridge/rows.js";
import { LIST_WORDS, SOURCE_KINDS, TICK_STATES, withNone, wordsOf } from "../bridge/words.js";
import { el, replace, tableBox } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { SOURCE_FIELDS } from "../fields.js";
import { figure } from "../figures.js";
import { dateText, decimals, known, numberText } from "../format.js";
import { choiceField, formField, formMessage } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";
import { field } from "./form.js";
import { commit } from "./limits.js";

const DAY = /^\d{4}-\d{2}-\d{2}$/;
const kindWords = (kind) => wordsOf(SOURCE_KINDS, kind);

/** The legs between two numbers of waypoints: their ids; undefined for the whole passage, null where the text is no stretch. */
function readLegs(text) {
  if (text === "") return undefined;
  const [, first, last] = /^(\d{1,5})\s*-\s*(\d{1,5})$/.exec(text) || [];
  const { waypoints } = state.inputs.route;
  return first && Number(first) >= 1 && Number(first) < Number(last) && Number(last) <= waypoints.length ? waypoints.slice(Number(first), Number(last)).map(({ id }) => id) : null;
}

/** A run of legs as it is typed, 01-04; empty where the legs are no single run. */
function legsText(ids) {
  if (!ids || ids.length === 0) return "";
  const places = ids.map((id) => state.inputs.route.waypoints.findIndex((one) => one.id === id));
  const inRow = places.every((place, i) => place > 0 && (i === 0 || place === places[i - 1] + 1));
  return inRow ? `${numberText(places[0] - 1)}-${numberText(places.at(-1))}` : "";
}

function sourceForm(host) {
  const kind = choiceField({ id: "source-kind", label: "Kind" });
  const title = formField({ id: "source-title", label: "Title" });
  const number = formField({ id: "source-number", label: "Number" });
  const edition = formField({ id: "source-edition", label: "Edition" });
  const corrected = formField({ id: "source-corrected", label: "Corrected to", hint: "like 2026-11-20" });
  const legs = formField({ id: "source-legs", label: "From waypoint to waypoint", hint: "like 01-04; empty: the whole passage" });
  const consulted = choiceField({ id: "source-consulted", label: "Consulted" });
  const remark = formField({ id: "source-remark", label: "Remark", wide: true });
  const message = formMessage("source-refused");
  const act = el("button", { type: "submit", "data-testid": "source-take" }, "Add this source");
  let [changing, legsKept] = [null, undefined];
  kind.fill(SOURCE_KINDS);
  consulted.fill([["false", "not consulted"], ["true", "consulted"]]);
  const clear = () => { [changing, legsKept] = [null, undefined]; [title, number, edition, corrected, legs, remark].forEach((one) => { one.input.value = ""; one.say(null); }); consulted.input.value = "false"; act.textContent = "Add this source"; };
  const take = (event) => {
    event.preventDefault();
    const ids = legs.text() === "" && legsKept ? legsKept : readLegs(legs.text());
    title.say(title.text() ? null : "A title is needed.");
    corrected.say(corrected.text() === "" || DAY.test(corrected.text()) ? null : "Write a date like 2026-11-20.");
    legs.say(ids === null ? "Write two waypoints of this route like 01-04." : null);
    if (!title.text() || (corrected.text() && !DAY.test(corrected.text())) || ids === null) return;
    putRow("sources", said({ id: changing ?? newRowId("sources", "source"), kind: kind.text(), title: title.text(), number: number.text(), edition: edition.text(), corrected_to_utc: corrected.text() && `${corrected.text()}T00:00:00Z`, leg_to_ids: ids, consulted: consulted.text() === "true", remark: remark.text() }));
    clear();
  };
  replace(host, el("form", { class: "strip-form", novalidate: true, "data-testid": "source-form", on: { submit: take } },
    el("div", { class: "fields" }, [kind, title, number, edition, corrected, legs, consulted, remark].map(({ node }) => node)), message.node, el("div", { class: "actions" }, act)));
  watch(["fieldErrors"], () => message.say(refusedOf("sources", "Source")));
  return (id) => {
    const one = state.inputs.sources.find((row) => row.id === id);
    changing = id;
    kind.input.value = one.kind;
    title.input.value = one.title;
    number.input.value = one.number ?? "";
    edition.input.value = one.edition ?? "";
    corrected.input.value = one.corrected_to_utc?.slice(0, 10) ?? "";
    legs.input.value = legsText(one.leg_to_ids);
    legsKept = legs.input.value === "" ? one.leg_to_ids : undefined;
    consulted.input.value = String(one.consulted);
    remark.input.value = one.remark ?? "";
    act.textContent = "Put the changed source in its place";
    title.input.focus();
  };
}

function legsCell(one) {
  if (one.leg_to_ids.length === 0) return one.origin === "cell" ? "covers no leg" : "the whole passage";
  return legsText(one.leg_to_ids) || one.leg_to_ids.map(legWords).join(", ");
}

const CONSULTED = { true: "consulted", false: "NOT CONSULTED", null: "loaded; nobody says it was looked at" };

function sourceRow(one, change) {
  return el("tr", { "data-testid": `source-row-${one.id}`, "data-consulted": String(one.consulted) },
    el("th", { scope: "row" }, one.title, one.number && one.number !== one.title && ` ${one.number}`),
    el("td", { "data-label": "Kind" }, one.origin === "cell" ? "chart cell" : kindWords(one.kind)),
    el("td", { "data-label": "Edition" }, one.edition ?? "not said"),
    el("td", { "data-label": "Corrected to" }, one.corrected_to_utc ? [dateText(one.corrected_to_utc).slice(0, 11), known(one.age_days) && [", ", figure(one.age_days, "days", (value) => decimals(Math.ceil(value), 0)), " days before departure"]] : "not said"),
    el("td", { "data-label": "Legs" }, legsCell(one)),
    el("td", { "data-label": "Consulted" }, CONSULTED[one.consulted]),
    el("td", { "data-label": "Remark" }, one.remark ?? "none"),
    el("td", { class: "actions" }, one.origin === "you" && [
      button(`source-consulted-${one.id}`, one.consulted ? "Was not consulted" : "Was consulted", () => putRow("sources", { ...state.inputs.sources.find(({ id }) => id === one.id), consulted: !one.consulted })),
      button(`source-change-${one.id}`, "Change it", () => change(one.id)), button(`source-drop-${one.id}`, "Take it away", () => dropRow("sources", one.id))]));
}

function sourceTable(change) {
  const { sources } = state.plan?.answer || {};
  if (!sources) return el("p", { class: "gap-line" }, "Nothing is computed yet.");
  return [sources.rows.length === 0 ? el("p", { class: "missing" }, "No source is named.") : tableBox("Charts and publications, scrolls sideways", el("table", { class: "stacks", "data-testid": "sources-table" }, el("caption", {}, "Charts and publications"),
    el("thead", {}, el("tr", {}, ["Title", "Kind", "Edition", "Corrected to", "Legs", "Consulted", "Remark", ""].map((one) => el("th", { scope: "col" }, one)))),
    el("tbody", {}, sources.rows.map((one) => sourceRow(one, change))))),
  sources.missing_kinds.length > 0 && el("p", { class: "missing", "data-testid": "sources-missing" }, `Asked for and not named: ${sources.missing_kinds.map(kindWords).join(", ")}.`)];
}

/* Checklists */

const setTick = (list, item, members) => edit((inputs) => {
  const before = inputs.checklists || {};
  const tick = said({ ...before[list]?.[item], ...members });
  const { [item]: old, ...others } = before[list] || {};
  const items = tick.state ? { ...others, [item]: tick } : others;
  const { [list]: gone, ...lists } = before;
  const checklists = Object.keys(items).length > 0 ? { ...lists, [list]: items } : lists;
  return setTop({ checklists: Object.keys(checklists).length > 0 ? checklists : undefined })(inputs);
});

const now = () => `${new Date().toISOString().slice(0, 19)}Z`;
const RESULTS = { met: "met", must_explain: "must explain", must_resolve: "must resolve", not_checked: "not checked" };

function computedCell({ computed }) {
  if (!computed) return "by people alone";
  const counts = Object.entries(RESULTS).filter(([result]) => computed[`${result}_count`] > 0).map(([result, words]) => `${computed[`${result}_count`]} ${words}`).join(", ");
  return [el("span", { "data-result": computed.result }, counts || "nothing due"), computed.reason && el("details", {}, el("summary", {}, "why"), el("p", {}, computed.reason))];
}

function itemRow(list, one) {
  const id = `tick-${list}-${one.id}`;
  const text = (member, label) => {
    const input = el("input", { type: "text", id: `${id}-${member}`, "data-testid": `${id}-${member}`, autocomplete: "off", "aria-label": `${one.text}: ${label}`, disabled: !one.state, on: { change: () => setTick(list, one.id, { [member]: input.value.trim() || undefined }) } });
    input.value = one[member] ?? "";
    return input;
  };
  const choice = el("select", { id, "data-testid": id, "aria-label": one.text, on: { change: () => setTick(list, one.id, { state: choice.value || undefined, at_utc: choice.value ? now() : undefined }) } },
    withNone(TICK_STATES).map(([value, words]) => el("option", { value, selected: value === (one.state ?? "") }, words)));
  return el("tr", { "data-testid": `item-${list}-${one.id}`, "data-differs": String(one.differs) },
    el("th", { scope: "row" }, one.text),
    el("td", { "data-label": "Computed" }, computedCell(one)),
    el("td", { "data-label": "Said" }, choice, one.differs && el("span", { class: "field-error" }, "Said to be done; the checks beside it are not met.")),
    el("td", { "data-label": "Who" }, text("who", "who")),
    el("td", { "data-label": "When" }, one.at_utc ? dateText(one.at_utc) : "not said"),
    el("td", { "data-label": "Remark" }, text("remark", "remark")));
}

function checklistPart() {
  const { checklists } = state.plan?.answer || {};
  if (!checklists) return null;
  return Object.entries(LIST_WORDS).map(([list, words]) => el("details", { "data-testid": `checklist-${list}`, open: opened.has(list), on: { toggle: ({ currentTarget }) => { if (currentTarget.open) opened.add(list); else opened.delete(list); } } },
    el("summary", {}, `${words}: ${checklists[list].filter(({ state: said_ }) => said_ === "done" || said_ === "not_applicable").length} of ${checklists[list].length} gone through`),
    tableBox(`${words}, scrolls sideways`, el("table", { class: "stacks leg-fields" }, el("caption", {}, words),
      el("thead", {}, el("tr", {}, ["Item", "Computed", "Said", "Who", "When", "Remark"].map((one) => el("th", { scope: "col" }, one)))),
      el("tbody", {}, checklists[list].map((one) => itemRow(list, one)))))));
}

/** Lists that are open; they stay so when they are drawn anew. */
const opened = new Set();

export function startSources(host) {
  const [table, form, lists] = Array.from({ length: 3 }, () => el("div", {}));
  const change = sourceForm(form);
  replace(host, el("h2", {}, "Sources and checklists"), el("p", { class: "panel-lead" }, "What is not consulted shows, and what the appraisal asks for and nobody named is asked for. Chart cells in use stand here by themselves."),
    el("div", { class: "fields" }, SOURCE_FIELDS.map((one) => field(one, commit))), table, form, el("h3", {}, "Checklists"), lists);
  watch(["plan"], () => { redraw(table, sourceTable(change)); redraw(lists, checklistPart()); });
}
