/** A short key for lines that are not plain by themselves: each with a piece of itself, drawn in its own style. */

import { el, svg } from "../dom.js";

/** One entry: the class of the line, and its words. */
function entry([className, words]) {
  return el("span", { class: "line-key-entry" },
    svg("svg", { viewBox: "0 0 44 12", width: 44, height: 12, "aria-hidden": "true" }, svg("path", { d: "M1 6H43", class: `card-line ${className}` })), words);
}

export const SIMULATED_KEY = [["line-track", "planned track"], ["line-simulated", "simulated way of her midships, helm at the planned WOP"]];

/** The alternatives of a plan: one line for all, their names in words. */
export const alternativeKey = (names) => ["line-alternative", `${names.length === 1 ? "alternative" : "alternatives"}, laid and not checked: ${names.join("; ")}`];

export function lineKey(entries, testId) {
  return el("p", { class: "line-key", "data-testid": testId }, entries.map(entry));
}
