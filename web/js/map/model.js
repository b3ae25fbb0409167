/** From the layers of an answer to what the Plot draws. Positions are taken as they come. */

import { layerFeatures, METHOD_WORDS } from "../sailing.js";

/** Whether the route goes over 180 degrees: two neighbours lie more than half the globe apart in longitude. */
export function crossesAntimeridian(waypoints) {
  return waypoints.some((waypoint, i) => i > 0 && Math.abs(waypoint.lon_deg - waypoints[i - 1].lon_deg) > 180);
}

/** Where geometry is cut at 180, western longitudes are drawn 360 further east, so that it joins again. */
export function placer(shifted) {
  return ([lon, lat]) => [lat, shifted && lon < 0 ? lon + 360 : lon];
}

/** Every line of a geometry as lists of [lat, lon], closed ones marked. */
export function linesOf(geometry, place) {
  if (geometry?.geometries) return geometry.geometries.flatMap((one) => linesOf(one, place));
  const line = (points, closed) => ({ points: points.map(place), closed });
  switch (geometry?.type) {
    case "LineString": return [line(geometry.coordinates, false)];
    case "MultiLineString": return geometry.coordinates.map((part) => line(part, false));
    case "Polygon": return geometry.coordinates.map((ring) => line(ring, true));
    case "MultiPolygon": return geometry.coordinates.flat().map((ring) => line(ring, true));
    default: return [];
  }
}

/** Every point of a geometry that is made of points. */
export function pointsOf(geometry, place) {
  if (geometry?.geometries) return geometry.geometries.flatMap((one) => pointsOf(one, place));
  if (geometry?.type === "Point") return [place(geometry.coordinates)];
  if (geometry?.type === "MultiPoint") return geometry.coordinates.map(place);
  return [];
}

/** The feature's properties beside its drawn geometry. */
function drawn(feature, place) {
  return { ...feature.properties, lines: linesOf(feature.geometry, place), points: pointsOf(feature.geometry, place) };
}

/** The turn a feature belongs to; the layer may name it either way. */
function turnIndex(properties) {
  return properties.turn_index ?? properties.index;
}

function flag(feature) {
  return { ...feature, turn: turnIndex(feature), word: METHOD_WORDS[feature.method] || feature.method, point: feature.points[0] };
}

/** A leg of the route as the two waypoints it joins, for its label; a hole has none. */
function legEnds(plan, place) {
  const { waypoints } = plan.request.route;
  const byId = new Map(waypoints.map((waypoint) => [waypoint.id, place([waypoint.lon_deg, waypoint.lat_deg])]));
  return plan.answer.legs.map((leg, index) => ({ index, from: byId.get(leg.from_id), to: byId.get(leg.to_id), leg }));
}

function turnOf(plan, waypointIndex) {
  const index = plan.answer.turns.findIndex((turn) => turn.waypoint_index === waypointIndex);
  return index < 0 ? null : { index, ...plan.answer.turns[index] };
}

/** A waypoint with the courses that lead to and from it, for the direction of its bars. */
function waypointItem(plan, feature) {
  const turn = turnOf(plan, feature.index);
  return {
    ...feature,
    point: feature.points[0],
    courseIn: feature.course_in_deg ?? turn?.course_in_deg ?? null,
    courseOut: feature.course_out_deg ?? turn?.course_out_deg ?? null,
    side: turn?.side ?? null,
  };
}

/** A danger with its clearance, and the point of it that the track is nearest to. */
function hazardItem(feature, clearance, place) {
  const nearest = clearance?.hazard_point;
  return { ...feature, clearance, nearestPoint: nearest ? place([nearest.lon_deg, nearest.lat_deg]) : null };
}

/** Dangers with a symbol and a name of their own: not kept clear of first, then those near the track; the others are drawn together. */
const MOST_OWN = 150;
const MOST_OWN_CORNERS = 4000;

function ownSymbols(hazards) {
  const rank = ({ clearance }) => (clearance ? Number(clearance.met !== false) : 2);
  let corners = 0;
  return [...hazards].sort((a, b) => rank(a) - rank(b)).slice(0, MOST_OWN).filter(({ points, lines }) => {
    const more = points.length + lines.reduce((sum, one) => sum + one.points.length, 0);
    if (corners + more > MOST_OWN_CORNERS) return false;
    corners += more;
    return true;
  });
}

/** The alternatives, each with all its lines; they are laid and not checked. */
function alternativesOf(features) {
  const found = new Map();
  for (const { alternative_id: id, name, lines } of features) {
    const one = found.get(id) || { id, name, lines: [] };
    one.lines.push(...lines);
    found.set(id, one);
  }
  return [...found.values()];
}

/** Everything the Plot draws of one plan. */
export function drawingModel(plan) {
  const { waypoints } = plan.request.route;
  const place = placer(crossesAntimeridian(waypoints));
  const layer = (name) => layerFeatures(plan, name).map((feature) => drawn(feature, place));
  const alternatives = alternativesOf(layer("alternative"));
  const clearances = new Map(plan.answer.clearances.map((row) => [row.hazard_id, row]));
  const hazards = layer("hazard").map((feature) => hazardItem(feature, clearances.get(feature.id) || null, place));
  const own = ownSymbols(hazards);
  const ownIds = new Set(own.map(({ id }) => id));
  return {
    waypoints: layer("waypoint").map((feature) => waypointItem(plan, feature)),
    legs: layer("leg"),
    courseLines: layer("course_line"),
    turns: layer("turn").map((feature) => ({ ...feature, index: turnIndex(feature) })),
    simulated: layer("simulated_track").map((feature) => ({ ...feature, turn: turnIndex(feature) })),
    flags: layer("wheel_over").map(flag).filter((one) => one.point),
    wheelOverLines: layer("wheel_over_line").map((feature) => ({ ...feature, turn: turnIndex(feature), ...plan.answer.turns[turnIndex(feature)]?.wheel_over_line })),
    hazards: own,
    hasMany: own.length < hazards.length || (plan.answer.layers?.hazards_not_drawn_count || 0) > 0,
    clearances: layer("clearance").filter(({ hazard_id: id }) => ownIds.has(id)),
    legEnds: legEnds(plan, place),
    turnRows: plan.answer.turns,
    holes: plan.holes,
    alternatives,
    place,
    extent: [...waypoints.map((waypoint) => place([waypoint.lon_deg, waypoint.lat_deg])), ...alternatives.flatMap((one) => one.lines.flatMap(({ points }) => points))],
  };
}
