/** Long tables a page at a time: thousands of rows at once would hold up everything else on the page. */

import { el } from "./dom.js";
import { grouped } from "./format.js";

export const PAGE_ROWS = 100;

/** Which page an index of a list lies on. */
export const pageOf = (index) => Math.floor(index / PAGE_ROWS);

/** The rows of a page, and the page itself where the list has become shorter. */
export function pageRows(rows, page) {
  const last = Math.max(0, Math.ceil(rows.length / PAGE_ROWS) - 1);
  const shown = Math.min(Math.max(page, 0), last);
  return { page: shown, first: shown * PAGE_ROWS, rows: rows.slice(shown * PAGE_ROWS, (shown + 1) * PAGE_ROWS) };
}

/** Which rows are shown of how many, with buttons to the others; nothing where all are. `go` takes the page. */
export function pager(count, page, what, go) {
  if (count <= PAGE_ROWS) return null;
  const pages = Math.ceil(count / PAGE_ROWS);
  const button = (to, words, name) => el("button", { type: "button", "data-testid": `page-${name}`, "data-keep": `${what}-${name}`, disabled: to < 0 || to >= pages || to === page, on: { click: () => go(to) } }, words);
  return el("nav", { class: "pager", "aria-label": `Pages of ${what}` },
    el("span", { "data-testid": "page-words" }, `Rows ${grouped(String(page * PAGE_ROWS + 1))} to ${grouped(String(Math.min((page + 1) * PAGE_ROWS, count)))} of ${grouped(String(count))}`),
    button(0, "First", "first"), button(page - 1, "Previous", "previous"), button(page + 1, "Next", "next"), button(pages - 1, "Last", "last"));
}
