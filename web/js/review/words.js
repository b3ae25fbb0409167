/** Words of the review: kinds of changes, and the two that are compared. */

import { dateText, sizeText } from "../format.js";
import { revisionStateWords } from "../record/words.js";

export const KINDS = {
  engine: "Engine", route: "Route", waypoint: "Waypoints", leg: "Legs", turn: "Turns", danger: "Dangers near the track", hazards: "Sets of dangers", ship: "Ship",
  limits: "Limits", conditions: "Conditions", input: "Other inputs", bridge: "Bridge team", finding: "Findings", clearance: "Clearances", case: "Cases", alternative: "Alternatives",
  caution: "Cautions", basis: "Basis", check: "Checks", record: "Record", drawing: "Drawing",
};

const ROWS = { waypoint: "waypoint", leg: "leg", turn: "turn", hazard: "danger", clearance: "clearance", finding: "finding", check: "check", basis: "basis row" };
const plural = (word, count) => (count === 1 ? word : `${word.replace("basis row", "basis rows")}${word.endsWith("rows") || word === "basis row" ? "" : "s"}`);

/** How much is the same in both: {count, words}. */
export function unchangedWords(unchanged) {
  const parts = Object.entries(ROWS).map(([kind, word]) => [unchanged[kind], word]).filter(([count]) => count > 0);
  return { count: parts.reduce((sum, [count]) => sum + count, 0), words: parts.map(([count, word]) => `${count} ${plural(word, count)}`).join(", ") };
}

/** "r3" or "the draft". */
export const sideName = (side) => (side === "draft" || side === null ? "the draft" : `r${side}`);

/** What can be chosen on a side: [value, words]. */
export function sideOptions({ revisions }, withDraft) {
  const frozen = revisions.map((one) => [String(one.number), `r${one.number}, ${revisionStateWords(one)}, frozen ${dateText(one.created_utc)}`]);
  return withDraft ? [["draft", "the draft as it computes now"], ...frozen] : frozen;
}

/** "r1 and r2: 12 changes; the comparison was 62.0 kB." */
export const sizeWords = (bytes) => `${sizeText(bytes)} over the link`;
