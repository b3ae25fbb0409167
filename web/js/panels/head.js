/** The head of the page: where one is, what is stored, counts of each grade, checks done, defaults in use. Never a total. */

import { el, replace, show } from "../dom.js";
import { countText } from "../format.js";
import { freshness, FRESHNESS_KEYS, state, watch } from "../state.js";
import { GRADES, gradeCounts, gradeMark, GRADE_WORDS } from "./grades.js";

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
  if (state.place.kind !== "plan") return null;
  if (!state.plan) return el("p", { class: "missing" }, "Nothing computed, nothing checked.");
  const { answer } = state.plan;
  const counts = gradeCounts(answer.findings);
  return el("div", { class: "counts" },
    freshness() === "stale" && el("span", { class: "stale-word", "data-testid": "stale-word" }, "stale"),
    GRADES.map((grade) => gradeLink(grade, counts[grade])), checksLink(answer), defaultsLink(answer));
}

const deskLink = () => el("a", { href: "/", "data-go": true, "data-testid": "to-desk" }, "Desk");

function planName() {
  if (state.place.kind === "desk") return "Desk";
  const { inputs, place, review } = state;
  if (review?.plan) return [deskLink(), " > ", el("a", { href: `/plans/${encodeURIComponent(place.id)}`, "data-go": true }, review.plan.name || "Route without a name"), " > review"];
  return [deskLink(), " > ",
    inputs && place.revision ? [el("a", { href: `/plans/${encodeURIComponent(place.id)}`, "data-go": true }, inputs.route.name || "Route without a name"), ` > r${place.revision}`] : inputs ? `${inputs.route.name || "Route without a name"}, ${countText(inputs.route.waypoints.length, "waypoint")}` : state.openError || review?.error ? "not opened" : "opening"];
}

/** What of the plan is on the server: "Saved 14:02:11Z", or how many edits are not. */
function savedWords() {
  const { draft, elsewhere, save } = state;
  if (!draft) return null;
  if (save.status === "saving") return save.count > 0 ? `Saving, ${countText(save.count, "edit")}` : "Saving";
  if (save.status === "kept") return `${countText(save.count, "edit")} kept here, not saved`;
  if (elsewhere) return "Changed elsewhere since; this is older";
  if (save.status === "conflict") return "Not saved: changed elsewhere first";
  return `Saved ${draft.changed_utc.slice(11, 19)}Z`;
}

export function startHead({ name, demo, draft, saved, status: statusHost }) {
  watch(["place", "inputs", "openError", "review"], () => {
    replace(name, planName());
    show(demo, Boolean(state.inputs?.demonstration || state.review?.plan?.demonstration));
  });
  watch(["draft"], () => show(draft, Boolean(state.draft)));
  watch(["draft", "elsewhere", "save"], () => { replace(saved, savedWords()); saved.dataset.state = state.elsewhere ? "elsewhere" : state.save.status; });
  watch([...FRESHNESS_KEYS, "place"], () => replace(statusHost, status()));
}

/** The banner about a server that does not answer. */
export function startBanner(host, timeText) {
  watch(["unreachableSince", "save"], () => {
    const since = state.unreachableSince;
    const kept = state.save.count > 0 ? `${countText(state.save.count, "edit")} kept in this browser.` : "Edits made now are kept in this browser.";
    replace(host, since && `No answer from the server since ${timeText(since)}. ${kept} Nothing shown counts as fresh.`);
    show(host, Boolean(since));
  });
}
