/** The coastline behind the passage, tile by tile from the service. For orientation only; nothing is checked against it. */

import * as leaflet from "/vendor/leaflet/leaflet-src.esm.js";
import { el, replace } from "../dom.js";

const KEPT = "wheelover_coastline";
const TILE_PX = 256;

/** Colours come from the palette in use, so that a change of light repaints at once. */
function colour(token) {
  return getComputedStyle(document.documentElement).getPropertyValue(token).trim();
}

/** Land as one path: each ring is a place and steps from it. Lakes are rings of their own, hence even-odd. */
function landPath(rings, scale) {
  const path = new Path2D();
  for (const ring of rings) {
    let [x, y] = [ring[0], ring[1]];
    path.moveTo(x * scale, y * scale);
    for (let i = 2; i < ring.length; i += 2) {
      x += ring[i];
      y += ring[i + 1];
      path.lineTo(x * scale, y * scale);
    }
    path.closePath();
  }
  return path;
}

/** Draws a tile: its land, or, where it could not be had, the words for that. Water is never a guess. */
function paint(canvas) {
  const pen = canvas.getContext("2d");
  pen.clearRect(0, 0, canvas.width, canvas.height);
  if (canvas.coast) {
    pen.fillStyle = colour("--land");
    pen.fill(landPath(canvas.coast.rings, canvas.width / canvas.coast.extent), "evenodd");
  } else if (canvas.failed) {
    const unit = canvas.width / TILE_PX;
    pen.strokeStyle = colour("--rule");
    pen.lineWidth = unit;
    for (let x = -TILE_PX; x < TILE_PX; x += 32) {
      pen.beginPath();
      pen.moveTo(x * unit, 0);
      pen.lineTo((x + TILE_PX) * unit, TILE_PX * unit);
      pen.stroke();
    }
    pen.fillStyle = colour("--ink2");
    pen.font = `${14 * unit}px sans-serif`;
    pen.fillText("coastline not loaded", 60 * unit, 132 * unit);
  }
}

const CoastLayer = leaflet.GridLayer.extend({
  initialize(told) {
    leaflet.setOptions(this, { pane: "tilePane", tileSize: TILE_PX, maxNativeZoom: 14, maxZoom: 20, updateWhenZooming: false, keepBuffer: 1 });
    this.told = told;
    this.on("tileunload", ({ tile }) => tile.stop?.abort());
  },

  createTile(coords, done) {
    const canvas = el("canvas", { class: "coast-tile" });
    const pixels = Math.round(TILE_PX * (window.devicePixelRatio || 1));
    Object.assign(canvas, { width: pixels, height: pixels, stop: new AbortController() });
    this.fetchTile(canvas, coords).then(() => done(null, canvas), (error) => done(error, canvas));
    return canvas;
  },

  async fetchTile(canvas, { z, x, y }) {
    if (y < 0 || y >= 2 ** z) return;
    try {
      const answer = await fetch(`/api/v1/coastline/${z}/${x}/${y}`, { signal: canvas.stop.signal });
      if (!answer.ok) throw new Error((await answer.json()).detail || `status ${answer.status}`);
      canvas.coast = await answer.json();
      this.told(canvas.coast.resolution, null);
    } catch (error) {
      if (error.name === "AbortError") return;
      canvas.failed = true;
      this.told(null, error.message);
    } finally {
      paint(canvas);
    }
  },

  repaint() {
    Object.values(this._tiles || {}).forEach(({ el: canvas }) => paint(canvas));
  },
});

/** Whether the coastline was switched off; where nothing can be kept it is on. */
function keptOff() {
  try {
    return localStorage.getItem(KEPT) === "off";
  } catch {
    return false;
  }
}

function keep(on) {
  try {
    localStorage.setItem(KEPT, on ? "on" : "off");
  } catch {
    return; // a browser that keeps nothing shows the coastline again next time
  }
}

/** Puts the coastline on the sheet, its switch among the tools and its words under the Plot. */
export function startCoast(sheet, { tools, foot }) {
  const words = el("span", { "data-testid": "coast-words" });
  const button = el("button", { type: "button", "data-testid": "coast-switch" }, "Coastline");
  const layer = new CoastLayer((resolution, fault) => {
    replace(words, fault ? `Coastline not loaded: ${fault}` : `Coastline GSHHG (${resolution}), for orientation only: nothing is checked against it.`);
  });
  const setOn = (on) => {
    button.setAttribute("aria-pressed", String(on));
    if (on) layer.addTo(sheet); else { layer.remove(); replace(words, "Coastline switched off."); }
  };
  button.addEventListener("click", () => { const on = !sheet.hasLayer(layer); setOn(on); keep(on); });
  tools.append(button);
  foot.append(words);
  new MutationObserver(() => layer.repaint()).observe(document.documentElement, { attributeFilter: ["data-light"] });
  setOn(!keptOff());
}
