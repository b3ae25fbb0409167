/** Cases kept for a turn: what was tried, beside the plan, with what the plan says of each. */

import { el } from "../dom.js";
import { removeCase } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { figure, missing } from "../figures.js";
import { metresLeftText, nmInCables, nmText } from "../format.js";
import { state } from "../state.js";
import { windowWords } from "./bounds.js";
import { isAside, offTrack } from "./off_track.js";
import { triedWords } from "./try_fields.js";

/** What the plan on show says of a case; none while it was computed without it. */
function answerOf(one) {
  const { plan } = state;
  const at = plan?.request.cases?.findIndex((kept) => JSON.stringify(kept) === JSON.stringify(one)) ?? -1;
  return at < 0 ? null : plan.answer.cases?.[at] ?? null;
}

/** In words: where she ends, the window, the hull; or why not. */
function outcome(answer) {
  if (!answer) return missing("working");
  if (answer.reason) return missing(answer.reason);
  const { planned, hull, simulated } = answer;
  if (simulated?.status !== "computed") return missing(simulated?.reason || hull?.reason);
  return ["Helm ", figure(nmInCables(planned.distance_nm), "cab", nmText, { unitShown: true }), " before the waypoint: ends ", offTrack(planned), isAside(planned) ? " of the new track; " : " off the new track; ", windowWords(hull?.window, hull?.window_reason || hull?.reason), "; ", hull?.least ? ["hull clear ", figure(hull.least.clearance_m, "m", metresLeftText, { unitShown: true }), ` of ${hull.least.hazard_name || hull.least.hazard_id}`, hull.least.met === false && el("strong", { class: "not-met" }, " NOT MET")] : "no danger near her hull", "."];
}

/** The kept cases of the open turn, or nothing where there is none. */
export function casesPart() {
  const { inputs, turnCard } = state;
  const kept = (inputs.cases || []).map((one, index) => ({ one, index })).filter(({ one }) => one.waypoint_id === turnCard);
  if (kept.length === 0) return null;
  return el("section", { class: "pane", "data-testid": "cases" }, el("h3", {}, "Cases kept for this turn"),
    el("ul", { class: "case-list" }, kept.map(({ one, index }) => el("li", { "data-testid": "case" }, el("strong", {}, one.name), el("span", { class: "sub" }, triedWords(one.tried)), el("p", {}, outcome(answerOf(one))),
      !state.frozen && el("button", { type: "button", "data-testid": "case-remove", "aria-label": `Remove the case ${one.name}`, on: { click: () => edit(removeCase(index)) } }, "Remove")))));
}
