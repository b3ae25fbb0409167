/** Method flags of one turn: plates in a row outside the bend, the planned one alone and filled inside it. */

import { svg } from "../dom.js";
import { spread } from "./placing.js";
import { direction, plate, PLATE_HEIGHT, segment, shifted, starboardOf, textWidth } from "./symbols.js";

const ROWS_OUT = [42, 66, 90];
const PLANNED_IN = [30, 50, 70, 90];
const PLANNED_ALONG = [0, -34, 34];
const MIN_RUN = 26;

/** Along the row: how far apart plates of this width must stand so that upright boxes do not touch. */
function plateRoom(way, width) {
  const sideways = Math.abs(way.x) > 1e-6 ? (width + 4) / Math.abs(way.x) : Infinity;
  const upright = Math.abs(way.y) > 1e-6 ? (PLATE_HEIGHT + 4) / Math.abs(way.y) : Infinity;
  return Math.min(sideways, upright);
}

/** Whether a turn is drawn large enough for its flags; from further out only its point is. */
export function flagsFit(corner, planned) {
  return Boolean(planned) && Math.hypot(corner.x - planned.x, corner.y - planned.y) >= MIN_RUN;
}

/** The plates outside the bend, with leaders that keep their order and so never cross. */
function methodRow(flags, corner, way, outward, places) {
  const along = (point) => (point.x - corner.x) * way.x + (point.y - corner.y) * way.y;
  const inOrder = [...flags].sort((a, b) => along(a.at) - along(b.at));
  const width = Math.max(...inOrder.map((flag) => textWidth(flag.word))) + 10;
  const stops = spread(inOrder.map((flag) => along(flag.at)), plateRoom(way, width));
  const rowAt = (out) => stops.map((stop) => shifted(shifted(corner, way, stop), outward, out));
  const isFree = (spots) => spots.every((spot) => places.isFree(spot, width, PLATE_HEIGHT));
  const spots = ROWS_OUT.map(rowAt).find(isFree) || rowAt(ROWS_OUT[0]);
  return inOrder.map((flag, i) => ({ flag, spot: places.take(spots[i], width, PLATE_HEIGHT) }));
}

/** The flags of the methods: the planned point has one too, unless it came as a point of its own. */
function methodFlags(flags) {
  const others = flags.filter((flag) => !flag.planned);
  const planned = flags.filter((flag) => flag.planned && flag.method !== "own");
  return [...others, ...planned.filter((flag) => !others.some((other) => other.method === flag.method))];
}

/** Small cross mark at the point itself. */
function pip(point, way, planned) {
  const across = starboardOf(way);
  const reach = planned ? 8 : 5;
  return segment(shifted(point, across, -reach), shifted(point, across, reach), planned ? "wo-tick" : "method-tick");
}

/**
 * The flags of one turn as SVG. `flags` have pixel points in `at`, `corner` is the waypoint's.
 */
export function turnFlags({ flags, corner, courseIn, side, close, places }) {
  const way = direction(courseIn);
  const sign = side === "port" ? -1 : 1;
  const inward = { x: starboardOf(way).x * sign, y: starboardOf(way).y * sign };
  const planned = flags.find((flag) => flag.planned);
  if (!close) return svg("g", {}, planned && pip(planned.at, way, true));
  const methods = methodFlags(flags);
  const row = methods.length === 0 ? [] : methodRow(methods, corner, way, { x: -inward.x, y: -inward.y }, places);
  const spot = planned && places.firstOrAny(PLANNED_IN.flatMap((by) => PLANNED_ALONG.map((along) => shifted(shifted(planned.at, inward, by), way, along))), textWidth("WOP") + 10, PLATE_HEIGHT);
  return svg("g", {},
    row.map(({ flag, spot: end }) => segment(flag.at, end, "leader")),
    planned && segment(planned.at, spot, "leader"),
    flags.map((flag) => pip(flag.at, way, flag.planned)),
    row.map(({ flag, spot: end }) => plate(end, flag.word, "method-plate")),
    planned && plate(spot, "WOP", "planned-plate"));
}
