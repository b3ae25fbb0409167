/** Index lines, clearing lines and transits of every leg, with the choice of marks. */

import { clearingTable, indexTable, transitTable } from "../aids/lines.js";
import { el, replace } from "../dom.js";
import { redraw } from "../redraw.js";
import { legName } from "../sailing.js";
import { state, watch } from "../state.js";

const LEAD = "Fixed marks that a radar shows come first, floating ones last. An object serves inside the range scale of the radar (6 NM where the ship says none) and no farther ahead or astern of abeam than half of that: common practice. "
  + "NLT and NMT come from the nearest danger with its margin or the cross-track limit, whichever is nearer, each rounded so that it ends sooner; where no dangers are loaded, or no chart covers the leg, they are not known. Clearing lines clear only the dangers named.";

function legPart(plan, leg, index) {
  const name = legName(plan, index);
  return el("details", { class: "pane", "data-testid": `lines-leg-${leg.to_id}`, open: plan.answer.legs.length < 4 }, el("summary", {}, el("strong", {}, name)),
    el("h4", {}, "Parallel index"), indexTable(leg, name), el("h4", {}, "Clearing bearings and ranges"), clearingTable(leg, name), el("h4", {}, "Transits"), transitTable(leg, name));
}

/** The legs that stood open stay so when values around them change. */
function parts() {
  const { plan } = state;
  if (!plan) return el("p", { class: "gap-line" }, "Nothing is computed yet.");
  return el("div", {}, plan.answer.legs.map((leg, index) => legPart(plan, leg, index)));
}

export function startAidLines(host) {
  const tables = el("div", { "data-testid": "lines-tables" });
  replace(host, el("h2", {}, "Index and clearing lines"), el("p", { class: "panel-lead" }, LEAD), tables);
  const render = () => {
    const open = new Set([...tables.querySelectorAll("details[open]")].map((one) => one.dataset.testid));
    redraw(tables, parts());
    tables.querySelectorAll("details").forEach((one) => { if (open.has(one.dataset.testid)) one.open = true; });
  };
  watch(["plan"], render);
}
