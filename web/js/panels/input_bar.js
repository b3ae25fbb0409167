/** The bar of inputs: what is loaded in one line each; a press opens the panel below. No windows over the Plot. */

import { el, replace, show } from "../dom.js";
import { countText, dateText, known } from "../format.js";
import { featureCount, hasDangers, storedSet, usesCells } from "../hazards.js";
import { set, state, watch } from "../state.js";
import { clockText } from "../times.js";
import { hasShip } from "./ship.js";

function routeLine() {
  const { inputs } = state;
  if (!inputs) return state.reading?.status === "done" ? "read, not taken yet" : "none yet";
  const { name, waypoints } = inputs.route;
  const holes = waypoints.filter((waypoint) => waypoint.gap_before || waypoint.gap_after).length;
  return [name, countText(waypoints.length, "waypoint"), holes && countText(holes, "hole")].filter(Boolean).join(", ");
}

function shipLine() {
  if (!hasShip()) return "no ship";
  const { form, storedShip, inputs, shipEdited } = state;
  const edition = inputs.ship_id && storedShip && `edition ${storedShip.edition} of ${storedShip.newest}`;
  return [form["/ship/name"] || "no name", edition, form["/ship/loa_m"] && `${form["/ship/loa_m"]} m`, form["/ship/speed_kn"] && `${form["/ship/speed_kn"]} kn`, shipEdited && "edited, not stored"].filter(Boolean).join(", ");
}

function limitsLine() {
  const { limits, conditions } = state.inputs || {};
  const current = conditions?.drift_kn !== undefined ? `current sets ${conditions.set_deg ?? "?"} T, ${conditions.drift_kn} kn` : "no current given";
  const clearance = known(limits?.min_clearance_m) ? `clearance ${limits.min_clearance_m} m` : "no clearance limit";
  const { depth_m: depth, wind_force_bft: wind, thrusters_in_use: thrusters } = conditions || {};
  return [clearance, known(limits?.max_off_track_m) && `off track ${limits.max_off_track_m} m`, current, known(depth) && `depth ${depth} m`, known(wind) && `wind force ${wind}`, thrusters && "thrusters"].filter(Boolean).join(", ");
}

function dangersLine() {
  const { inputs } = state;
  if (!hasDangers(inputs)) return usesCells(inputs) ? "none of one's own" : "none loaded, not checked";
  const sets = (inputs.hazard_set_ids || []).map((id) => `${storedSet(id)?.name ?? "stored set"} ed. ${inputs.hazard_set_editions?.[id] ?? "?"}`);
  return [inputs.hazards && `${featureCount(inputs.hazards) ?? "?"} given with the plan`, ...sets].filter(Boolean).join(", ");
}

function filesLine() {
  const revisions = state.draft?.revisions || [];
  return revisions.length === 0 ? "no revision yet" : `newest r${revisions[0].number}, ${dateText(revisions[0].created_utc)}`;
}

function alternativesLine() {
  const count = state.inputs?.alternatives?.length ?? 0;
  return count === 0 ? "none kept" : `${countText(count, "route")} beside this one`;
}

function chartsLine() {
  const { inputs, charts } = state;
  const land = inputs?.check_land === true && "land checked";
  if (inputs?.all_charts) return ["every cell on the track", land].filter(Boolean).join(", ");
  const ids = inputs?.chart_ids || [];
  if (ids.length === 0) return ["no cell", land].filter(Boolean).join(", ");
  return [...ids.slice(0, 3).map((id) => charts.items.find((one) => one.id === id)?.name ?? "a cell"), ids.length > 3 && `${ids.length - 3} more`, land].filter(Boolean).join(", ");
}

function depthLine() {
  const { limits, conditions } = state.inputs || {};
  const tides = conditions?.tides?.length;
  return [known(limits?.min_ukc_m) ? `under keel ${limits.min_ukc_m} m` : "no least under keel", tides ? countText(tides, "tide table") : known(conditions?.tide_m) && `tide ${conditions.tide_m} m`].filter(Boolean).join(", ");
}

function monitoringLine() {
  const legs = state.inputs?.route.waypoints.slice(1) || [];
  const said = legs.filter(({ leg }) => leg?.monitoring?.fixing?.interval_min).length;
  return legs.length === 0 ? "no leg yet" : `fixing said of ${said} of ${countText(legs.length, "leg")}`;
}

function contingenciesLine() {
  const count = state.inputs?.contingencies?.length ?? 0;
  return count === 0 ? "none given" : countText(count, "contingency", "contingencies");
}

function sourcesLine() {
  const { sources = [] } = state.inputs || {};
  const open = sources.filter(({ consulted }) => !consulted).length;
  return [sources.length === 0 ? "none named" : `${sources.length} named`, open > 0 && `${open} not consulted`].filter(Boolean).join(", ");
}

function scheduleLine() {
  const { departure_utc: departure, conditions, route } = state.inputs || {};
  const etas = route?.waypoints.filter((one) => one.eta_utc).length;
  return [departure ? `departs ${clockText(departure)}` : "no departure", etas > 0 && `${countText(etas, "ETA")} given`, conditions?.streams?.length > 0 && countText(conditions.streams.length, "stream")].filter(Boolean).join(", ");
}

function daylightLine() {
  const count = state.inputs?.daylight_needs?.length ?? 0;
  return count === 0 ? "no need said" : countText(count, "need");
}

function marksLine() {
  const count = state.inputs?.marks?.length ?? 0;
  return count === 0 ? "none of one's own" : `${countText(count, "mark")} of one's own`;
}

function linesLine() {
  const legs = state.plan?.answer.legs ?? [];
  const served = legs.filter(({ index_lines: index }) => index && !index.reason && index.not_served.length === 0).length;
  return legs.length === 0 ? "no leg yet" : `${served} of ${countText(legs.length, "leg")} served`;
}

const ENTRIES = [
  ["route", "Route", routeLine],
  ["ship", "Ship", shipLine],
  ["limits", "Limits and conditions", limitsLine],
  ["charts", "Charts", chartsLine],
  ["dangers", "Dangers", dangersLine],
  ["marks", "Marks", marksLine],
  ["lines", "Index and clearing lines", linesLine],
  ["depth", "Depth and tide", depthLine],
  ["monitoring", "Monitoring", monitoringLine],
  ["contingencies", "Contingencies", contingenciesLine],
  ["sources", "Sources and checklists", sourcesLine],
  ["schedule", "Schedule", scheduleLine],
  ["daylight", "Daylight", daylightLine],
  ["alternatives", "Alternatives", alternativesLine],
  ["files", "Files and revisions", filesLine],
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
  watch(["inputs", "plan", "form", "reading", "storedShip", "shipEdited", "hazardSets", "charts", "draft"], () => replace(value, line()));
  return button;
}

export function startInputBar(host) {
  replace(host, ENTRIES.map(entry));
}
