/** Latitude and longitude lines with their labels, drawn over the frame so that labels keep to its edges. */

import * as leaflet from "./leaflet.js";
import { el, replace, svg } from "../dom.js";

const MINUTES = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 900, 1800];
const ROOM_PX = 104;
const MAX_LATITUDE = 85;

/** The finest spacing of which lines still stand far enough apart. */
function spacing(minutesPerPixel) {
  return MINUTES.find((minutes) => minutes / minutesPerPixel >= ROOM_PX) ?? MINUTES[MINUTES.length - 1];
}

/** The multiples of `step` between two values, all in minutes; a whole number of steps avoids drift. */
function multiples(from, to, step) {
  const first = Math.ceil(from / step);
  const count = Math.min(Math.floor(to / step) - first + 1, 60);
  return Array.from({ length: Math.max(count, 0) }, (_, i) => (first + i) * step);
}

/** A grid line's label: degrees and minutes, with as many decimals as the spacing needs. */
function label(minutes, step, width, letters) {
  const places = step >= 1 ? 0 : step >= 0.1 ? 1 : 2;
  const scale = 10 ** places;
  const total = Math.round(Math.abs(minutes) * scale);
  const degrees = Math.floor(total / (60 * scale));
  const rest = (total - degrees * 60 * scale) / scale;
  const shown = String(degrees).padStart(width, "0");
  if (width === 3 && degrees === 180) return `${shown}-${rest.toFixed(places).padStart(places ? 3 + places : 2, "0")}`;
  const letter = total === 0 ? letters[0] : letters[minutes < 0 ? 1 : 0];
  return `${shown}-${rest.toFixed(places).padStart(places ? 3 + places : 2, "0")}${letter}`;
}

/** Longitude back between -180 and 180: the Plot may be drawn past 180. */
function wrapped(minutes) {
  return ((((minutes + 10800) % 21600) + 21600) % 21600) - 10800;
}

export const GridLayer = leaflet.Layer.extend({
  initialize() {},

  onAdd(map) {
    this.lines = svg("svg", { class: "grid-lines", "aria-hidden": "true" });
    this.labels = el("div", { class: "grid-labels", "aria-hidden": "true" });
    map.getContainer().prepend(this.lines);
    map.getContainer().append(this.labels);
    map.on("move zoom viewreset resize", this.draw, this);
    this.draw();
  },

  onRemove(map) {
    map.off("move zoom viewreset resize", this.draw, this);
    this.lines.remove();
    this.labels.remove();
  },

  draw() {
    const map = this._map;
    const size = map.getSize();
    if (size.x === 0 || size.y === 0) return;
    const [topLeft, bottomRight] = [map.containerPointToLatLng([0, 0]), map.containerPointToLatLng([size.x, size.y])];
    this.parts = { lines: [], labels: [] };
    this.parallels(map, size, topLeft, bottomRight);
    this.meridians(map, size, topLeft, bottomRight);
    replace(this.lines, this.parts.lines);
    replace(this.labels, this.parts.labels);
  },

  parallels(map, size, topLeft, bottomRight) {
    const step = spacing(((topLeft.lat - bottomRight.lat) * 60) / size.y);
    const [from, to] = [Math.max(bottomRight.lat, -MAX_LATITUDE), Math.min(topLeft.lat, MAX_LATITUDE)];
    for (const minutes of multiples(from * 60, to * 60, step)) {
      const { y } = map.latLngToContainerPoint([minutes / 60, topLeft.lng]);
      this.parts.lines.push(svg("line", { x1: 0, x2: size.x, y1: y, y2: y }));
      if (y > 14 && y < size.y - 44) this.addLabel(label(minutes, step, 2, "NS"), "grid-label-lat", { top: y });
    }
  },

  meridians(map, size, topLeft, bottomRight) {
    const step = spacing(((bottomRight.lng - topLeft.lng) * 60) / size.x);
    for (const minutes of multiples(topLeft.lng * 60, bottomRight.lng * 60, step)) {
      const { x } = map.latLngToContainerPoint([topLeft.lat, minutes / 60]);
      this.parts.lines.push(svg("line", { x1: x, x2: x, y1: 0, y2: size.y }));
      if (x > 50 && x < size.x - 50) this.addLabel(label(wrapped(minutes), step, 3, "EW"), "grid-label-lon", { left: x });
    }
  },

  addLabel(text, className, place) {
    const node = el("span", { class: `grid-label ${className}` }, text);
    for (const [side, pixels] of Object.entries(place)) node.style[side] = `${pixels}px`;
    this.parts.labels.push(node);
  },
});
