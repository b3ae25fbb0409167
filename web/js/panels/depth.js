/** Depth and tide: what is required, the water, charted depths read by the officer, tables of tides, draughts along the passage. */

import { el, replace, show } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { DEPTH_FIELDS, readNumber } from "../fields.js";
import { countText, known, numberText } from "../format.js";
import { formField, choiceField, formMessage } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";
import { readTime } from "../times.js";
import { departureField } from "./departure.js";
import { field } from "./form.js";
import { constituentsText, harmonicsLine, readHarmonics } from "./harmonics.js";
import { legTable } from "./leg_table.js";
import { commit } from "./limits.js";

const ZONES = [["", "not said"], ...["A1", "A2", "B", "C", "D", "U"].map((one) => [one, one])];

const LEG_COLUMNS = [
  { member: "charted_depth_m", label: "Least charted depth", unit: "m" },
  { member: "catzoc", label: "Zone of confidence", options: ZONES },
  { member: "channel_width_m", label: "Width of the channel", unit: "m" },
];

const button = (testId, words, click) => el("button", { type: "button", "data-testid": testId, on: { click } }, words);

const waypointChoices = (first) => [["", first], ...state.inputs.route.waypoints.map(({ id, name }, index) => [id, [`WPT ${numberText(index)}`, name].filter(Boolean).join(", ")])];
const waypointWords = (id) => {
  const index = state.inputs.route.waypoints.findIndex((one) => one.id === id);
  return index < 0 ? id : `WPT ${numberText(index)}`;
};

const LINE = /^(.*\d)[\s,;]+([+-]?\d+(?:\.\d+)?)\s*m?$/i;

/** "2026-11-25 14:02  1.3" line by line: {heights} or {error} that names the line. */
function readHeights(text) {
  const lines = text.split(/\r?\n/).map((one) => one.trim()).filter(Boolean);
  const heights = [];
  for (const [index, line] of lines.entries()) {
    const [, before, height] = LINE.exec(line.replace(/(Z|UTC)(?=[\s,;])/i, " ")) || [];
    const { value } = before ? readTime(before) : {};
    if (!value) return { error: `Line ${index + 1} is not a UTC time and a height in metres: ${line}` };
    heights.push({ at_utc: value, height_m: Number(height) });
  }
  return heights.length < 2 ? { error: "Two heights are needed at least." } : { heights };
}

const heightsText = (heights) => heights.map(({ at_utc, height_m }) => `${at_utc.slice(0, 16).replace("T", " ")} ${height_m}`).join("\n");

/* Tables of tides */

const setTides = (change) => edit((inputs) => {
  const tides = change(inputs.conditions?.tides || []);
  const { tides: before, ...rest } = inputs.conditions || {};
  const conditions = { ...rest, ...(tides.length > 0 && { tides }) };
  return setTop({ conditions: Object.keys(conditions).length > 0 ? conditions : undefined })(inputs);
});

function tideForm(host) {
  const station = formField({ id: "tide-station", label: "Station" });
  const from = choiceField({ id: "tide-from", label: "Counts from" });
  const to = choiceField({ id: "tide-to", label: "Counts to" });
  const between = choiceField({ id: "tide-between", label: "Between two heights" });
  const margin = formField({ id: "tide-margin", label: "She may be early or late by s", hint: "empty: on time" });
  const heights = formField({ id: "tide-heights", label: "Heights: a line for each, UTC time and metres above chart datum", area: true, attributes: { rows: 5 } });
  const given = choiceField({ id: "tide-given", label: "The tide is given by" });
  const constituents = formField({ id: "tide-constituents", label: "Constituents: a line for each, name, amplitude m and Greenwich phase deg", area: true, hint: "like M2 1.52 141.3", attributes: { rows: 5 } });
  const mean = formField({ id: "tide-mean", label: "Mean level above chart datum m" });
  const latitude = formField({ id: "tide-latitude", label: "Latitude of the station deg", hint: "south negative" });
  const message = formMessage("tide-refused");
  given.fill([["heights", "heights at times"], ["harmonics", "harmonic constants"]]);
  const dress = () => {
    const byConstants = given.text() === "harmonics";
    [heights, between].forEach((one) => show(one.node, !byConstants));
    [constituents, mean, latitude].forEach((one) => show(one.node, byConstants));
  };
  given.input.addEventListener("change", dress);
  dress();
  /** The heights or the constants of the tide: members of it, or null where something is refused. */
  const readTide = () => {
    if (given.text() === "heights") {
      const table = readHeights(heights.input.value);
      heights.say(table.error);
      return table.error ? null : { heights: table.heights, between: between.text() };
    }
    const { harmonics, errors } = readHarmonics(constituents.input.value, mean.text(), latitude.text());
    [[constituents, errors?.rows], [mean, errors?.mean], [latitude, errors?.lat]].forEach(([one, words]) => one.say(words));
    return harmonics ? { harmonics } : null;
  };
  between.fill([["cosine", "half a cosine, as between high and low water"], ["linear", "a straight line"]]);
  let changing = null;
  const keepTable = (event) => {
    event.preventDefault();
    const [tide, late] = [readTide(), readNumber(margin.text(), "s")];
    station.say(station.text() ? null : "A station is needed.");
    margin.say(late.error);
    if (!station.text() || !tide || late.error) return;
    const one = { station: station.text(), ...tide, ...(from.text() && { from_id: from.text() }), ...(to.text() && { to_id: to.text() }), ...(known(late.value) && { margin_s: late.value }) };
    const at = changing;
    setTides((tides) => (at === null ? [...tides, one] : tides.map((table, i) => (i === at ? one : table))));
    clear();
  };
  const clear = () => { changing = null; [station, margin, heights, constituents, mean, latitude].forEach((one) => { one.input.value = ""; one.say(null); }); act.textContent = "Add this table"; };
  const act = el("button", { type: "submit", "data-testid": "tide-take" }, "Add this table");
  replace(host, el("form", { class: "strip-form", novalidate: true, "data-testid": "tide-form", on: { submit: keepTable } },
    el("div", { class: "fields" }, station.node, from.node, to.node, margin.node, given.node, between.node, heights.node, constituents.node, mean.node, latitude.node), message.node, el("div", { class: "actions" }, act)));
  watch(["inputs"], () => { if (state.inputs) { from.fill(waypointChoices("the first waypoint")); to.fill(waypointChoices("the last waypoint")); } });
  watch(["fieldErrors"], () => { message.say([...state.fieldErrors].filter(([pointer]) => pointer.startsWith("/conditions/tides")).map(([pointer, words]) => `Table ${Number(pointer.split("/")[3] ?? 0) + 1}: ${words}`).join(" ") || null); });
  return (index) => {
    const one = state.inputs.conditions.tides[index];
    changing = index;
    station.input.value = one.station;
    given.input.value = one.harmonics ? "harmonics" : "heights";
    heights.input.value = one.heights ? heightsText(one.heights) : "";
    constituents.input.value = one.harmonics ? constituentsText(one.harmonics.constituents) : "";
    [[mean, one.harmonics?.mean_level_m], [latitude, one.harmonics?.lat_deg]].forEach(([field_, value]) => { field_.input.value = value ?? ""; });
    dress();
    margin.input.value = one.margin_s ? String(one.margin_s) : "";
    [[from, one.from_id], [to, one.to_id], [between, one.between]].forEach(([choice, value]) => { choice.input.value = value ?? (choice === between ? "cosine" : ""); });
    act.textContent = "Put the changed table in its place";
    station.input.focus();
  };
}

/** What a tide is given by, in one line. */
function tideWords({ heights, harmonics }) {
  if (harmonics) return harmonicsLine(harmonics);
  const [first, last] = [heights[0], heights.at(-1)].map(({ at_utc: at }) => at.slice(0, 16).replace("T", " "));
  return `${countText(heights.length, "height")}, ${first}Z to ${last}Z`;
}

function tideLine(one, index, change) {
  return el("li", { class: "loaded", "data-testid": `tide-${index}` },
    el("span", {}, el("strong", {}, one.station), `, ${tideWords(one)}, from ${one.from_id ? waypointWords(one.from_id) : "the first waypoint"} to ${one.to_id ? waypointWords(one.to_id) : "the last"}`),
    button(`tide-change-${index}`, "Change it", () => change(index)),
    button(`tide-drop-${index}`, "Take this table away", () => setTides((tides) => tides.filter((_, i) => i !== index))));
}

function tidePart(change) {
  const tides = state.inputs?.conditions?.tides || [];
  return tides.length === 0 ? el("p", { class: "missing" }, "No table of tides: one height counts for the whole passage, and without it none.") : el("ul", { class: "plain-list" }, tides.map((one, index) => tideLine(one, index, change)));
}

/* Draughts along the passage */

const setDraughts = (change) => edit((inputs) => {
  const draughts = change(inputs.draughts || []);
  return setTop({ draughts: draughts.length > 0 ? draughts : undefined })(inputs);
});

function draughtForm(host) {
  const from = choiceField({ id: "draught-from", label: "From" });
  const number = (id, label, unit) => ({ unit, ...formField({ id, label: `${label} ${unit}` }) });
  const parts = { draught_fore_m: number("draught-fore", "Draught fore", "m"), draught_aft_m: number("draught-aft", "Draught aft", "m"), draught_midships_m: number("draught-mid", "Draught midships", "m"), water_density_kg_per_m3: number("draught-density", "Density of the water", "kg/m\u00b3") };
  const reason = formField({ id: "draught-reason", label: "Reason" });
  const message = formMessage("draught-refused");
  const take = (event) => {
    event.preventDefault();
    const given = {};
    let wrong = false;
    for (const [member, one] of Object.entries(parts)) {
      const { value, error } = readNumber(one.text(), one.unit);
      one.say(error);
      wrong ||= Boolean(error);
      if (value !== undefined) given[member] = value;
    }
    reason.say(reason.text() ? null : "A reason is needed.");
    from.say(from.text() ? null : "A waypoint is needed.");
    if (wrong || !reason.text() || !from.text()) return;
    if (Object.keys(given).length === 0) { message.say("Give draughts, or the density of the water, or both."); return; }
    message.say(null);
    setDraughts((draughts) => [...draughts.filter((one) => one.from_id !== from.text()), { from_id: from.text(), reason: reason.text(), ...given }]);
    [...Object.values(parts), reason].forEach((one) => { one.input.value = ""; });
  };
  replace(host, el("form", { class: "strip-form", novalidate: true, "data-testid": "draught-form", on: { submit: take } },
    el("div", { class: "fields" }, from.node, Object.values(parts).map(({ node }) => node), reason.node), message.node,
    el("div", { class: "actions" }, el("button", { type: "submit", "data-testid": "draught-take" }, "Add this change of draught"))));
  watch(["inputs"], () => { if (state.inputs) from.fill(waypointChoices("choose a waypoint")); });
  watch(["fieldErrors"], () => { const words = [...state.fieldErrors].filter(([pointer]) => pointer.startsWith("/draughts")).map(([, text]) => text).join(" "); if (words) message.say(words); });
}

function draughtPart() {
  const draughts = state.inputs?.draughts || [];
  const numbers = (one) => [known(one.draught_fore_m) && `fore ${one.draught_fore_m} m`, known(one.draught_midships_m) && `midships ${one.draught_midships_m} m`, known(one.draught_aft_m) && `aft ${one.draught_aft_m} m`, known(one.draught_density_kg_per_m3) && `read in water of ${one.draught_density_kg_per_m3} kg/m\u00b3`, known(one.water_density_kg_per_m3) && `water ${one.water_density_kg_per_m3} kg/m\u00b3`].filter(Boolean).join(", ");
  return draughts.length > 0 && el("ul", { class: "plain-list" }, draughts.map((one, index) => el("li", { class: "loaded", "data-testid": `draught-${index}` },
    el("span", {}, el("strong", {}, `from ${waypointWords(one.from_id)}`), `: ${numbers(one)}. ${one.reason}`), button(`draught-drop-${index}`, "Take this change away", () => setDraughts((all) => all.filter((_, i) => i !== index))))));
}

export function startDepth(host) {
  const [legs, tides, tideHost, draughts, draughtHost] = Array.from({ length: 5 }, () => el("div", {}));
  const change = tideForm(tideHost);
  draughtForm(draughtHost);
  replace(host, el("h2", {}, "Depth and tide"), el("p", { class: "panel-lead" }, "Nothing here is assumed without being said: a sum that lacks a term reads not checked, and each term names its source."),
    el("div", { class: "fields" }, DEPTH_FIELDS.map((one) => field(one, commit)), departureField("departure", "like 2026-11-25 14:02; tables of tides count by it")), legs,
    el("h3", {}, "Tables of tides"), tides, tideHost, el("h3", {}, "Draughts along the passage"), draughts, draughtHost);
  watch(["inputs", "fieldErrors"], () => { if (state.inputs) redraw(legs, legTable("Charted depth as the officer reads it", "leg-depths", LEG_COLUMNS)); });
  watch(["inputs"], () => { redraw(tides, tidePart(change)); redraw(draughts, draughtPart()); });
}
