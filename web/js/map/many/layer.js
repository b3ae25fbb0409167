/**
 * A canvas over the sheet, larger than the view, that moves with it: while the Plot is panned nothing is drawn anew
 * until its edge comes into view. No element of the page stands for a single shape.
 */

import { el } from "../../dom.js";
import * as leaflet from "../leaflet.js";
import { colour as tokenColour } from "../coast.js";
import { paint } from "./paint.js";

const PAD = 0.4;
const REACH_PX = 14;

const forced = window.matchMedia("(forced-colors: active)");

/** Colours come from the palette in use; where the system says the colours, from the system. */
export function colour(token) {
  if (forced.matches) return token === "--sea" || token === "--shoal" ? "Canvas" : "CanvasText";
  return tokenColour(token);
}

export const ManyLayer = leaflet.Layer.extend({
  /** `groupsOf(shapes, indexes)` puts what is in view into groups of one colour; `drawn` hears how it was drawn. */
  initialize({ testId, zIndex, groupsOf, drawn }) {
    Object.assign(this, { testId, zIndex, groupsOf, drawn, shapes: null });
  },

  onAdd(map) {
    this.canvas = el("canvas", { class: "many leaflet-zoom-hide", "aria-hidden": "true", "data-testid": this.testId });
    const pane = map.getPane(this.testId) || map.createPane(this.testId);
    Object.assign(pane.style, { zIndex: this.zIndex, pointerEvents: "none" });
    pane.append(this.canvas);
    map.on("moveend zoomend viewreset resize", this.draw, this);
    map.on("move", this.follow, this);
    this.light = new MutationObserver(() => this.draw());
    this.light.observe(document.documentElement, { attributeFilter: ["data-light"] });
    this.draw();
  },

  onRemove(map) {
    map.off("moveend zoomend viewreset resize", this.draw, this);
    map.off("move", this.follow, this);
    this.light.disconnect();
    this.canvas.remove();
  },

  update(shapes) {
    this.shapes = shapes;
    this.draw();
  },

  /** Where the view lies, in pixels of the layers. */
  viewBox() {
    const min = this._map.containerPointToLayerPoint([0, 0]);
    return { min, max: min.add(this._map.getSize()) };
  },

  /** Draws anew only once the view has come to the edge of what is drawn. */
  follow() {
    if (!this.drawnBox) return;
    const { min, max } = this.viewBox();
    const box = this.drawnBox;
    if (min.x < box.min.x || min.y < box.min.y || max.x > box.max.x || max.y > box.max.y) this.draw();
  },

  draw() {
    const map = this._map;
    const size = map?.getSize();
    if (!size || size.x === 0 || size.y === 0) return;
    const pad = size.multiplyBy(PAD).round();
    const { min } = this.viewBox();
    const topLeft = min.subtract(pad).round();
    const [width, height] = [size.x + 2 * pad.x, size.y + 2 * pad.y];
    const ratio = window.devicePixelRatio || 1;
    const pen = this.blank(width, height, ratio);
    leaflet.DomUtil.setPosition(this.canvas, topLeft);
    this.drawnBox = { min: topLeft, max: topLeft.add([width, height]) };
    if (!this.shapes) return;
    const began = performance.now();
    const origin = map.getPixelOrigin().add(topLeft);
    const scale = map.options.crs.scale(map.getZoom());
    const view = { scale, left: origin.x, top: origin.y, width, height };
    const found = this.shapes.within(origin.x / scale, origin.y / scale, (origin.x + width) / scale, (origin.y + height) / scale);
    const groups = this.groupsOf(this.shapes, found);
    const detail = paint(pen, this.shapes, view, groups, ratio);
    Object.assign(this.canvas.dataset, { total: this.shapes.count, drawn: groups.reduce((sum, { indexes }) => sum + indexes.length, 0), detail: detail.name, ms: (performance.now() - began).toFixed(1) });
    this.drawn?.(detail);
  },

  /** The canvas without anything on it; its memory is kept while its size stays. */
  blank(width, height, ratio) {
    const { canvas } = this;
    const [wide, high] = [Math.round(width * ratio), Math.round(height * ratio)];
    if (canvas.width !== wide || canvas.height !== high) {
      Object.assign(canvas, { width: wide, height: high });
      Object.assign(canvas.style, { width: `${width}px`, height: `${height}px` });
    }
    const pen = canvas.getContext("2d");
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.clearRect(0, 0, wide, high);
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    return pen;
  },

  /** The shape under a place of the sheet, the nearest of those within reach, or -1. Rims go before what lies inside an area. */
  at(latlng, isShown) {
    if (!this.shapes) return -1;
    const scale = this._map.options.crs.scale(this._map.getZoom());
    const { x, y } = this._map.project(latlng).divideBy(scale);
    const reach = REACH_PX / scale;
    let [best, least] = [-1, reach];
    for (const index of this.shapes.within(x - reach, y - reach, x + reach, y + reach).filter(isShown)) {
      const distance = this.shapes.distance(index, x, y) || reach * 0.99;
      if (distance < least) [best, least] = [index, distance];
    }
    return best;
  },

  /** The shapes in view, the nearest to its middle first. */
  fromMiddle(isShown) {
    const map = this._map;
    const scale = map.options.crs.scale(map.getZoom());
    const bounds = map.getPixelBounds();
    const middle = bounds.getCenter().divideBy(scale);
    const found = this.shapes?.within(bounds.min.x / scale, bounds.min.y / scale, bounds.max.x / scale, bounds.max.y / scale).filter(isShown) || [];
    const away = new Map(found.map((index) => [index, this.shapes.distance(index, middle.x, middle.y)]));
    return found.sort((a, b) => away.get(a) - away.get(b));
  },
});
