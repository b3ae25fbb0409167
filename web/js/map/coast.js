/** The coastline behind the passage, tile by tile from the service. For orientation only; nothing is checked against it. */

import * as leaflet from "./leaflet.js";
import { el, replace } from "../dom.js";
import { state } from "../state.js";

const KEPT = "wheelover_coastline";
const TILE_PX = 256;
const MOST_ZOOM = 14;
const MOST_KEPT = 200;

/** Colours come from the palette in use, so that a change of light repaints at once; asked for once in each light, since asking takes long. */
const colours = new Map();
export function colour(token) {
  const key = `${document.documentElement.dataset.light} ${token}`;
  if (!colours.has(key)) colours.set(key, getComputedStyle(document.documentElement).getPropertyValue(token).trim());
  return colours.get(key);
}

/** Land as one path in tile units: each ring is a place and steps from it. Lakes are rings of their own. */
function landPath(rings) {
  const path = new Path2D();
  for (const ring of rings) {
    let [x, y] = [ring[0], ring[1]];
    path.moveTo(x, y);
    for (let i = 2; i < ring.length; i += 2) {
      x += ring[i];
      y += ring[i + 1];
      path.lineTo(x, y);
    }
    path.closePath();
  }
  return path;
}

/** The words across a tile that could not be had: water is never a guess. */
function paintFailed(pen, x, y, size) {
  pen.strokeStyle = colour("--rule");
  pen.strokeRect(x + 4, y + 4, size - 8, size - 8);
  pen.fillStyle = colour("--ink2");
  pen.font = "14px sans-serif";
  pen.fillText("coastline not loaded", x + 16, y + size / 2);
}

/**
 * One canvas behind grid and track, drawn from tiles that are kept. It lies under the map library's own
 * panes, so that grid lines and their labels stay readable over land.
 */
const CoastLayer = leaflet.Layer.extend({
  initialize(told) {
    this.told = told;
    this.tiles = new Map();
  },

  onAdd(map) {
    this.canvas = el("canvas", { class: "coast", "aria-hidden": "true", "data-testid": "coast" });
    map.getContainer().prepend(this.canvas);
    map.on("move zoom viewreset resize", this.draw, this);
    this.draw();
  },

  onRemove(map) {
    map.off("move zoom viewreset resize", this.draw, this);
    this.tiles.forEach((tile) => tile.stop.abort());
    this.tiles.clear();
    this.canvas.remove();
  },

  draw() {
    const map = this._map;
    const size = map?.getSize();
    if (!size || size.x === 0 || size.y === 0) return;
    const ratio = window.devicePixelRatio || 1;
    Object.assign(this.canvas, { width: Math.round(size.x * ratio), height: Math.round(size.y * ratio) });
    const pen = this.canvas.getContext("2d");
    const zoom = Math.max(0, Math.min(Math.round(map.getZoom()), MOST_ZOOM));
    const side = TILE_PX * map.getZoomScale(map.getZoom(), zoom);
    const origin = map.getPixelBounds().min;
    const wanted = new Set();
    for (let row = Math.max(Math.floor(origin.y / side), 0); row * side < origin.y + size.y && row < 2 ** zoom; row += 1) {
      for (let column = Math.floor(origin.x / side); column * side < origin.x + size.x; column += 1) {
        const key = `${zoom}/${((column % 2 ** zoom) + 2 ** zoom) % 2 ** zoom}/${row}`;
        wanted.add(key);
        pen.setTransform(ratio, 0, 0, ratio, 0, 0);
        this.paint(pen, this.tile(key), column * side - origin.x, row * side - origin.y, side, ratio);
      }
    }
    this.forget(wanted);
    this.tell(wanted);
  },

  paint(pen, tile, x, y, side, ratio) {
    if (tile.failed) paintFailed(pen, x, y, side);
    if (!tile.land) return;
    const scale = (side / tile.extent) * ratio;
    pen.save();
    pen.beginPath();
    pen.rect(x - 0.5, y - 0.5, side + 1, side + 1); // a little over its neighbours, else seams show
    pen.clip();
    pen.setTransform(scale, 0, 0, scale, x * ratio, y * ratio);
    pen.fillStyle = colour("--land");
    pen.fill(tile.land, "evenodd");
    pen.restore();
  },

  /** A tile that is kept or on its way; the first look at one asks for it. */
  tile(key) {
    const kept = this.tiles.get(key);
    if (kept) return kept;
    const tile = { stop: new AbortController() };
    this.tiles.set(key, tile);
    this.fetchTile(key, tile);
    return tile;
  },

  async fetchTile(key, tile) {
    try {
      const answer = await fetch(`/api/v1/coastline/${key}`, { signal: tile.stop.signal });
      const body = await answer.json();
      if (!answer.ok) throw new Error(body.detail || `status ${answer.status}`);
      Object.assign(tile, { land: landPath(body.rings), extent: body.extent, resolution: body.resolution });
    } catch (error) {
      if (error.name === "AbortError") return;
      tile.failed = error.message;
    }
    this.draw();
  },

  /** Lets go of tiles out of sight: those on their way at once, the rest when many are kept. */
  forget(wanted) {
    for (const [key, tile] of this.tiles) {
      const waiting = !tile.land && !tile.failed;
      if (wanted.has(key) || !(waiting || tile.failed || this.tiles.size > MOST_KEPT)) continue;
      tile.stop.abort();
      this.tiles.delete(key);
    }
  },

  tell(wanted) {
    const seen = [...wanted].map((key) => this.tiles.get(key)).filter(Boolean);
    this.told(seen.find((tile) => tile.resolution)?.resolution, seen.find((tile) => tile.failed)?.failed);
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
    const said = fault ? `Coastline not loaded: ${fault}` : resolution && `Coastline GSHHG (${resolution}), for orientation only: ${state.plan?.request.check_land ? "the land check has its own words under Charts" : "nothing is checked against it"}.`;
    if (said && words.textContent !== said) replace(words, said);
  });
  const setOn = (on) => {
    button.setAttribute("aria-pressed", String(on));
    if (on) layer.addTo(sheet); else { layer.remove(); replace(words, "Coastline switched off."); }
  };
  button.addEventListener("click", () => { const on = !sheet.hasLayer(layer); setOn(on); keep(on); });
  tools.append(button);
  foot.append(words);
  new MutationObserver(() => layer.draw()).observe(document.documentElement, { attributeFilter: ["data-light"] });
  setOn(!keptOff());
}
