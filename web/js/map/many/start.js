/** Dangers beyond the few that have a symbol and a name of their own: drawn together, found by a press or by key. */

import { el, replace } from "../../dom.js";
import { countText, decimals, known, positionText } from "../../format.js";
import { lookLoaded } from "../../dangers_loaded.js";
import { layerFeatures } from "../../sailing.js";
import { sameItem, select, state, watch } from "../../state.js";
import * as leaflet from "../leaflet.js";
import { crossesAntimeridian, linesOf, placer } from "../model.js";
import { colour, ManyLayer } from "./layer.js";
import { Shapes } from "./shapes.js";

const HOW_DRAWN = { rings: "", small: "Drawn small, they lie thick here.", dots: "Drawn as dots, they lie thick here; closer in they have their symbol." };

/** What of the shapes has a symbol of its own, and which are not kept clear of. */
function marksOf(shapes, plan, own) {
  const notMet = new Set(plan.answer.clearances.filter(({ met }) => met === false).map(({ hazard_id: id }) => id));
  const marks = new Uint8Array(shapes.count);
  shapes.items.forEach(({ id }, index) => { marks[index] = own.has(id) ? 2 : notMet.has(id) ? 1 : 0; });
  return marks;
}

function words({ status, items, missing, error }, detail) {
  if (status === "working") return [`Fetching ${countText(missing, "more danger")} that the plan was held against.`];
  if (status === "failed") return [`Loaded dangers not drawn: ${missing}. They were not fetched: ${error.detail} `, el("button", { type: "button", class: "linkish", on: { click: () => lookLoaded(true) } }, "Try again")];
  if (status === "many") return [`Loaded dangers not drawn: ${missing}. `, el("button", { type: "button", class: "linkish", "data-testid": "fetch-dangers", on: { click: () => lookLoaded(true) } }, "Fetch them")];
  const far = missing > 0 && `${missing} more that cells chart lie far from the track and are not drawn; under Charts the objects of a cell can be shown. `;
  return [`${countText(items.length, "danger")} loaded, all drawn. `, far, HOW_DRAWN[detail?.name] || ""];
}

/** What is said of a selected danger that the Plot gives no name. */
function selectedWords(item) {
  const [lon_deg, lat_deg] = [item.geometry?.coordinates].flat(4).slice(0, 2);
  const place = known(lat_deg) && positionText({ lat_deg, lon_deg });
  return ["Selected: ", [item.name || item.id, item.kind, known(item.depth_m) && `${decimals(item.depth_m, 1)} m`, place].filter(Boolean).join(", "), ". "];
}

/** The line from the track to a danger, which only the selected one has. */
function clearanceLine(plan, id, shifted) {
  const feature = layerFeatures(plan, "clearance").find(({ properties }) => properties.hazard_id === id);
  if (!feature) return null;
  return leaflet.polyline(linesOf(feature.geometry, placer(shifted)).map(({ points }) => points), { interactive: false, className: `line-clearance is-selected${feature.properties.met === false ? " line-not-met" : ""}` });
}

/** Puts the layer on the sheet. `own` gives the ids of dangers that have a symbol of their own. */
export function startMany(sheet, { foot, own }) {
  const told = el("span", { "data-testid": "plot-not-drawn", role: "status" });
  foot.append(told);
  let [shapes, marks, index, detail, looking] = [null, null, new Map(), null, null];
  const isShown = (at) => marks[at] !== 2;
  const selectedIndex = () => (state.selected?.kind === "hazard" ? index.get(state.selected.id) ?? -1 : -1);
  const groupsOf = (_, found) => {
    const chosen = selectedIndex();
    const of = (mark) => found.filter((at) => marks[at] === mark && at !== chosen);
    const [edge, notMet, act, shoal] = ["--edge", "--g1", "--act", "--shoal"].map(colour);
    return [{ indexes: of(0), colour: edge, fill: shoal }, { indexes: of(1), colour: notMet }, { indexes: found.filter((at) => at === chosen && isShown(at)), colour: act, chosen: true }];
  };
  const say = () => {
    const at = selectedIndex();
    replace(told, state.loaded && [at >= 0 && isShown(at) && selectedWords(shapes.items[at]), words(state.loaded, detail)]);
  };
  const layer = new ManyLayer({ testId: "dangers-canvas", zIndex: 380, groupsOf, drawn: (now) => { if (detail?.name !== now.name) { detail = now; say(); } } });
  let [drawnItems, drawnShifted] = [null, null];
  const show = () => {
    const { loaded, plan } = state;
    if (!plan || !loaded) { layer.remove(); say(); return; }
    const shifted = crossesAntimeridian(plan.request.route.waypoints);
    if (loaded.items !== drawnItems || shifted !== drawnShifted) {
      shapes = new Shapes(loaded.items, shifted);
      index = new Map(loaded.items.map(({ id }, at) => [id, at]));
      [drawnItems, drawnShifted] = [loaded.items, shifted];
    }
    marks = marksOf(shapes, plan, own());
    if (!sheet.hasLayer(layer)) layer.addTo(sheet);
    layer.update(shapes);
    say();
  };
  const pick = (at, origin) => select({ kind: "hazard", id: shapes.items[at].id }, origin);
  sheet.on("click", ({ latlng }) => {
    const at = marks && sheet.hasLayer(layer) ? layer.at(latlng, isShown) : -1;
    if (at >= 0) pick(at, "plot");
  });
  sheet.on("mousemove", ({ latlng }) => {
    if (looking || !marks || sheet.dragging.moving()) return;
    looking = requestAnimationFrame(() => { looking = null; sheet.getContainer().classList.toggle("over-danger", layer.at(latlng, isShown) >= 0); });
  });
  sheet.getContainer().addEventListener("keydown", (event) => {
    if (event.key.toLowerCase() !== "d" || event.ctrlKey || event.altKey || event.metaKey || !marks) return;
    const order = layer.fromMiddle(isShown);
    if (order.length === 0) return;
    event.preventDefault();
    const at = order.indexOf(selectedIndex());
    pick(order[(at + (event.shiftKey ? order.length - 1 : 1)) % order.length], "keys");
  });
  watch(["plan"], () => { lookLoaded(); });
  watch(["loaded"], show);
  let [shown, line] = [null, null];
  watch(["selected", "loaded"], () => {
    if (!marks) return;
    line?.remove();
    const at = selectedIndex();
    line = at >= 0 && isShown(at) && state.plan ? clearanceLine(state.plan, state.selected.id, drawnShifted) : null;
    line?.addTo(sheet);
    if (sameItem(shown, state.selected)) return;
    shown = state.selected;
    layer.draw();
    say();
  });
  const corners = (id) => {
    const at = index.get(id);
    if (at === undefined) return [];
    const [x0, y0, x1, y1] = shapes.boxes.subarray(4 * at, 4 * at + 4);
    const scale = sheet.options.crs.scale(0);
    return [[x0, y0], [x1, y1]].map(([x, y]) => sheet.unproject([x * scale, y * scale], 0));
  };
  return { corners };
}
