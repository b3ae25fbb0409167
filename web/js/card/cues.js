/** The cues of the wheel-over: ranked, two of them in use, set to what can be read, and the warnings before it. */

import { el, tableBox } from "../dom.js";
import { setPart } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { figure, position } from "../figures.js";
import { courseText, dateText, decimals, known, nmText, oneDecimal, sideText } from "../format.js";
import { CUE_KINDS, SEEN } from "../marks/words.js";
import { state } from "../state.js";

const metres = (value) => (known(value) ? figure(value, "m", (one) => decimals(one, 0)) : "none");
const nm = (value) => (known(value) ? figure(value, "NM", nmText) : "not known");

/** What the turn does when the helm comes at a set value. */
function runWords(set) {
  return [figure(set.later_m, "m", (value) => oneDecimal(Math.abs(value)), { unitShown: true }), set.later_m < 0 ? " earlier" : " later", known(set.off_track_m) ? [", then she ends ", figure(set.off_track_m, "m", (value) => oneDecimal(Math.abs(value)), { unitShown: true }), ` to ${sideText(set.off_track_m < 0 ? "port" : "starboard")} of the new track`] : ", not simulated",
    set.inside_window === null ? ", no window known" : set.inside_window ? ", inside the window" : ", outside the window"];
}

function setWords({ kind, set_to: set, mark_name: name }) {
  if (kind === "bearing") return [`${name} bears `, figure(set.bearing_deg, "deg T", (value) => decimals(value, 1)), " T: "];
  const far = figure(set.distance_nm, "NM", nmText, { unitShown: true });
  return kind === "range" ? [`${name} at a range of `, far, ": "] : [`index line parallel to the new course, ${name} `, far, ` to ${sideText(set.side)} of it: `];
}

/** Who chose a cue, and the button that leaves it to the rank again. */
function usedLine(cues, order, id) {
  const number = cues[order];
  if (!known(number)) return el("li", { "data-testid": `cue-${order}` }, el("strong", {}, order === "first" ? "First cue" : "Second cue"), ": ", el("span", { class: "missing" }, "none"));
  const cue = cues.rows[number];
  return el("li", { "data-testid": `cue-${order}`, "data-cue": cue.id }, el("strong", {}, order === "first" ? "First cue" : "Second cue"), ` (${cues[`${order}_source`] === "you" ? "chosen" : "by rank, not chosen"}): `, setWords(cue), runWords(cue.set_to), ".",
    order === "first" && cues.first_source === "you" && !state.frozen && [" ", el("button", { type: "button", "data-testid": "cue-clear", on: { click: () => edit(setPart(id, "turn", { cue_ids: undefined })) } }, "Leave both to the rank")]);
}

/** Chooses a row as the first or the second cue; the other one in use stays. */
function choose(cues, id, order, cueId) {
  const inUse = (one) => (known(cues[one]) ? cues.rows[cues[one]].id : null);
  const [first, second] = order === "first" ? [cueId, inUse("second")] : [inUse("first"), cueId];
  const ids = [first ?? cueId, second].filter(Boolean);
  edit(setPart(id, "turn", { cue_ids: [...new Set(ids)] }));
}

function chooser(cues, id, index, cue) {
  if (state.frozen) return index === cues.first ? "first" : index === cues.second ? "second" : "";
  return ["first", "second"].map((order) => el("button", {
    type: "button", "data-testid": `cue-${order}-${index}`, "aria-pressed": String(cues[order] === index), disabled: cues[order] === index && cues[`${order}_source`] === "you",
    on: { click: () => choose(cues, id, order, cue.id) },
  }, order === "first" ? "First" : "Second"));
}

const sight = (name, { seen, why }) => `${name}: ${SEEN[seen]}, ${why}`;

function ranges(cue) {
  const said = [["geographical", cue.geographical_range_nm], ["luminous", cue.luminous_range_nm], ["nominal", cue.nominal_range_nm], ["radar", cue.radar_range_nm]].filter(([, value]) => known(value));
  const light = [cue.light_character, cue.in_sector === false && "not in its sector"].filter(Boolean).join(", ");
  return [said.length === 0 ? "not known" : said.map(([name, value], at) => [at > 0 && ", ", `${name} `, figure(value, "NM", oneDecimal)]), light && `; light ${light}`];
}

const HEADS = ["Cue", "Use as", "Bearing deg T", "Range NM", "Crosses at deg", "Changes deg/min", "Closes kn", "WOP error m, half degree", "WOP error m, 0.01 NM", "WOP error m, radar", "Seen"];

/** What stands behind the figures of a cue: over the whole width, opened where it is wanted. */
function behind(cue, index) {
  return el("tr", { class: "cue-behind" }, el("td", { colspan: HEADS.length }, el("details", { "data-testid": `cue-why-${index}`, open: index === 0 }, el("summary", {}, `Why it stands ${index === 0 ? "first" : `in place ${index + 1}`}, and how far it is seen`),
    el("p", {}, cue.reasons.join("; "), "."), el("p", {}, [["day", cue.by_day], ["night", cue.by_night], ["radar", cue.by_radar]].map(([name, one]) => sight(name, one)).join("; "), "."),
    el("p", {}, "Ranges NM: ", ranges(cue), ". Range scale ", figure(cue.radar_scale_nm, "NM", (value) => String(value), { unitShown: true }), cue.radar_scale_given ? "." : " (default).",
      " For each metre beside the old track she ends ", figure(cue.off_line_ratio, "ratio", nmText), " m beside the new one."))));
}

function row(cues, id, cue, index) {
  const cell = (at, ...content) => el("td", { "data-label": HEADS[at] }, content);
  const when = cue.seen === "yes" ? `by ${cue.means}` : SEEN[cue.seen];
  return [el("tr", { "data-testid": `cue-row-${index}`, "data-cue": cue.id, "data-seen": cue.seen },
    el("th", { scope: "row", "data-label": "Cue" }, `${CUE_KINDS[cue.kind]} of ${cue.mark_name}`, cue.floating && ", floats"), el("td", { "data-label": HEADS[1] }, chooser(cues, id, index, cue)),
    cell(2, figure(cue.bearing_deg, "deg T", courseText)), cell(3, figure(cue.range_nm, "NM", nmText), cue.kind === "index" && [", off the line ", figure(cue.index_nm, "NM", nmText)]),
    cell(4, figure(cue.crossing_deg, "deg", (value) => decimals(value, 0))), cell(5, figure(cue.bearing_rate_deg_per_min, "deg/min", oneDecimal, { reason: "no speed" })), cell(6, figure(cue.range_rate_kn, "kn", (value) => oneDecimal(-value), { reason: "no speed" })),
    cell(7, metres(cue.error_half_degree_m)), cell(8, metres(cue.error_hundredth_nm_m)), cell(9, metres(cue.error_radar_m)), cell(10, when)), behind(cue, index)];
}

function setLine(set) {
  return set && el("p", { "data-testid": "wheel-over-set" }, "By distance to go to the waypoint, set to ", figure(set.distance_to_go_nm, "NM", nmText, { unitShown: true }), ": ", runWords(set), ".");
}

function warning(one, index) {
  const before = known(one.before_s) ? [figure(one.before_s, "s", (value) => decimals(value, 0), { unitShown: true })] : [figure(one.before_nm, "NM", nmText, { unitShown: true })];
  return el("li", { "data-testid": `warning-${index}` }, before, one.source === "default" ? " before (default): " : " before: ",
    one.position ? [position(one.position), ", ", figure(one.distance_nm, "NM", nmText, { unitShown: true }), one.on === "turn" && ", in the turn before", one.at_utc && `, ${dateText(one.at_utc)}`] : el("span", { class: "missing" }, one.reason));
}

export function cuesPart(turn) {
  const { cues } = turn;
  const title = el("h3", {}, "Cues for the wheel-over");
  if (!cues) return el("section", { class: "pane", "data-testid": "cues-part" }, title, el("p", { class: "missing" }, "not computed"));
  const light = cues.dark === null ? cues.dark_reason : cues.dark ? "It is dark then." : "It is not dark then.";
  return el("section", { class: "pane", "data-testid": "cues-part" }, title,
    cues.reason ? el("p", { class: "missing" }, `not computed: ${cues.reason}`) : [
      el("p", { "data-testid": "cue-light", "data-dark": String(cues.dark) }, cues.at_utc && `Planned for ${dateText(cues.at_utc)}. `, light),
      el("ul", { class: "plain-list" }, usedLine(cues, "first", turn.waypoint_id), usedLine(cues, "second", turn.waypoint_id)),
      cues.unknown_ids.length > 0 && el("p", { class: "missing", "data-testid": "cue-unknown" }, `Chosen, but no loaded mark gives it here: ${cues.unknown_ids.join(", ")}.`),
      setLine(cues.wheel_over_set),
      cues.rows.length === 0 ? el("p", { class: "missing", "data-testid": "no-cues" }, state.plan.answer.marks.loaded_count === 0 ? "No marks are loaded: no cue was looked for." : "No loaded mark within 12 NM crosses the track here.")
        : tableBox("Cues of this turn, scrolls sideways", el("table", { class: "stacks", "data-testid": "cues-table" }, el("caption", {}, "Cues as they stand at the planned WOP, the best first"),
          el("thead", {}, el("tr", {}, HEADS.map((head) => el("th", { scope: "col" }, head)))), el("tbody", {}, cues.rows.map((cue, index) => row(cues, turn.waypoint_id, cue, index))))),
      el("p", { class: "field-hint" }, "Fixed marks come before floating ones. For an alteration of 30 degrees and more a line parallel to the new course is wanted, for a smaller one a mark near the beam. Errors are metres along the old track; the radar's own are 30 m or 1 % of the range scale, and 1 degree; what the place of the mark may be out by is in them where it is given."),
      el("h4", {}, "Warnings before it"), el("ul", { class: "plain-list" }, cues.warning_points.map(warning))]);
}
