/** The head of the page: plan name, counts of each grade, checks done, defaults in use, files to save. Never a total. */

import { el, replace, saveText, show } from "../dom.js";
import { countText, fileStem } from "../format.js";
import { freshness, state, watch } from "../state.js";
import { GRADES, gradeCounts, gradeMark, GRADE_WORDS } from "./grades.js";

/** Saves the layers as they came. */
function exportGeoJson() {
  const { answer } = state.plan;
  saveText(`${fileStem(answer.name)}.geojson`, JSON.stringify(answer.layers), "application/geo+json");
}

/** Saves the whole answer, byte for byte. */
function exportAnswer() {
  saveText(`${fileStem(state.plan.answer.name)}.plan.json`, state.plan.text, "application/json");
}

function gradeLink(grade, count) {
  return el("a", { href: "#findings", class: `count grade-${grade}`, "data-testid": `count-${grade}` },
    gradeMark(grade), el("strong", { "data-value": count, "data-unit": GRADE_WORDS[grade] }, String(count)), ` ${GRADE_WORDS[grade]}`);
}

function checksLink({ checks }) {
  return el("a", { href: "#checks", class: "count", "data-testid": "checks-done", "data-done": checks.done_count, "data-expected": checks.expected_count },
    el("strong", {}, `${checks.done_count} of ${checks.expected_count}`), " checks done");
}

function defaultsLink({ basis }) {
  const count = basis.filter((row) => row.source === "default").length;
  return el("a", { href: "#basis", class: "count", "data-testid": "defaults-used", "data-count": count },
    el("strong", {}, String(count)), count === 1 ? " DEFAULT in use" : " DEFAULTS in use");
}

function status() {
  if (!state.plan) return el("p", { class: "missing" }, "Nothing computed, nothing checked.");
  const { answer } = state.plan;
  const counts = gradeCounts(answer.findings);
  return [
    el("div", { class: "counts" },
      freshness() === "stale" && el("span", { class: "stale-word", "data-testid": "stale-word" }, "stale"),
      GRADES.map((grade) => gradeLink(grade, counts[grade])), checksLink(answer), defaultsLink(answer)),
    el("div", { class: "actions" },
      saveButton("export-geojson", exportGeoJson, "Export GeoJSON"),
      saveButton("export-json", exportAnswer, "This as JSON")),
  ];
}

/** A plan that is no longer that of the inputs is not saved: the file would not say so. */
function saveButton(testId, save, words) {
  const stale = freshness() !== "fresh";
  return el("button", { type: "button", "data-testid": testId, disabled: stale, title: stale ? "Compute the plan first: inputs changed since" : null, on: { click: save } }, words);
}

function planName() {
  if (state.plan) {
    const { answer, request } = state.plan;
    return `${answer.name || "Route without a name"}, ${countText(request.route.waypoints.length, "waypoint")}`;
  }
  return state.route ? `${state.route.name || "Route without a name"}, no plan yet` : "No plan yet";
}

export function startHead({ name, demo, status: statusHost }) {
  watch(["plan", "route", "inputs"], () => {
    replace(name, planName());
    show(demo, state.inputs.demonstration || Boolean(state.plan?.answer.demonstration));
  });
  watch(["plan", "dirty", "job", "unreachableSince"], () => replace(statusHost, status()));
}

/** The banner about a server that does not answer. */
export function startBanner(host, timeText) {
  watch(["unreachableSince"], () => {
    const since = state.unreachableSince;
    replace(host, since && `No answer from the server since ${timeText(since)}. Inputs are kept here; nothing shown counts as fresh.`);
    show(host, Boolean(since));
  });
}
