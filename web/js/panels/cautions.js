/** Cautions: always on the page. A fixed line stands until the service sends its own with a plan. */

import { el, replace } from "../dom.js";
import { countText } from "../format.js";
import { state, watch } from "../state.js";

const FIXED = "A planning aid. The master decides. Use official charts and publications; the Plot is not a chart.";
const SHOWN = 2;

function cautionRow(caution) {
  return el("li", { "data-caution-id": caution.id, "data-testid": `caution-${caution.id}` }, caution.text);
}

function render(host) {
  const cautions = state.plan?.answer.cautions || [];
  const more = cautions.slice(SHOWN);
  replace(host,
    el("ul", { class: "caution-list" }, cautions.length > 0 ? cautions.slice(0, SHOWN).map(cautionRow) : el("li", { class: "caution-fixed", "data-testid": "caution-fixed" }, FIXED)),
    more.length > 0 && el("details", {}, el("summary", {}, countText(more.length, "more caution")), el("ul", { class: "caution-list" }, more.map(cautionRow))));
}

export function startCautions(host) {
  watch(["plan"], () => render(host));
}
