/** Vessels, for administrators: the real ships that plans belong to, each with the fleet she sails in. */

import { el, replace, show } from "../dom.js";
import { readVessels, vessels } from "../people/api.js";
import { actForm, needed } from "../people/form.js";
import { formField } from "../record/fields.js";
import { state, watch } from "../state.js";
import { problemBox } from "./problem.js";

function vesselFields(prefix) {
  const name = formField({ id: `${prefix}-name`, label: "Name" });
  const fleet = formField({ id: `${prefix}-fleet`, label: "Fleet", hint: "May be empty. Whoever has a role on a fleet has it on each vessel in it." });
  return {
    node: el("div", { class: "fields" }, name.node, fleet.node),
    fill: (vessel) => { [name.input.value, fleet.input.value] = [vessel.name, vessel.fleet]; },
    given: () => needed(name, "The name of the vessel is needed.") && { name: name.text(), fleet: fleet.text() },
    places: () => ({ "/name": name, "/fleet": fleet }),
    texts: () => JSON.stringify([name.text(), fleet.text()]),
  };
}

/** One vessel; fields that were changed keep what is in them when the list is read anew. */
class Vessel {
  constructor(id) {
    this.id = id;
    this.head = el("p", {});
    this.summary = el("summary", { "data-testid": `vessel-open-${id}` });
    this.fields = vesselFields(`vessel-${id}`);
    this.form = actForm({ testId: `vessel-${id}`, label: "Rename this vessel", parts: this.fields.node, button: "Store name and fleet", check: () => this.fields.given(), places: () => this.fields.places(), act: (given) => this.store(given) });
    this.node = el("li", { class: "thread", "data-testid": `vessel-row-${id}` }, this.head, el("details", {}, this.summary, this.form.node));
  }

  dress(vessel) {
    replace(this.head, el("strong", {}, vessel.name), vessel.fleet ? `, fleet ${vessel.fleet}` : ", in no fleet");
    this.summary.textContent = `Rename ${vessel.name}`;
    this.form.node.setAttribute("aria-label", `Rename ${vessel.name}`);
    if (this.filled !== undefined && this.fields.texts() !== this.filled) return;
    this.fields.fill(vessel);
    this.filled = this.fields.texts();
  }

  async store(given) {
    const vessel = await vessels.change(this.id, given);
    this.filled = this.fields.texts();
    await readVessels();
    return `Stored: ${vessel.name}.`;
  }
}

function addPart() {
  const fields = vesselFields("vessel-new");
  const act = async (given) => {
    const vessel = await vessels.add(given);
    fields.fill({ name: "", fleet: "" });
    await readVessels();
    return `Added: ${vessel.name}. Nobody has a role on her yet, but for those on her fleet.`;
  };
  const form = actForm({ testId: "vessel-new", label: "Add a vessel", parts: fields.node, button: "Add this vessel", check: () => fields.given(), places: () => fields.places(), act });
  return el("details", {}, el("summary", { "data-testid": "vessel-add" }, "Add a vessel"), form.node);
}

export function vesselsPart() {
  const [list, trouble, wait] = [el("ul", { class: "threads", "data-testid": "vessels" }), el("div", {}), el("p", { class: "gap-line", role: "status" }, "Working: asking for the vessels.")];
  const made = new Map();
  watch(["vessels"], () => {
    const { status, items, error } = state.vessels;
    show(wait, status === "working" && items.length === 0);
    replace(trouble, status === "failed" && problemBox("The vessels were not listed", error, readVessels));
    items.forEach((one) => { if (!made.has(one.id)) made.set(one.id, new Vessel(one.id)); made.get(one.id).dress(one); });
    const nodes = items.map((one) => made.get(one.id).node);
    if (nodes.length !== list.children.length || nodes.some((node, i) => list.children[i] !== node)) list.replaceChildren(...nodes);
  });
  return el("section", { class: "parcel-part", "aria-labelledby": "vessels-title" }, el("h3", { id: "vessels-title" }, "Vessels"),
    el("p", { class: "field-hint" }, "A vessel here is a ship that plans belong to; her particulars are stored with the ships of the library. None is ever taken away."), trouble, wait, addPart(), list);
}
