/** The land check: its switch, how far its index is, and the word given for legs through canals. */

import { coastIndex } from "../charts/api.js";
import { el, replace } from "../dom.js";
import { setLeg, setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { figure } from "../figures.js";
import { nmText, numberText, plainText } from "../format.js";
import { redraw } from "../redraw.js";
import { legName } from "../sailing.js";
import { set, state, watch } from "../state.js";
import { canalForm, watchCanal } from "./canal_form.js";

const LOOK_EVERY_MS = 700;
const BUILDING = new Set(["not_built", "building"]);

let looking = null;

/** Looks how far the index is while a plan that wants it is being computed. */
async function look() {
  clearTimeout(looking);
  looking = null;
  if (!state.inputs?.check_land) return;
  try {
    set({ coastIndex: await coastIndex() });
  } catch (error) {
    if (error.status === undefined && !error.unreachable) throw error;
    set({ coastIndex: { state: "unknown", percent: 0, reason: error.detail } });
  }
  if (BUILDING.has(state.coastIndex.state) && state.job.status === "working") looking = setTimeout(look, LOOK_EVERY_MS);
}

const INDEX_WORDS = {
  not_built: () => "The index of the full-resolution coastline is not built yet; the first plan that asks begins it, which takes a while once.",
  building: ({ percent }) => `The index of the full-resolution coastline is being built: ${percent} %. The plan waits for it.`,
  ready: ({ version }) => `Coastline ready: ${version}.`,
  failed: ({ reason }) => `The coastline is not available: ${reason}`,
  unknown: ({ reason }) => `How far the coastline is was not said: ${reason}`,
};

const CHOICES = [[true, "check for land"], [false, "do not check for land"], [undefined, "not said: not checked"]];

function switchPart() {
  const now = state.inputs.check_land ?? undefined;
  return el("div", { class: "order", role: "radiogroup", "aria-label": "Land check" }, el("span", {}, "Where no cell covers the water:"),
    CHOICES.map(([value, words]) => el("label", { class: "choice" }, el("input", { type: "radio", name: "check-land", checked: now === value, "data-testid": `check-land-${value === undefined ? "unsaid" : value ? "on" : "off"}`, on: { change: () => edit(setTop({ check_land: value })) } }), words)));
}

function indexPart() {
  const { coastIndex: now, inputs } = state;
  return inputs.check_land && now && el("p", { role: "status", "data-testid": "coast-index", "data-state": now.state, "data-percent": now.percent }, INDEX_WORDS[now.state](now));
}

/** Legs that lie on land of the coastline, and those somebody answers for already. */
function canalLegs() {
  const { inputs, plan } = state;
  const onLand = new Map((plan?.answer.legs || []).map((leg) => [leg.to_id, leg.land?.on_land || []]));
  return inputs.route.waypoints.flatMap((waypoint, index) => {
    const found = onLand.get(waypoint.id) || [];
    return index > 0 && (waypoint.leg?.canal || found.length > 0) ? [{ waypoint, index, found }] : [];
  });
}

function canalRow({ waypoint, index, found }) {
  const name = `leg ${numberText(index - 1)}-${numberText(index)}`;
  const { canal } = waypoint.leg || {};
  const canals = [...new Set(found.flatMap((one) => one.canals))];
  const open = state.canalFor === waypoint.id;
  return el("li", { "data-testid": `canal-${waypoint.id}` },
    el("p", {}, el("strong", {}, name), found.length > 0 ? `: on land of the coastline for ${plainText(found.reduce((sum, one) => sum + one.to_m - one.from_m, 0), 0)} m` : ": not on land of the coastline",
      canals.length > 0 && `, near ${canals.join(", ")}`, "."),
    canal && el("p", {}, "A canal, on the word of ", [canal.by.name, canal.by.rank].filter(Boolean).join(", "), ": ", el("q", {}, canal.reason),
      canal.to_nm != null && [", from ", figure(canal.from_nm, "NM", nmText), " to ", figure(canal.to_nm, "NM", nmText, { unitShown: true }), " of the leg"], " ",
      el("button", { type: "button", "data-testid": `canal-drop-${waypoint.id}`, on: { click: () => edit(setLeg(waypoint.id, "canal", undefined)) } }, "Take this word back")),
    !canal && !open && el("button", { type: "button", "data-testid": `canal-say-${waypoint.id}`, on: { click: () => set({ canalFor: waypoint.id }) } }, "This leg goes through a canal"));
}

function landRows() {
  const { plan } = state;
  const rows = [...plan.answer.legs.map((leg, index) => [legName(plan, index), leg.land])].filter(([, land]) => land);
  return rows.length > 0 && el("details", { "data-testid": "land-rows" }, el("summary", {}, "What the coastline says of each leg"),
    el("ul", {}, rows.map(([name, land]) => el("li", {}, `${name}: `, land.reason ? `not checked: ${land.reason}` : land.nearest_m === null ? `no coast within ${plainText(land.search_m, 0)} m` : `nearest coast ${plainText(land.nearest_m, 0)} m`,
      `; ${land.source === "cells" ? "cells cover it" : land.source === "both" ? "cells and coastline" : "coastline"} (${land.version})`))));
}

export function startCoastPart(host) {
  const [drawn, canals, form, rows] = Array.from({ length: 4 }, () => el("div", {}));
  replace(host, el("h3", {}, "Coastline"), drawn, canals, form, rows);
  watch(["inputs", "coastIndex"], () => redraw(drawn, state.inputs && [switchPart(), indexPart()]));
  watch(["inputs", "plan", "canalFor"], () => {
    const legs = state.inputs && state.plan ? canalLegs() : [];
    redraw(canals, legs.length > 0 && [el("p", {}, "A canal that the coastline closes needs somebody's word; it is recorded and printed. Land stays a finding, to be explained."), el("ul", { class: "plain-list" }, legs.map(canalRow))]);
  });
  watch(["canalFor"], () => { replace(form, canalForm()); (form.querySelector("[aria-invalid=true]") ?? form.querySelector("textarea"))?.focus(); });
  watchCanal();
  watch(["plan"], () => redraw(rows, state.plan && landRows()));
  watch(["inputs", "job"], () => { if (state.inputs?.check_land && !looking) looking = setTimeout(look, 150); });
}
