/** The heading of a pane, with the word "stale" that shows while the plan does not belong to the inputs. */

import { el } from "../dom.js";

export function paneHead(title, id, ...more) {
  return el("div", { class: "pane-head" }, el("h2", { id }, title), el("span", { class: "stale-word pane-stale" }, "stale"), more);
}
