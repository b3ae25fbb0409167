/** What the Plot of two revisions draws by pixel: hollow bars where it was, solid bars where it is, arrows between, words on plates. */

import * as leaflet from "./leaflet.js";
import { replace, svg } from "../dom.js";
import { numberText } from "../format.js";
import { Places } from "./placing.js";
import { arrow, plate, PLATE_HEIGHT, shifted, starboardOf, textWidth, through, waypointBars } from "./symbols.js";

const AROUND = [[0, -26], [0, 26], [48, 0], [-48, 0], [48, -24], [-48, -24], [48, 24], [-48, 24], [0, -50], [0, 50], [76, 0], [-76, 0]];

/** The bars of a waypoint as it was: the same two, hollow. */
function hollowBars(point, way) {
  const across = starboardOf(way);
  const bar = (from, to) => {
    const corners = [shifted(shifted(point, across, from), way, -2), shifted(shifted(point, across, from), way, 2), shifted(shifted(point, across, to), way, 2), shifted(shifted(point, across, to), way, -2)];
    return svg("polygon", { points: corners.map(({ x, y }) => `${x},${y}`).join(" "), class: "bar-was" });
  };
  return svg("g", {}, bar(4, 14), bar(-4, -14));
}

/** The direction on the screen from one pixel to another. */
function wayOf(a, b) {
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  return length < 1 ? { x: 0, y: -1 } : { x: (b.x - a.x) / length, y: (b.y - a.y) / length };
}

export const ReviewSymbols = leaflet.Layer.extend({
  initialize(onPress) {
    this.onPress = onPress;
    this.model = null;
    this.chosen = null;
  },

  onAdd(map) {
    this.root = svg("svg", { class: "symbols leaflet-zoom-hide", width: 1, height: 1, "aria-hidden": "true" });
    map.getPane("symbols").append(this.root);
    map.on("moveend zoomend viewreset resize", this.draw, this);
    this.draw();
  },

  onRemove(map) {
    map.off("moveend zoomend viewreset resize", this.draw, this);
    this.root.remove();
  },

  update(model, chosen) {
    Object.assign(this, { model, chosen });
    this.draw();
  },

  pixel(point) {
    return this._map.latLngToLayerPoint(point);
  },

  item(key, className, ...children) {
    const press = (event) => { event.stopPropagation(); this.onPress(key); };
    return svg("g", { class: `${className} leg-item${key === this.chosen ? " is-selected" : ""}`, "data-review-item": key, on: { click: press } }, children);
  },

  label(point, text, className, places) {
    const width = textWidth(text) + 10;
    const spots = AROUND.map(([x, y]) => ({ x: point.x + Math.sign(x) * (width / 2 + Math.abs(x) / 2 - 6) * (x ? 1 : 0), y: point.y + y }));
    return plate(places.firstOrAny(spots, width, PLATE_HEIGHT), text, className);
  },

  draw() {
    if (!this._map) return;
    if (!this.model) { replace(this.root); return; }
    const places = new Places({ min: this._map.containerPointToLayerPoint([0, 0]), max: this._map.containerPointToLayerPoint(this._map.getSize()) });
    const { waypoints, arrows, dangers } = this.model;
    waypoints.forEach(({ point }) => places.take(this.pixel(point), 24, 24));
    replace(this.root, arrows.map((one) => this.arrow(one, places)), waypoints.map((one) => this.waypoint(one, places)), dangers.map((one) => this.danger(one, places)));
  },

  waypoint({ key, point, index, revision, courseIn, courseOut, changed }, places) {
    const at = this.pixel(point);
    const way = through(courseIn, courseOut);
    const [was, text] = [revision === "was", numberText(index)];
    const vital = changed || key === this.chosen;
    return this.item(key, was ? "waypoint-was" : "waypoint-now", was ? hollowBars(at, way) : waypointBars(at, way),
      vital && this.label(at, was ? `was ${text}` : `now ${text}`, was ? "was-plate" : "now-plate", places));
  },

  /** From where it was to where it is, with the distance and direction the service gave. */
  arrow({ key, points, label }, places) {
    const [from, to] = [this.pixel(points[0]), this.pixel(points.at(-1))];
    const way = wayOf(from, to);
    return this.item(key, "moved-item", svg("line", { x1: from.x, y1: from.y, x2: to.x, y2: to.y, class: "moved-line" }), arrow(shifted(to, way, -7), way),
      this.label({ x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 }, label, "moved-plate", places));
  },

  danger({ key, point, revision, what, id }, places) {
    const at = this.pixel(point);
    return this.item(key, "hazard-item", svg("circle", { cx: at.x, cy: at.y, r: 9, class: revision === "was" ? "ring ring-was" : "ring" }), this.label(at, `${revision} ${id}: ${what}`, "hazard-plate", places));
  },
});
