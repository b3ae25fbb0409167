/** One SVG over the lines, redrawn when the scale or the view changes: plates, bars, rings, flags. */

import * as leaflet from "./leaflet.js";
import { replace, svg } from "../dom.js";
import { courseText, decimals, known, metresText, numberText, sideText } from "../format.js";
import { sameItem, select } from "../state.js";
import { flagsFit, turnFlags } from "./flags.js";
import { clipped, Places } from "./placing.js";
import { arrow, comb, plate, PLATE_HEIGHT, shifted, starboardOf, textWidth, through, toothRing, waypointBars } from "./symbols.js";

const LEG_LABEL_FROM_PX = 80;
const MARGIN_PX = 60;
const TRACK_STEP_PX = 12;
const FEW_WAYPOINTS = 40;
/** So many dangers that are not kept clear of are named whatever the room; more would hide the track. */
const MOST_FORCED = 25;

/** Places for a label about a point danger, the nearest first. */
function around(width) {
  const away = width / 2 + 14;
  const half = width / 2 - 10;
  return [[away, 0], [-away, 0], [0, -22], [0, 22], [half, -23], [half, 23], [-half, -23], [-half, 23],
    [away, -20], [away, 20], [-away, -20], [-away, 20], [half, -44], [half, 44], [-half, -44], [-half, 44]];
}

/** Where a label of this width stands when it continues a line past its end. */
function beyond(from, end, width) {
  const length = Math.hypot(end.x - from.x, end.y - from.y);
  const way = { x: (end.x - from.x) / length, y: (end.y - from.y) / length };
  const by = Math.min(width / 2 / Math.max(Math.abs(way.x), 1e-6), PLATE_HEIGHT / 2 / Math.max(Math.abs(way.y), 1e-6)) + 3;
  return shifted(end, way, by);
}

export const SymbolLayer = leaflet.Layer.extend({
  initialize(onDrawn) {
    this.onDrawn = onDrawn;
    this.model = null;
    this.selected = null;
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

  /** Shows another plan or another selection. */
  update(model, selected) {
    this.model = model;
    this.selected = selected;
    this.draw();
  },

  pixel(point) {
    return this._map.latLngToLayerPoint(point);
  },

  inView(point) {
    const { x, y } = this._map.layerPointToContainerPoint(point);
    const size = this._map.getSize();
    return x > -MARGIN_PX && y > -MARGIN_PX && x < size.x + MARGIN_PX && y < size.y + MARGIN_PX;
  },

  /** A group that selects its item when pressed. */
  item(item, className, ...children) {
    const on = sameItem(item, this.selected) ? " is-selected" : "";
    return svg("g", { class: `${className}${on}`, "data-plot-item": `${item.kind}-${item.id ?? item.index}`, on: { click: (event) => { event.stopPropagation(); select(item, "plot"); } } }, children);
  },

  draw() {
    if (!this._map) return;
    if (!this.model) { replace(this.root); this.after?.(null); return; }
    const size = this._map.getSize();
    const places = new Places({ min: this._map.containerPointToLayerPoint([0, 0]), max: this._map.containerPointToLayerPoint(size) });
    const corners = new Map(this.model.waypoints.map((waypoint) => [waypoint.index, this.pixel(waypoint.point)]));
    this.reserve(places, corners);
    const waypoints = this.model.waypoints.map((waypoint) => this.waypoint(waypoint, corners.get(waypoint.index), places));
    const flags = this.model.turnRows.map((turn, index) => this.flags(turn, index, corners, places));
    const lines = this.model.wheelOverLines.map((line) => this.wheelOverLine(line, places));
    this.forced = 0;
    const hazards = this.model.hazards.map((hazard) => this.hazard(hazard, places));
    const clearances = this.model.clearances.map((one) => this.clearance(one, places));
    const legs = this.model.legEnds.map((leg) => this.leg(leg, places));
    const alternatives = this.model.alternatives.map((one) => this.alternative(one, places));
    replace(this.root, alternatives, legs, clearances, hazards, lines, flags, waypoints);
    this.after?.(places);
    this.onDrawn?.();
  },

  /** Points that no label may cover. */
  reserve(places, corners) {
    corners.forEach((corner) => places.take(corner, 26, 26));
    this.model.hazards.flatMap((hazard) => hazard.points).map((point) => this.pixel(point)).filter((point) => this.inView(point))
      .forEach((point) => places.take(point, 20, 20));
    this.model.legs.flatMap((leg) => leg.lines).forEach(({ points }) => this.reserveLine(places, points.map((point) => this.pixel(point))));
  },

  /** Keeps labels off the track by small boxes along it, as far as it is in view. */
  reserveLine(places, pixels) {
    pixels.slice(1).forEach((end, i) => {
      const [from, to] = clipped(pixels[i], end, places.view) || [];
      const count = from ? Math.min(Math.ceil(Math.hypot(to.x - from.x, to.y - from.y) / TRACK_STEP_PX), 200) : 0;
      for (let n = 1; n < count; n += 1) {
        places.take({ x: from.x + ((to.x - from.x) * n) / count, y: from.y + ((to.y - from.y) * n) / count }, 8, 8);
      }
    });
  },

  waypoint(waypoint, corner, places) {
    if (!this.inView(corner)) return null;
    const way = through(waypoint.courseIn, waypoint.courseOut);
    const outside = waypoint.side === "starboard" ? -1 : 1;
    const across = starboardOf(way);
    const text = numberText(waypoint.index);
    const hole = waypoint.gap_before || this.model.holes.has(waypoint.index);
    const item = { kind: "waypoint", index: waypoint.index };
    const spots = [1, -1].flatMap((sign) => [28, 40].map((by) => shifted(corner, across, by * sign * outside)));
    const vital = hole || this.model.waypoints.length <= FEW_WAYPOINTS || sameItem(item, this.selected);
    const spot = places[vital ? "firstOrAny" : "first"](spots, textWidth(text) + 10, PLATE_HEIGHT);
    if (!spot) {
      this.flagsHidden = true; // crowded: the number comes from closer in, and the foot line says so
      return null;
    }
    const holeSpot = hole && places.firstOrAny([-1, 1].map((sign) => shifted(spot, { x: 0, y: 1 }, sign * 22)), 52, PLATE_HEIGHT);
    return this.item(item, "waypoint-item", waypointBars(corner, way), plate(spot, text, "number-plate"), hole && plate(holeSpot, "HOLE", "hole-plate"));
  },

  flags(turn, index, corners, places) {
    const corner = corners.get(turn.waypoint_index);
    const flags = this.model.flags.filter((flag) => flag.turn === index).map((flag) => ({ ...flag, at: this.pixel(flag.point) }));
    if (!corner || flags.length === 0 || !known(turn.course_in_deg) || !this.inView(corner)) return null;
    const close = flagsFit(corner, flags.find((flag) => flag.planned)?.at);
    this.flagsHidden ||= !close;
    return this.item({ kind: "turn", index }, "flag-item", turnFlags({ flags, corner, courseIn: turn.course_in_deg, side: turn.side, close, places }));
  },

  /** The offset of the wheel-over line, at whichever end is free. */
  wheelOverLine(line, places) {
    const points = line.lines[0]?.points;
    if (!points || !known(line.offset_m)) return null;
    const ends = [points[points.length - 1], points[0]].map((point) => this.pixel(point));
    if (Math.hypot(ends[0].x - ends[1].x, ends[0].y - ends[1].y) < 60) return null;
    const text = `${metresText(Math.abs(line.offset_m))} m ${sideText(line.offset_side)}`;
    const width = textWidth(text) + 10;
    const spot = places.first(ends.map((end, i) => beyond(ends[1 - i], end, width)), width, PLATE_HEIGHT);
    return spot && plate(spot, text, "offset-plate");
  },

  hazard(hazard, places) {
    const pixels = hazard.points.map((point) => this.pixel(point)).filter((point) => this.inView(point));
    const edges = hazard.lines.map(({ points, closed }) => ({ pixels: points.map((point) => this.pixel(point)), closed }));
    const anchor = pixels[0] || this.edgeAnchor(hazard, edges);
    if (!anchor) return null;
    return this.item({ kind: "hazard", id: hazard.id }, "hazard-item",
      pixels.map(toothRing), edges.map(({ pixels: edge, closed }) => comb(edge, closed)), this.hazardLabel(hazard, anchor, places));
  },

  /** Where the name of a line or an area stands: where the track is nearest, else at a corner in view. */
  edgeAnchor({ nearestPoint }, edges) {
    const nearest = nearestPoint && this.pixel(nearestPoint);
    if (nearest && this.inView(nearest)) return nearest;
    return edges.flatMap(({ pixels }) => pixels).find((point) => this.inView(point));
  },

  hazardLabel(hazard, anchor, places) {
    const notMet = hazard.clearance?.met === false;
    const name = hazard.name || hazard.kind || hazard.id;
    const words = (...parts) => parts.filter(Boolean).join(" ");
    const texts = [words(name, known(hazard.depth_m) && `${decimals(hazard.depth_m, 1)} m`, notMet && "NOT MET"), words(name, notMet && "NOT MET"), notMet ? "NOT MET" : name];
    for (const text of texts) {
      const width = textWidth(text) + 10;
      const spots = around(width).map(([x, y]) => ({ x: anchor.x + x, y: anchor.y + y }));
      const vital = notMet && text === texts[2] && this.forced < MOST_FORCED;
      if (vital) this.forced += 1;
      const spot = vital ? places.firstOrAny(spots, width, PLATE_HEIGHT) : places.first(spots, width, PLATE_HEIGHT);
      if (spot) return plate(spot, text, notMet ? "hazard-plate not-met-plate" : "hazard-plate");
    }
    return null;
  },

  clearance(one, places) {
    const ends = one.lines[0]?.points.map((point) => this.pixel(point));
    if (!ends || ends.length < 2 || !sameItem({ kind: "hazard", id: one.hazard_id }, this.selected) || !known(one.distance_m)) return null;
    const [a, b] = [ends[0], ends[ends.length - 1]];
    const text = `${metresText(one.distance_m)} m`;
    const middle = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
    const width = textWidth(text) + 10;
    const spot = places.first([[0, 0], [width / 2 + 8, 0], [-width / 2 - 8, 0], [0, 22], [0, -22]].map(([x, y]) => ({ x: middle.x + x, y: middle.y + y })), width, PLATE_HEIGHT);
    return spot && plate(spot, text, "clearance-plate");
  },

  /** The name of an alternative beside the middle of its longest leg on the screen that is not also one of the route. */
  alternative({ id, name, lines }, places) {
    const ends = ({ points }) => [points[0], points.at(-1)];
    const named = (points) => points.flat().map((value) => value.toFixed(5)).join(" ");
    const own = new Set(this.model.legEnds.filter(({ from, to }) => from && to).map(({ from, to }) => named([from, to])));
    const legs = lines.filter((one) => !own.has(named(ends(one)))).map((one) => ends(one).map((point) => this.pixel(point)));
    const length = ([a, b]) => Math.hypot(b.x - a.x, b.y - a.y);
    const longest = legs.sort((a, b) => length(b) - length(a))[0];
    if (!longest) return null;
    const [a, b] = longest;
    const width = textWidth(name) + 10;
    const spots = [0.5, 0.35, 0.65].flatMap((t) => around(width).map(([x, y]) => ({ x: a.x + (b.x - a.x) * t + x, y: a.y + (b.y - a.y) * t + y })));
    const spot = places.first(spots, width, PLATE_HEIGHT);
    return spot && svg("g", { "data-plot-alternative": id }, plate(spot, name, "alternative-plate"));
  },

  /** Arrow and course in the middle of a leg that is long enough on the screen. */
  leg({ index, from, to, leg }, places) {
    if (!from || !to || !known(leg.course_deg)) return null;
    const [a, b] = [this.pixel(from), this.pixel(to)];
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    if (length < LEG_LABEL_FROM_PX || length > 60000) return null;
    const way = { x: (b.x - a.x) / length, y: (b.y - a.y) / length };
    const middle = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
    const across = starboardOf(way);
    const text = `${courseText(leg.course_deg)} T`;
    const spot = places.first([-24, 24, -34, 34, -46, 46].map((by) => shifted(middle, across, by)), textWidth(text) + 10, PLATE_HEIGHT);
    return this.item({ kind: "leg", index }, "leg-item", leg.line === "geodesic" ? null : arrow(middle, way), spot && plate(spot, text, "course-plate"));
  },
});
