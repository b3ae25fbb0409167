/**
 * What comes from charts and the coastline, drawn together under the track: each layer with a switch, a key, a table and
 * a file of its own. Nothing is drawn where nothing is known: water that no cell covers is hatched and says so.
 */

import { charts } from "../../charts/api.js";
import { cellOf, listCells } from "../../charts/cells.js";
import { el, replace } from "../../dom.js";
import { countText } from "../../format.js";
import { redraw } from "../../redraw.js";
import { CHARTED_LAYERS, layerFeatures } from "../../sailing.js";
import { set, state, watch } from "../../state.js";
import { layerRow, Switches } from "../layer_rows.js";
import { crossesAntimeridian } from "../model.js";
import { colour, ManyLayer } from "./layer.js";
import { Shapes } from "./shapes.js";

const MOST_OBJECTS = 20_000;
const KEPT = "wheelover_layers_off";

/** How each layer is drawn and called. */
const STYLES = {
  no_go: { words: "no-go areas: where a charted danger may lie, and water shallower than the safety contour", token: "--g1", pattern: "dots", width: 1.6 },
  margin: { words: "margins asked of the track beyond them", token: "--edge", dash: [6, 4], teeth: false, width: 1.4 },
  charted_area: { words: "charted areas with special conditions, restricted ones and parts of routeing measures", token: "--track", dash: [10, 4], teeth: false, width: 1.2 },
  coverage: { words: "water that cells of the plan cover", token: "--hull", dash: [14, 4, 2, 4], teeth: false, width: 1.4 },
  coverage_hole: { words: "not covered by any cell of the plan", token: "--ink2", pattern: "hatch", teeth: false, width: 1.2, label: "not covered" },
  land: { words: "track on land of the coastline", token: "--g1", teeth: true, width: 5 },
  cell: { words: "outlines of the kept cells", token: "--now", dash: [3, 5], teeth: false, width: 1.6 },
  object: { words: "objects of the shown cell", token: "--hull", teeth: false, width: 1 },
};
const ORDER = [...CHARTED_LAYERS, "cell", "object"];

const open = { table: null, page: 0 };

/** A pattern of one colour: wide diagonal lines, or dots. */
function patternCanvas(kind, ink) {
  const canvas = document.createElement("canvas");
  const side = kind === "hatch" ? 22 : 9;
  Object.assign(canvas, { width: side, height: side });
  const pen = canvas.getContext("2d");
  Object.assign(pen, { strokeStyle: ink, fillStyle: ink, lineWidth: 1.4 });
  if (kind === "dots") pen.fillRect(3, 3, 2, 2);
  else {
    pen.beginPath();
    [-side, 0, side].forEach((at) => { pen.moveTo(at - 2, side + 2); pen.lineTo(at + side + 2, -2); });
    pen.stroke();
  }
  return canvas;
}

const filled = (pen, { pattern }, ink) => (pattern ? pen.createPattern(patternCanvas(pattern, ink), "repeat") : null);

/** A small piece of a layer for its key, drawn as the layer is. */
function swatch(style) {
  const canvas = el("canvas", { class: "layer-swatch", width: 48, height: 22, "aria-hidden": "true" });
  const pen = canvas.getContext("2d");
  const ink = colour(style.token);
  const fill = filled(pen, style, ink);
  if (fill) { pen.fillStyle = fill; pen.fillRect(4, 4, 40, 14); }
  Object.assign(pen, { strokeStyle: ink, lineWidth: style.width });
  pen.setLineDash(style.dash || []);
  pen.strokeRect(4, 4, 40, 14);
  return canvas;
}

/* What there is to draw */

/** Features of the layers by name: those of the answer, the cells, the objects of one cell. */
function gather(objects) {
  const found = new Map();
  if (state.plan) CHARTED_LAYERS.forEach((name) => found.set(name, layerFeatures(state.plan, name)));
  if (state.cellsDrawn) {
    const cells = state.charts.items.filter(({ coverage, withdrawn_utc: gone }) => coverage && !gone);
    found.set("cell", cells.map((one) => ({ geometry: one.coverage, properties: { id: one.id, name: one.name, edition: one.producer_edition, scale: one.scale, issued: one.issued } })));
  }
  if (objects?.features) found.set("object", objects.features);
  return ORDER.filter((name) => found.get(name)?.length > 0).map((name) => ({ name, features: found.get(name) }));
}

let again = () => {};

/** What is in the shown cell, fetched once for each edition. */
async function fetchObjects(cell, put) {
  put({ of: cell.id, words: `Fetching the objects of ${cell.name}.` });
  try {
    const answer = await charts.features(cell.id, { box: cell.box_deg, edition: cell.edition, limit: MOST_OBJECTS });
    const left = answer.left_out_count;
    put({ of: cell.id, features: answer.features, words: `Cell ${cell.name}: ${countText(answer.features.length, "object")} drawn${left > 0 ? `, ${left} more are not` : ""}.` });
  } catch (error) {
    if (error.status === undefined && !error.unreachable) throw error;
    put({ of: cell.id, failed: true, words: `The objects of ${cell.name} were not fetched: ${error.detail}` });
  }
}

export function startLayers(sheet, { host }) {
  const switches = new Switches(KEPT);
  const [list, told] = [el("div", {}), el("p", { role: "status", "data-testid": "layers-told" })];
  replace(host, list, told);
  let [shapes, keys, objects, shownCell] = [null, [], null, null];
  const groupsOf = (_, found) => ORDER.map((name) => {
    const style = STYLES[name];
    const ink = colour(style.token);
    return { ...style, indexes: found.filter((index) => keys[index] === name), colour: ink, fill: filled(layer.canvas.getContext("2d"), style, ink), plate: colour("--panel") };
  }).filter(({ indexes }) => indexes.length > 0);
  const layer = new ManyLayer({ testId: "layers-canvas", zIndex: 370, groupsOf });
  layer.addTo(sheet);
  const boundsOf = (geometry) => {
    const one = new Shapes([{ geometry }], state.plan ? crossesAntimeridian(state.plan.request.route.waypoints) : false);
    const scale = sheet.options.crs.scale(0);
    return [one.boxes.subarray(0, 2), one.boxes.subarray(2, 4)].map(([x, y]) => sheet.unproject([x * scale, y * scale], 0));
  };
  const showOne = ({ geometry }) => { if (geometry) sheet.fitBounds(boundsOf(geometry), { padding: [60, 60], maxZoom: 16, animate: false }); };
  again = () => {
    const layers = gather(objects);
    const drawn = layers.filter(({ name }) => switches.isOn(name)).flatMap(({ name, features }) => features.filter(({ geometry }) => geometry).map(({ geometry }) => ({ name, geometry })));
    keys = drawn.map(({ name }) => name);
    shapes = new Shapes(drawn, state.plan ? crossesAntimeridian(state.plan.request.route.waypoints) : false);
    layer.update(shapes);
    redraw(list, layers.length > 0 && el("details", { "data-testid": "layers", open: list.querySelector("details")?.open ?? true }, el("summary", {}, `Layers of charts and coast: ${layers.length}`), el("ul", { class: "plain-list" }, layers.map((one) => layerRow(one, { words: STYLES[one.name].words, swatch: swatch(STYLES[one.name]) }, { switches, open, again, showOne })))));
    replace(told, objects?.words, objects && el("button", { type: "button", class: "linkish", on: { click: () => { objects = null; shownCell = null; set({ showCell: null }); again(); } } }, "Put its objects away"));
  };
  watch(["plan", "charts"], again);
  watch(["cellsDrawn"], () => { if (state.cellsDrawn && state.charts.status === "idle") listCells(); });
  watch(["showCell", "charts"], () => {
    const cell = state.showCell && cellOf(state.showCell);
    if (!cell || shownCell === `${cell.id} ${cell.edition}`) return;
    shownCell = `${cell.id} ${cell.edition}`;
    if (cell.coverage) showOne({ geometry: cell.coverage });
    fetchObjects(cell, (now) => { if (state.showCell === now.of) { objects = now; again(); } });
  });
  new MutationObserver(() => again()).observe(document.documentElement, { attributeFilter: ["data-light"] });
}
