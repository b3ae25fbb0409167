/** Streams: tables by time, or hours about high water; typed line by line. */

import { el, replace } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { readNumber } from "../fields.js";
import { countText, known, numberText } from "../format.js";
import { choiceField, formField, formMessage } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";
import { clockText, readTime, typedTime } from "../times.js";

const button = (testId, words, click) => el("button", { type: "button", "data-testid": testId, on: { click } }, words);
const linesOf = (text) => text.split(/\r?\n/).map((one) => one.trim()).filter(Boolean);
const ROW = /^(.*?\d{2}:\d{2}(?::\d{2})?)\s*(?:Z|UTC)?[\s,;]+(\d+(?:\.\d+)?)[\s,;]+(\d+(?:\.\d+)?)$/i;
const HOUR = /^([+-]?\d)[\s,;]+(\d+(?:\.\d+)?)[\s,;]+(\d+(?:\.\d+)?)(?:[\s,;]+(\d+(?:\.\d+)?))?$/;

/** Reads lines with `one`, which returns nothing for a line that it does not understand. */
function readLines(text, what, one) {
  const lines = linesOf(text);
  const found = lines.map(one);
  const wrong = found.findIndex((row) => !row);
  return wrong < 0 ? { rows: found } : { error: `Line ${wrong + 1} is not ${what}: ${lines[wrong]}` };
}

const readRows = (text) => readLines(text, "a UTC time, set in degrees and drift in knots", (line) => {
  const [, before, set, drift] = ROW.exec(line) || [];
  const { value } = before ? readTime(before) : {};
  return value && Number(set) < 360 && { at_utc: value, set_deg: Number(set), drift_kn: Number(drift) };
});

const readHours = (text) => readLines(text, "an hour from -6 to +6, set in degrees, drift in knots and, where known, that of neaps", (line) => {
  const [, hour, set, drift, neap] = HOUR.exec(line) || [];
  return hour !== undefined && Math.abs(Number(hour)) <= 6 && Number(set) < 360 && { hour: Number(hour), set_deg: Number(set), drift_kn: Number(drift), ...(neap !== undefined && { neap_drift_kn: Number(neap) }) };
});

const readWaters = (text) => readLines(text, "a UTC time", (line) => readTime(line).value);

const rowsText = (rows = []) => rows.map((one) => `${typedTime(one.at_utc)} ${one.set_deg} ${one.drift_kn}`).join("\n");
const hoursText = (hours = []) => hours.map((one) => [one.hour, one.set_deg, one.drift_kn, one.neap_drift_kn].filter(known).join(" ")).join("\n");

const waypointChoices = (first) => [["", first], ...state.inputs.route.waypoints.map(({ id, name }, index) => [id, [`WPT ${numberText(index)}`, name].filter(Boolean).join(", ")])];
const waypointWords = (id) => {
  const index = state.inputs.route.waypoints.findIndex((one) => one.id === id);
  return index < 0 ? id : `WPT ${numberText(index)}`;
};

const setStreams = (change) => edit((inputs) => {
  const streams = change(inputs.conditions?.streams || []);
  const { streams: before, ...rest } = inputs.conditions || {};
  const conditions = { ...rest, ...(streams.length > 0 && { streams }) };
  return setTop({ conditions: Object.keys(conditions).length > 0 ? conditions : undefined })(inputs);
});

function streamFields() {
  const area = (id, label, hint, rows) => formField({ id, label, hint, area: true, attributes: { rows } });
  return {
    station: formField({ id: "stream-station", label: "Station or place" }), source: formField({ id: "stream-source", label: "From which table or atlas" }),
    from: choiceField({ id: "stream-from", label: "Counts from" }), to: choiceField({ id: "stream-to", label: "Counts to" }),
    rows: area("stream-rows", "By time: UTC time, set, drift kn", "2026-11-25 14:00 040 1.5", 4),
    waters: area("stream-waters", "Or high waters, UTC", "a time on each line", 3), hours: area("stream-hours", "with hours about high water: hour, set, drift kn at springs, at neaps", "-1 040 2.4 1.2", 4),
    ratio: formField({ id: "stream-ratio", label: "Range of the tide: 0 neaps, 1 springs", hint: "empty: springs, assumed where neaps are given" }),
  };
}

/** The typed stream, or nothing where a field says what is wrong. */
function readStream({ station, source, from, to, rows, waters, hours, ratio }, message) {
  const [typed, high, about, range] = [readRows(rows.input.value), readWaters(waters.input.value), readHours(hours.input.value), readNumber(ratio.text(), "ratio")];
  [[station, station.text() ? null : "A station is needed."], [rows, typed.error], [waters, high.error], [hours, about.error], [ratio, range.error]].forEach(([one, error]) => one.say(error));
  if (!station.text() || typed.error || high.error || about.error || range.error) return null;
  const tidal = high.rows.length > 0 || about.rows.length > 0;
  const wrong = typed.rows.length > 0 === tidal || (tidal && (high.rows.length === 0 || about.rows.length === 0));
  message.say(wrong ? "Give either streams by time, or high waters with the hours about them." : null);
  if (wrong) return null;
  const optional = { from_id: from.text(), to_id: to.text(), source: source.text() };
  return { station: station.text(), ...Object.fromEntries(Object.entries(optional).filter(([, value]) => value)), ...(tidal ? { high_waters_utc: high.rows, hours: about.rows, ...(known(range.value) && { range_ratio: range.value }) } : { rows: typed.rows }) };
}

function streamForm(host) {
  const fields = streamFields();
  const message = formMessage("stream-refused");
  let changing = null;
  const clear = () => { changing = null; Object.values(fields).forEach((one) => { one.input.value = ""; one.say?.(null); }); act.textContent = "Add this stream"; };
  const keep = (event) => {
    event.preventDefault();
    const one = readStream(fields, message);
    if (!one) return;
    const at = changing;
    setStreams((streams) => (at === null ? [...streams, one] : streams.map((stream, i) => (i === at ? one : stream))));
    clear();
  };
  const act = el("button", { type: "submit", "data-testid": "stream-take" }, "Add this stream");
  replace(host, el("form", { class: "strip-form", novalidate: true, "data-testid": "stream-form", on: { submit: keep } },
    el("div", { class: "fields" }, Object.values(fields).map(({ node }) => node)), message.node, el("div", { class: "actions" }, act)));
  watch(["inputs"], () => { if (state.inputs) { fields.from.fill(waypointChoices("the first waypoint")); fields.to.fill(waypointChoices("the last waypoint")); } });
  watch(["fieldErrors"], () => { message.say([...state.fieldErrors].filter(([pointer]) => pointer.startsWith("/conditions/streams")).map(([pointer, words]) => `Stream ${Number(pointer.split("/")[3] ?? 0) + 1}: ${words}`).join(" ") || null); });
  return (index) => {
    const one = state.inputs.conditions.streams[index];
    changing = index;
    const values = { station: one.station, source: one.source ?? "", from: one.from_id ?? "", to: one.to_id ?? "", rows: rowsText(one.rows), waters: (one.high_waters_utc || []).map(typedTime).join("\n"), hours: hoursText(one.hours), ratio: String(one.range_ratio ?? "") };
    Object.entries(values).forEach(([name, value]) => { fields[name].input.value = value; });
    act.textContent = "Put the changed stream in its place";
    fields.station.input.focus();
  };
}

function streamLine(one, index, change) {
  const what = one.rows ? `${countText(one.rows.length, "time")}, ${clockText(one.rows[0].at_utc)} to ${clockText(one.rows.at(-1).at_utc)}` : `${countText(one.hours.length, "hour")} about ${countText(one.high_waters_utc.length, "high water")}${known(one.range_ratio) ? `, range ${one.range_ratio}` : ""}`;
  return el("li", { class: "loaded", "data-testid": `stream-${index}` },
    el("span", {}, el("strong", {}, one.station), `, ${what}, from ${one.from_id ? waypointWords(one.from_id) : "the first waypoint"} to ${one.to_id ? waypointWords(one.to_id) : "the last"}`),
    button(`stream-change-${index}`, "Change it", () => change(index)), button(`stream-drop-${index}`, "Take this stream away", () => setStreams((streams) => streams.filter((_, i) => i !== index))));
}

export function startStreams(host) {
  const [list, form] = [el("div", {}), el("div", {})];
  const change = streamForm(form);
  replace(host, el("h3", {}, "Streams"), el("p", { class: "field-hint" }, "On the legs that it covers a stream goes before the current of the plan; a leg's own current goes before it. Outside its times nothing is known, and the plan says so."), list, form);
  watch(["inputs"], () => {
    const streams = state.inputs?.conditions?.streams || [];
    redraw(list, streams.length > 0 ? el("ul", { class: "plain-list" }, streams.map((one, index) => streamLine(one, index, change))) : el("p", { class: "missing" }, "No table of streams."));
  });
}
