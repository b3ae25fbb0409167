/** The review: which two are compared, every change as a sentence with both values, and the Plot of both. */

import { go, reviewAddress } from "../address.js";
import { el, replace, show } from "../dom.js";
import { countText } from "../format.js";
import { newestOf } from "../record/words.js";
import { changesByKind, openReview } from "../review/open.js";
import { KINDS, sideName, sideOptions, sizeWords, unchangedWords } from "../review/words.js";
import { set, state, watch } from "../state.js";
import { commentButton } from "../threads/comment_button.js";
import { problemBox } from "./problem.js";

const MOST_PER_KIND = 200;

/** The words "was" and "now" stand out; the values are told by them and not by the colour. */
function sentence(text) {
  return text.split(/\b(was|now)\b/).map((part) => (part === "was" || part === "now" ? el("span", { class: `word-${part}` }, part) : part));
}

const rowId = (change) => `change-${encodeURIComponent(change.id)}`;
const rows = () => [...document.querySelectorAll("#review [data-change-id]")];

/** Goes to a change of the list. */
export function goToChange(id) {
  set({ change: id });
  document.querySelector(`#review [data-change-id="${CSS.escape(id)}"]`)?.focus({ preventScroll: true });
}

/** One change on or back from the one looked at. */
export function stepChange(by) {
  const all = rows();
  const at = all.findIndex((row) => row.dataset.changeId === state.change);
  const next = all[at < 0 ? (by > 0 ? 0 : all.length - 1) : Math.min(Math.max(at + by, 0), all.length - 1)];
  if (next) goToChange(next.dataset.changeId);
}

const ANCHORS = { waypoint: "waypoint", leg: "leg", turn: "turn", finding: "finding", danger: "hazard", basis: "input" };

/** A comment is about what a change is of; of something that is gone now there is nothing left to hang it on. */
function commentOn({ kind, subject, was, now, sentence: words }) {
  const gone = now === null && was !== null && / removed\b/.test(words);
  return ANCHORS[kind] && subject.id && !gone && commentButton(ANCHORS[kind], subject.id, words.split(/[:,(]/)[0].slice(0, 60).trim());
}

function changeRow(change, index) {
  return el("li", { class: "change", id: rowId(change), "data-testid": "change", "data-change-id": change.id, "data-kind": change.kind, tabindex: index === 0 ? "0" : "-1", on: { click: (event) => { if (!event.target.closest("button, a, summary, details")) set({ change: change.id }); } } },
    el("span", {}, sentence(change.sentence), "."),
    commentOn(change),
    change.followers.length > 0 && el("details", {}, el("summary", {}, `${countText(change.followers.length, "change")} that ${change.followers.length === 1 ? "follows" : "follow"} from it`),
      el("ul", {}, change.followers.map((one) => el("li", {}, sentence(one.sentence), ".")))));
}

function groupPart({ kind, changes }, from) {
  return el("section", { "data-testid": `changes-${kind}` }, el("h3", {}, `${KINDS[kind]}, ${countText(changes.length, "change")}`),
    el("ul", { class: "change-list" }, changes.slice(0, MOST_PER_KIND).map((one, i) => changeRow(one, from + i))),
    changes.length > MOST_PER_KIND && el("p", { class: "gap-line" }, `${changes.length - MOST_PER_KIND} more are not listed here; the JSON has them.`));
}

function listPart(answer) {
  const groups = changesByKind(answer, Object.keys(KINDS));
  const same = unchangedWords(answer.unchanged);
  let from = 0;
  return [
    groups.length === 0 && el("p", { "data-testid": "no-changes" }, `Nothing differs between ${sideName(answer.was.number)} and ${sideName(answer.now.number)}.`),
    groups.map((group) => { const part = groupPart(group, from); from += group.changes.length; return part; }),
    el("details", { class: "unchanged", "data-testid": "unchanged" }, el("summary", {}, `${countText(same.count, "unchanged row")} folded`), el("p", {}, same.words ? `The same in both: ${same.words}.` : "No row is the same in both.")),
  ];
}

/** The two selects; choosing goes to the address of what is chosen. */
function sidesPart() {
  const { place: { id, was, now }, review: { plan } } = state;
  const choose = () => go(reviewAddress(id, pick.was.value, pick.now.value));
  const select = (name, options, value) => {
    const input = el("select", { id: `review-${name}`, "data-testid": `review-${name}`, on: { change: choose } }, options.map(([one, words]) => el("option", { value: one }, words)));
    input.value = String(value);
    return input;
  };
  const pick = { was: select("was", sideOptions(plan, false), was), now: select("now", sideOptions(plan, true), now) };
  return el("div", { class: "review-sides" },
    el("label", { for: "review-was" }, el("span", { class: "word-was" }, "was")), pick.was, el("label", { for: "review-now" }, el("span", { class: "word-now" }, "now")), pick.now);
}

function stepsPart() {
  return el("div", { class: "review-steps" },
    el("span", { "data-testid": "change-at", "aria-live": "polite" }),
    el("button", { type: "button", "data-testid": "change-prev", "aria-keyshortcuts": "[", on: { click: () => stepChange(-1) } }, "Previous change"),
    el("button", { type: "button", "data-testid": "change-next", "aria-keyshortcuts": "]", on: { click: () => stepChange(1) } }, "Next change"));
}

function headPart({ plan, answer, sizeBytes }) {
  return [el("h2", { id: "review-title", tabindex: "-1" }, "Review"),
    newestOf(plan) > 0 && sidesPart(), answer && stepsPart(),
    answer && el("span", { class: "gap-line" }, answer.same_inputs ? "Same inputs. " : "", sizeWords(sizeBytes), ". ", el("a", { href: `/api/v1/plans/${encodeURIComponent(state.place.id)}/differences?was=${state.place.was}&now=${state.place.now}`, "data-testid": "review-json" }, "This as JSON"))];
}

function body({ status, plan, answer, error }) {
  if (status === "failed") return problemBox("The two were not compared", error, () => openReview(state.place));
  if (status === "working") return el("p", { role: "status" }, plan ? "Working: comparing the two." : "Working: opening the plan.");
  if (!answer) return el("p", { "data-testid": "review-none" }, "No revision is frozen yet, so there is nothing to compare. Offer the draft first.");
  return listPart(answer);
}

function markChange(host) {
  const all = rows();
  const at = all.findIndex((row) => row.dataset.changeId === state.change);
  all.forEach((row, i) => {
    row.classList.toggle("is-selected", i === at);
    row.tabIndex = i === Math.max(at, 0) ? 0 : -1;
    if (i === at) { row.setAttribute("aria-current", "true"); row.scrollIntoView({ block: "nearest" }); } else row.removeAttribute("aria-current");
  });
  const counter = host.querySelector("[data-testid='change-at']");
  if (counter) replace(counter, at < 0 ? countText(all.length, "change") : `change ${at + 1} of ${all.length}`);
}

function startStepKeys(host) {
  host.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest("input, textarea, select")) return;
    const onRow = event.target.matches("[data-change-id]");
    const act = { "]": () => stepChange(1), "[": () => stepChange(-1), ...(onRow && { ArrowDown: () => stepChange(1), ArrowUp: () => stepChange(-1) }) }[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });
}

/** The Plot is an extra: where it cannot be loaded, the list stands alone and says so. */
async function startPlot(host, tools, foot) {
  try {
    (await import("../map/review_plot.js")).startReviewPlot({ host, tools, foot }, goToChange);
  } catch (error) {
    replace(foot, `The Plot could not be started (${error.message}). The list of changes is complete without it.`);
  }
}

function makeFrame(host) {
  const [head, list, tools, foot, plot] = [el("div", { class: "review-head" }), el("div", { class: "review-list", "data-testid": "review-list" }), el("div", { class: "plot-tools" }), el("p", { class: "plot-foot" }), el("div", { class: "plot", id: "review-plot", "data-testid": "review-plot" })];
  replace(host, head, el("div", { class: "review-grid" },
    el("div", { class: "review-plot" }, el("div", { class: "plot-head" }, el("h3", {}, "Plot of both. Not a chart."), tools), el("div", { class: "plot-frame" }, plot), foot), list));
  startPlot(plot, tools, foot);
  return { head, list };
}

export function startReview(host) {
  const { head, list } = makeFrame(host);
  let held = null;
  let arrived = false; // the page being loaded: the focus stays at its top
  watch(["review"], () => {
    const { review, place } = state;
    if (place.kind !== "review") arrived ||= Boolean(state.draft || state.frozen || state.desk.status === "done");
    show(host, Boolean(review));
    if (host.contains(document.activeElement)) held = document.activeElement.id;
    replace(head, review && (review.plan ? headPart(review) : el("h2", { id: "review-title", tabindex: "-1" }, "Review")));
    replace(list, review && body(review));
    if (review?.status !== "ready") return;
    markChange(host);
    if (arrived && document.activeElement === document.body) (host.querySelector(`#${CSS.escape(held || "review-title")}`) ?? host.querySelector("#review-title")).focus({ preventScroll: true });
    held = null;
    arrived = true;
  });
  watch(["change"], () => { if (state.review?.answer) markChange(host); });
  startStepKeys(host);
}
