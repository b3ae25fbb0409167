/** The Plot: the service's vertices on a Mercator sheet without any chart under them. */

import * as leaflet from "./leaflet.js";
import { el, replace, show } from "../dom.js";
import { positionText } from "../format.js";
import { hasAidLayers, hasChartedLayers, layerFeatures } from "../sailing.js";
import { state, watch } from "../state.js";
import { startCoast } from "./coast.js";
import { GridLayer } from "./grid.js";
import { startDrag } from "./drag.js";
import { boundsOf, drawLines, markLines } from "./lines.js";
import { alternativeKey, lineKey, SIMULATED_KEY } from "./line_key.js";
import { startPreview } from "./preview.js";
import { drawingModel } from "./model.js";
import { ScaleBar } from "./scale.js";
import { SymbolLayer } from "./symbol_layer.js";

const NARROW = "(max-width: 899px)";

/** A sheet without motion: no fades, no gliding, which also keeps lines and symbols together. */
export function makeSheet(host) {
  const sheet = leaflet.map(host, {
    attributionControl: false, zoomAnimation: false, fadeAnimation: false, markerZoomAnimation: false, inertia: false,
    zoomSnap: 0.25, zoomDelta: 1, minZoom: 1, maxZoom: 20, worldCopyJump: false, doubleClickZoom: true,
  });
  sheet.setView([0, 0], 2);
  Object.assign(sheet.createPane("symbols").style, { zIndex: 450, pointerEvents: "none" });
  return sheet;
}

/** The words laid over the frame: demonstration, stale. */
function overlays(frame) {
  const demo = el("p", { class: "plot-demo", "data-testid": "plot-demo", hidden: true }, "DEMONSTRATION");
  const stale = el("p", { class: "plot-stale", "aria-hidden": "true" }, "stale");
  frame.append(demo, stale);
  watch(["plan", "inputs"], () => show(demo, Boolean(state.plan && (state.plan.answer.demonstration))));
}

/** Follows the pointer with its position; only a reading of the sheet. */
function cursorLine(sheet, foot) {
  const cursor = el("span", { class: "cursor-position" }, "North up, Mercator");
  const far = el("span", { "data-testid": "plot-far", hidden: true }, "Method flags and crowded numbers are drawn from closer in.");
  const key = el("span", {});
  watch(["plan"], () => {
    const names = (state.plan?.answer.alternatives || []).map((one) => one.name);
    const entries = [...(state.plan && layerFeatures(state.plan, "simulated_track").length > 0 ? SIMULATED_KEY : []), ...(names.length > 0 ? [alternativeKey(names)] : [])];
    replace(key, entries.length > 0 && lineKey(entries, "plot-key"));
  });
  replace(foot, cursor, far, key);
  sheet.on("mousemove", ({ latlng }) => {
    const { lat, lng } = latlng.wrap();
    cursor.textContent = `cursor ${positionText({ lat_deg: lat, lon_deg: lng })}`;
  });
  return far;
}

function fitRoute(sheet, model) {
  if (model) sheet.fitBounds(leaflet.latLngBounds(model.extent), { paddingTopLeft: [72, 64], paddingBottomRight: [84, 116], maxZoom: 16, animate: false });
}

/** The bounds of what is selected: its lines, its point, or for a turn also its wheel-over. */
function selectedBounds(lines, model, many) {
  const { selected } = state;
  if (!selected || !model) return null;
  const bounds = boundsOf(lines, selected) || leaflet.latLngBounds([]);
  const points = {
    waypoint: () => model.waypoints.filter((one) => one.index === selected.index).map((one) => one.point),
    turn: () => [...model.flags.filter((one) => one.turn === selected.index).map((one) => one.point),
      ...model.waypoints.filter((one) => one.index === model.turnRows[selected.index]?.waypoint_index).map((one) => one.point)],
    hazard: () => [...model.hazards.filter((one) => one.id === selected.id).flatMap((one) => one.points), ...(many?.corners(selected.id) || [])],
    leg: () => [],
  }[selected.kind]();
  points.forEach((point) => bounds.extend(point));
  return bounds.isValid() ? bounds : null;
}

/** Buttons over the Plot: whole route, selected item, and folding it away. */
function toolButtons({ tools, frame, foot }, sheet, actions) {
  const narrow = window.matchMedia(NARROW);
  const whole = el("button", { type: "button", "data-testid": "plot-whole", on: { click: actions.whole } }, "Whole route");
  const near = el("button", { type: "button", "data-testid": "plot-selected", on: { click: actions.near } }, "Selected");
  const fold = el("button", { type: "button", "data-testid": "plot-fold", "aria-controls": "plot-frame" });
  const setFolded = (folded) => {
    [frame, foot, whole, near].forEach((node) => show(node, !folded));
    fold.textContent = folded ? "Show Plot" : "Fold Plot";
    fold.setAttribute("aria-expanded", String(!folded));
    if (!folded) { sheet.invalidateSize({ animate: false }); actions.unfolded(); }
  };
  fold.addEventListener("click", () => setFolded(!frame.hidden));
  narrow.addEventListener("change", () => setFolded(narrow.matches));
  replace(tools, whole, near, fold);
  watch(["selected", "plan"], () => { near.disabled = !state.selected; whole.disabled = !state.plan; });
  setFolded(narrow.matches);
}

export function startPlot({ host, frame, tools, foot }) {
  host.setAttribute("aria-label", "Plot of loaded data, not a chart. Everything on it is in the Ledger.");
  host.setAttribute("role", "region");
  const sheet = makeSheet(host);
  const renderer = leaflet.svg({ padding: 0.5 });
  const lines = leaflet.layerGroup().addTo(sheet);
  const far = cursorLine(sheet, foot);
  const symbols = new SymbolLayer(() => { show(far, Boolean(symbols.flagsHidden)); symbols.flagsHidden = false; });
  new GridLayer().addTo(sheet);
  symbols.addTo(sheet);
  new ScaleBar().addTo(sheet);
  overlays(frame);

  let model = null;
  let fitted = true;
  let [coast, many] = [false, null];
  const fit = () => {
    fitted = !frame.hidden && frame.offsetWidth > 0;
    if (!fitted) return; // it is done when it is shown
    sheet.invalidateSize({ animate: false });
    fitRoute(sheet, model);
    if (model && !coast) { coast = true; startCoast(sheet, { tools, foot }); } // not before: tiles of elsewhere would be fetched
  };
  const near = () => {
    const bounds = selectedBounds(lines, model, many);
    if (bounds) sheet.fitBounds(bounds, { padding: [110, 110], maxZoom: 17, animate: false });
  };
  toolButtons({ tools, frame, foot }, sheet, { whole: fit, near, unfolded: () => { if (!fitted) fit(); } });
  let asked = false;
  const addMany = async () => {
    if (asked) return;
    asked = true;
    try {
      const { startMany } = await import("./many/start.js");
      many = startMany(sheet, { foot, own: () => new Set((model?.hazards || []).map(({ id }) => id)) });
    } catch (error) {
      asked = false;
      foot.append(el("span", { role: "alert" }, `The dangers beyond the nearest are not drawn: the part that draws them was not fetched (${error.message}).`));
    }
  };
  let layersAsked = false;
  const addLayers = async () => {
    if (layersAsked) return;
    layersAsked = true;
    try {
      (await import("./many/layers.js")).startLayers(sheet, { host: layersHost });
    } catch (error) {
      layersAsked = false;
      replace(layersHost, el("p", { role: "alert" }, `The layers are not drawn: the part that draws them was not fetched (${error.message}).`));
    }
  };
  let aidsAsked = false;
  const addAids = async () => {
    if (aidsAsked) return;
    aidsAsked = true;
    try {
      (await import("./aids/layers.js")).startAids(sheet, { host: aidsHost, symbols });
    } catch (error) {
      aidsAsked = false;
      replace(aidsHost, el("p", { role: "alert" }, `The layers to steer by are not drawn: the part that draws them was not fetched (${error.message}).`));
    }
  };
  const aidsHost = el("div", { class: "plot-layers", "data-testid": "plot-aid-layers" });
  const layersHost = el("div", { class: "plot-layers", "data-testid": "plot-layers" });
  foot.after(aidsHost, layersHost);
  watch(["plan"], () => { if (state.plan && hasAidLayers(state.plan)) addAids(); });
  watch(["plan", "cellsDrawn"], () => { if (state.cellsDrawn || (state.plan && hasChartedLayers(state.plan))) addLayers(); });
  let shownPlan = null;
  watch(["plan"], () => {
    model = state.plan ? drawingModel(state.plan) : null;
    if (model) drawLines(lines, model, renderer); else lines.clearLayers();
    if (model && shownPlan !== state.plan.answer.plan_id) { shownPlan = state.plan.answer.plan_id; fit(); }
    symbols.update(model, state.selected);
    if (model?.hasMany) addMany();
  });
  startDrag(sheet);
  startPreview(sheet, renderer, () => model);
  watch(["place", "turnCard", "draft", "frozen"], () => { sheet.invalidateSize({ animate: false }); if (!fitted) fit(); });
  watch(["selected"], () => { markLines(lines, state.selected); symbols.update(model, state.selected); });
}
