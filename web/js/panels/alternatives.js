/** Routes beside the selected one: kept, named, selected, taken away. Each act is a step of the draft, so it can be undone. */

import { el, replace } from "../dom.js";
import { changeAlternative, freshId, keepAlternative, removeAlternative, selectAlternative } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { figure } from "../figures.js";
import { countText, nmText } from "../format.js";
import { formField } from "../record/fields.js";
import { state, watch } from "../state.js";

const MOST = 20;

/** What the plan on show says of an alternative; none while it was computed without it. */
const answerOf = (id) => state.plan?.answer.alternatives?.find((one) => one.id === id) ?? null;

/** One alternative. Its fields stay as they are while others change: only values nobody is typing in are renewed. */
class Row {
  constructor(id, order) {
    const commit = (member, field) => {
      const text = field.text();
      if (member === "name" && !text) { field.say("An alternative needs a name."); return; }
      edit(changeAlternative(id, { [member]: text }));
    };
    const field = (member, label) => {
      const one = formField({ id: `alternative-${member}-${order}`, label });
      one.input.addEventListener("change", () => commit(member, one));
      return one;
    };
    this.id = id;
    [this.name, this.remark, this.facts] = [field("name", "Name"), field("remark", "Remark"), el("p", {})];
    const button = (act, words, run) => el("button", { type: "button", "data-testid": `alternative-${act}-${order}`, on: { click: run } }, words);
    this.select = button("select", "Select", () => edit(selectAlternative(id, freshId())));
    this.remove = button("remove", "Remove", () => edit(removeAlternative(id)));
    this.node = el("li", { class: "alternative", "data-testid": "alternative", "data-alternative-id": id }, this.name.node, this.remark.node, this.facts, el("div", { class: "actions" }, this.select, this.remove));
  }

  dress({ route, remark }) {
    const put = (field, text) => { if (document.activeElement !== field.input && field.input.value !== text) { field.input.value = text; field.say(null); } };
    put(this.name, route.name);
    put(this.remark, remark ?? "");
    this.select.setAttribute("aria-label", `Select ${route.name}`);
    this.remove.setAttribute("aria-label", `Remove ${route.name}`);
    const answer = answerOf(this.id);
    replace(this.facts, figure(answer?.distance_nm, "NM", nmText, { unitShown: true, reason: answer ? "a leg has no length" : "working" }), `, ${countText(route.waypoints.length, "waypoint")}`);
  }
}

/** A name that says nothing it does not know; the navigator writes a better one. */
function proposed() {
  const { route, alternatives = [] } = state.inputs;
  const names = new Set([route.name, ...alternatives.map((one) => one.route.name)]);
  let number = 1;
  while (names.has(`Alternative ${number}`)) number += 1;
  return `Alternative ${number}`;
}

export function startAlternatives(host) {
  const [list, none] = [el("ul", { class: "alternatives" }), el("p", { class: "gap-line", "data-testid": "alternatives-none" })];
  const name = formField({ id: "alternative-new", label: "Name of the copy" });
  const keep = el("button", { type: "submit", class: "primary", "data-testid": "alternative-keep" }, "Keep this route as an alternative");
  let rows = new Map();
  let [order, wrote] = [0, ""];
  const propose = () => { if (name.input.value === wrote && document.activeElement !== name.input) name.input.value = wrote = proposed(); };
  const form = el("form", { class: "strip-form", novalidate: true, on: { submit: (event) => {
    event.preventDefault();
    if (!name.text()) { name.say("An alternative needs a name."); return; }
    edit(keepAlternative(freshId(), name.text()));
    name.input.value = wrote = proposed();
  } } }, name.node, el("div", { class: "actions" }, keep));
  replace(host, el("h2", {}, "Alternatives"),
    el("p", { class: "panel-lead" }, "Exactly one route is selected: the one in the Ledger. Keep a copy of it here, then change it; or select another, which puts this one here. An alternative is laid and drawn, not checked until it is selected. The plan is named after the route that is selected."),
    list, none, form);
  watch(["inputs", "plan", "draft"], () => {
    if (!state.draft) { rows = new Map(); wrote = ""; name.input.value = ""; replace(list); return; }
    const found = state.inputs.alternatives || [];
    const before = rows;
    rows = new Map(found.map((one) => [one.id, before.get(one.id) ?? new Row(one.id, order++)]));
    const lost = [...before.values()].some((row) => !rows.has(row.id) && row.node.contains(document.activeElement));
    const nodes = [...rows.values()].map((row) => row.node);
    if (nodes.length !== list.children.length || nodes.some((node, i) => list.children[i] !== node)) list.replaceChildren(...nodes);
    if (lost) (list.querySelector("button") ?? keep).focus();
    found.forEach((one) => rows.get(one.id).dress(one));
    replace(none, found.length === 0 && "None is kept.");
    keep.disabled = found.length >= MOST;
    propose();
  });
}
