/**
 * What the team steers and watches by, on the Plot: marks, cues, index and clearing lines, transits, times, action points. Each layer
 * has a switch, a key, a table and a file of its own.
 */

import * as leaflet from "../leaflet.js";
import { el, replace, svg } from "../../dom.js";
import { redraw } from "../../redraw.js";
import { AID_LAYERS, layerFeatures } from "../../sailing.js";
import { state, watch } from "../../state.js";
import { layerRow, Switches } from "../layer_rows.js";
import { crossesAntimeridian, linesOf, placer, pointsOf } from "../model.js";
import { clipped } from "../placing.js";
import { plate, PLATE_HEIGHT, textWidth } from "../symbols.js";
import { AID_STYLES } from "./styles.js";
import { feathers, POINT_SYMBOLS } from "./symbols.js";

const KEPT = "wheelover_aids_off";
const MARGIN_PX = 40;
/** A line shorter than this on the screen has no label. */
const LABEL_FROM_PX = 60;

/** A small piece of a layer for its key, drawn as the layer is. */
function swatch({ line, mark }) {
  const body = mark ? POINT_SYMBOLS[mark]({ x: 24, y: mark === "mark" ? 17 : 11 }, { source: "you" }) : svg("path", { d: "M3 11H45", class: `aid-line ${line}` });
  return svg("svg", { viewBox: "0 0 48 22", width: 48, height: 22, "aria-hidden": "true", class: "layer-swatch" }, body);
}

/** The longest piece of a line that is in view, as its ends. */
function longestInView(pixels, room) {
  const pieces = pixels.slice(1).map((to, i) => clipped(pixels[i], to, room)).filter(Boolean);
  const length = ([a, b]) => Math.hypot(b.x - a.x, b.y - a.y);
  return pieces.sort((a, b) => length(b) - length(a))[0] || null;
}

/** Draws the layers that are on; `places` are those that the track's own labels have left free. */
class AidDrawing {
  constructor(sheet) {
    this.sheet = sheet;
    Object.assign(sheet.createPane("aids").style, { zIndex: 440, pointerEvents: "none" });
    this.root = svg("svg", { class: "symbols aids leaflet-zoom-hide", width: 1, height: 1, "aria-hidden": "true", "data-testid": "plot-aids" });
    sheet.getPane("aids").append(this.root);
    this.items = [];
  }

  /** Takes the features of the layers that are on. */
  take(layers, place) {
    if (layers.length === 0) { this.items = []; return; }
    const marks = new Map(layerFeatures(state.plan, "mark").map(({ geometry, properties }) => [properties.id, pointsOf(geometry, place)[0]]));
    this.items = layers.flatMap(({ name, features }) => features.filter(({ geometry }) => geometry).map(({ geometry, properties }) => ({
      name, properties, lines: linesOf(geometry, place), points: pointsOf(geometry, place), at: marks.get(properties.mark_id) })));
  }

  pixel(point) { return this.sheet.latLngToLayerPoint(point); }

  draw(places) {
    const size = this.sheet.getSize();
    const [min, max] = [this.sheet.containerPointToLayerPoint([-MARGIN_PX, -MARGIN_PX]), this.sheet.containerPointToLayerPoint([size.x + MARGIN_PX, size.y + MARGIN_PX])];
    this.room = { min, max };
    replace(this.root, this.items.map((item) => this.item(item, places)));
  }

  item({ name, properties, lines, points, at }, places) {
    const style = AID_STYLES[name];
    const text = style.label?.(properties) || null;
    return [...lines.map(({ points: corners, closed }) => this.line(corners.map((point) => this.pixel(point)), { closed, style, text, at: at && this.pixel(at) }, places)),
      ...points.map((point) => this.point(this.pixel(point), { style, text, properties }, places))];
  }

  line(pixels, { closed, style, text, at }, places) {
    const seen = longestInView(pixels, this.room);
    if (!seen) return null;
    const d = `${pixels.map(({ x, y }, i) => `${i === 0 ? "M" : "L"}${x.toFixed(1)} ${y.toFixed(1)}`).join("")}${closed ? "Z" : ""}`;
    return svg("g", { "data-aid": style.line }, svg("path", { d, class: `aid-line ${style.line}` }), style.feathers && feathers(pixels, at), text && this.lineLabel(seen, text, places));
  }

  lineLabel([a, b], text, places) {
    if (!places || Math.hypot(b.x - a.x, b.y - a.y) < LABEL_FROM_PX) return null;
    const width = textWidth(text) + 10;
    const spots = [0.5, 0.35, 0.65, 0.2, 0.8].flatMap((t) => [0, 16, -16].map((by) => ({ x: a.x + (b.x - a.x) * t, y: a.y + (b.y - a.y) * t + by })));
    const spot = places.first(spots, width, PLATE_HEIGHT);
    return spot && plate(spot, text, "aid-plate");
  }

  point(pixel, { style, text, properties }, places) {
    const { min, max } = this.room;
    if (pixel.x < min.x || pixel.x > max.x || pixel.y < min.y || pixel.y > max.y) return null;
    const width = text && textWidth(text) + 10;
    const spot = text && places?.first([[width / 2 + 12, -8], [-width / 2 - 12, -8], [0, -28], [0, 20]].map(([x, y]) => ({ x: pixel.x + x, y: pixel.y + y })), width, PLATE_HEIGHT);
    return svg("g", { "data-aid": style.mark || style.line }, POINT_SYMBOLS[style.mark || "time"](pixel, properties), spot && plate(spot, text, "aid-plate"));
  }
}

export function startAids(sheet, { host, symbols }) {
  const switches = new Switches(KEPT);
  const open = { table: null, page: 0 };
  const list = el("div", {});
  replace(host, list);
  const drawing = new AidDrawing(sheet);
  const place = () => placer(crossesAntimeridian(state.plan.request.route.waypoints));
  const showOne = ({ geometry }) => {
    const points = [...linesOf(geometry, place()).flatMap((one) => one.points), ...pointsOf(geometry, place())];
    if (points.length > 0) sheet.fitBounds(leaflet.latLngBounds(points), { padding: [60, 60], maxZoom: 16, animate: false });
  };
  const again = () => {
    const layers = state.plan ? AID_LAYERS.map((name) => ({ name, features: layerFeatures(state.plan, name) })).filter(({ features }) => features.length > 0) : [];
    drawing.take(layers.filter(({ name }) => switches.isOn(name)), state.plan && place());
    const wasOpen = list.querySelector("details")?.open ?? false;
    redraw(list, layers.length > 0 && el("details", { "data-testid": "aids", open: wasOpen }, el("summary", {}, `Layers to steer and watch by: ${layers.length}`),
      el("ul", { class: "plain-list" }, layers.map((one) => layerRow(one, { words: AID_STYLES[one.name].words, swatch: swatch(AID_STYLES[one.name]) }, { switches, open, again, showOne })))));
    symbols.draw(); // labels of the track come first, and then those of the layers
  };
  symbols.after = (places) => drawing.draw(places);
  watch(["plan"], again);
}
