/** Grades: a word and a fill. Full, half, empty, hatched; colour is only a third sign. */

import { el, svg } from "../dom.js";

export const GRADES = ["must_resolve", "must_explain", "note", "not_checked"];

export const GRADE_WORDS = {
  must_resolve: "must resolve",
  must_explain: "must explain",
  note: "note",
  not_checked: "not checked",
  met: "met",
};

const SHAPES = { must_resolve: "full", must_explain: "half", note: "empty", not_checked: "hatched" };

/** What is drawn inside the square's edge. */
const FILLS = {
  full: () => svg("rect", { x: 2, y: 2, width: 12, height: 12, class: "grade-fill" }),
  half: () => svg("path", { d: "M2 14 L14 2 V14 Z", class: "grade-fill" }),
  empty: () => null,
  hatched: () => svg("path", { d: "M2 8 L8 2 M2 14 L14 2 M8 14 L14 8", class: "grade-hatch" }),
};

/** The square; the word always stands beside it, so it is hidden from readers. */
export function gradeMark(grade) {
  const shape = SHAPES[grade];
  if (!shape) return el("span", { class: "grade-none", "aria-hidden": "true" });
  return svg("svg", { class: `grade-mark grade-${grade}`, viewBox: "0 0 16 16", width: 16, height: 16, "aria-hidden": "true", "data-shape": shape },
    FILLS[shape](), svg("rect", { x: 2, y: 2, width: 12, height: 12, class: "grade-edge" }));
}

/** Mark and word together. */
export function gradeWord(grade) {
  return el("span", { class: `grade-word grade-${grade}` }, gradeMark(grade), GRADE_WORDS[grade] || String(grade).replaceAll("_", " "));
}

/** The place of a finding on the page, for links to it. */
export function findingAnchor(finding) {
  return `finding-${encodeURIComponent(finding.id)}`;
}

/** How many findings there are of each grade, zeros included. */
export function gradeCounts(findings) {
  return Object.fromEntries(GRADES.map((grade) => [grade, findings.filter((finding) => finding.grade === grade).length]));
}
