/** The bar of inputs: what is loaded in one line each; a press opens the panel below. No windows over the Plot. */

import { compute } from "../actions.js";
import { el, replace, show } from "../dom.js";
import { countText } from "../format.js";
import { set, state, watch } from "../state.js";
import { dangerCount } from "./dangers.js";
import { hasShip } from "./ship.js";

function routeLine() {
  if (!state.route) return state.reading?.status === "done" ? "read, not taken yet" : "none yet";
  const count = countText(state.route.waypoints.length, "waypoint");
  const holes = [...state.holes.values()].flat().length;
  return [state.route.name, count, holes && countText(holes, "hole")].filter(Boolean).join(", ");
}

function shipLine() {
  if (!hasShip()) return "no ship";
  const { form } = state.inputs;
  return [form["/ship/name"] || "no name", form["/ship/loa_m"] && `${form["/ship/loa_m"]} m`, form["/ship/speed_kn"] && `${form["/ship/speed_kn"]} kn`].filter(Boolean).join(", ");
}

function limitsLine() {
  const { form } = state.inputs;
  const limit = form["/limits/min_clearance_m"];
  const drift = form["/conditions/drift_kn"];
  const current = form["/conditions/set_deg"] || drift ? `current sets ${form["/conditions/set_deg"] ?? "?"} T, ${drift ?? "?"} kn` : "no current given";
  return `${limit ? `clearance ${limit} m` : "no limit given"}, ${current}`;
}

function dangersLine() {
  const { hazards } = state.inputs;
  if (!hazards) return "none loaded, not checked";
  return `${hazards.fileName}: ${dangerCount(hazards) ?? "?"}`;
}

const ENTRIES = [
  ["route", "Route", routeLine],
  ["ship", "Ship", shipLine],
  ["limits", "Limit and current", limitsLine],
  ["dangers", "Dangers", dangersLine],
];

function entry([key, label, line]) {
  const value = el("span", { class: "input-value" });
  const button = el("button", {
    type: "button", class: "input-entry", "aria-controls": `panel-${key}`, "data-testid": `open-${key}`,
    on: { click: () => set({ openPanel: state.openPanel === key ? null : key }) },
  }, el("span", { class: "input-label" }, label), value);
  watch(["openPanel"], () => {
    button.setAttribute("aria-expanded", String(state.openPanel === key));
    show(document.getElementById(`panel-${key}`), state.openPanel === key);
  });
  watch(["inputs", "formEdited", "route", "reading", "holes"], () => replace(value, line()));
  return button;
}

/** Compute stands in the bar, so that it is in reach whichever panel is open. */
function computeButton() {
  const button = el("button", { type: "button", class: "primary compute", "data-testid": "compute", on: { click: compute } }, "Compute plan");
  watch(["route", "job"], () => { button.disabled = !state.route; });
  return button;
}

export function startInputBar(host) {
  replace(host, ENTRIES.map(entry), computeButton());
}
