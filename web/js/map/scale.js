/** A scale bar in nautical miles, for the middle of the Plot: a minute of latitude drawn there. */

import * as leaflet from "./leaflet.js";
import { el, replace } from "../dom.js";

const LENGTHS_NM = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
const WIDEST_PX = 150;

/** Pixels of one minute of latitude about the middle; for drawing the bar, never for a figure of the plan. */
function pixelsPerMinute(map) {
  const { lat, lng } = map.getCenter();
  return map.project([lat - 0.05, lng]).subtract(map.project([lat + 0.05, lng])).y / 6;
}

export const ScaleBar = leaflet.Control.extend({
  options: { position: "bottomright" },

  onAdd(map) {
    this.text = el("span", {});
    this.bar = el("span", { class: "scale-bar", "aria-hidden": "true" });
    map.on("move zoom resize", this.draw, this);
    map.whenReady(this.draw, this);
    return el("div", { class: "scale", "data-testid": "scale" }, this.text, this.bar);
  },

  onRemove(map) {
    map.off("move zoom resize", this.draw, this);
  },

  draw() {
    const map = this._map;
    if (!map) return;
    const pixels = pixelsPerMinute(map);
    const length = LENGTHS_NM.filter((one) => one * pixels <= WIDEST_PX).pop() ?? LENGTHS_NM[0];
    this.bar.style.width = `${Math.max(length * pixels, 1)}px`;
    replace(this.text, `${length} NM at the middle`);
  },
});
