/** The Basis: every input of the plan and where it came from. Defaults stand out by word. */

import { el, replace, show, tableBox } from "../dom.js";
import { figure } from "../figures.js";
import { countText, known, plainText } from "../format.js";
import { state, watch } from "../state.js";
import { commentButton } from "../threads/comment_button.js";
import { paneHead } from "./pane.js";

function value(row) {
  if (!known(row.value)) return String(row.value ?? "not given");
  return row.unit ? figure(row.value, row.unit, (number) => plainText(number), { unitShown: true }) : plainText(row.value);
}

function basisRow(row) {
  const isDefault = row.source === "default";
  return el("tr", { class: isDefault ? "is-default" : null, "data-testid": "basis-row", "data-source": row.source },
    el("th", { scope: "row" }, row.input),
    el("td", { class: "num", "data-label": "Value" }, value(row)),
    el("td", { "data-label": "Source" }, isDefault ? el("strong", {}, "DEFAULT") : row.source),
    el("td", { "data-label": "Note" }, row.note || "\u2013", state.frozen && [" ", commentButton("input", row.input, row.input)]));
}

function table(rows) {
  const heads = ["Input", "Value", "Source", "Note"];
  return el("table", { class: "basis-table stacks" },
    el("caption", {}, "Inputs of this plan. Source: you, file, ship, set (danger file), default."),
    el("thead", {}, el("tr", {}, heads.map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, rows.map(basisRow)));
}

export function startBasis(host) {
  watch(["plan"], () => {
    const { plan } = state;
    show(host, Boolean(plan));
    if (!plan) return;
    const { basis, inputs_sha256: digest, engine_version: engine } = plan.answer;
    const defaults = basis.filter((row) => row.source === "default").length;
    replace(host, paneHead("Basis", "basis-title"),
      el("details", { "data-testid": "basis-details" },
        el("summary", {}, `${countText(basis.length, "input")}, ${countText(defaults, "default")} in use`),
        tableBox("Basis, scrolls sideways", table(basis))),
      el("p", { class: "digest" }, `Inputs SHA-256 ${digest || "not given"}. Engine ${engine || "not given"}.`));
  });
}
