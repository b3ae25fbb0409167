/**
 * The plan view of one turn, drawn from the service's vertices. The flat projection is for drawing only: no
 * figure of the plan is taken from it.
 */

import { svg } from "../dom.js";
import { courseText, known, metresText, nmText, sideText } from "../format.js";
import { turnFlags } from "../map/flags.js";
import { drawingModel } from "../map/model.js";
import { clipped, Places } from "../map/placing.js";
import { oncePerPlan } from "../sailing.js";
import { hullAlong } from "./hull.js";
import { comb, plate, PLATE_HEIGHT, segment, shifted, direction, starboardOf, textWidth, toothRing, waypointBars, through } from "../map/symbols.js";

const modelOf = oncePerPlan(drawingModel);

/** The drawing is made for the width it will have, so that its words keep their size on a narrow screen. */
let WIDTH = 640;
let HEIGHT = 440;
const MARGIN = 92;

function fitScreen() {
  [WIDTH, HEIGHT] = window.innerWidth < 620 ? [350, 400] : [640, 440];
}

/** From [lat, lon] to units of a minute of latitude, turned so that `up_deg` points up. */
function flattener([lat0, lon0], up_deg) {
  const narrow = Math.cos((lat0 * Math.PI) / 180);
  const turn = (-up_deg * Math.PI) / 180;
  return ([lat, lon]) => {
    const [east, north] = [(lon - lon0) * 60 * narrow, (lat - lat0) * 60];
    return { x: east * Math.cos(turn) + north * Math.sin(turn), y: -(north * Math.cos(turn) - east * Math.sin(turn)) };
  };
}

/** Scale and shift that put all points inside the view with a margin. */
function fitted(points, flatten) {
  const flat = points.map(flatten);
  const range = (axis) => [Math.min(...flat.map((one) => one[axis])), Math.max(...flat.map((one) => one[axis]))];
  const [[x0, x1], [y0, y1]] = [range("x"), range("y")];
  const scale = Math.min((WIDTH - 2 * MARGIN) / Math.max(x1 - x0, 1e-6), (HEIGHT - 2 * MARGIN) / Math.max(y1 - y0, 1e-6), 4000);
  const place = (point) => {
    const { x, y } = flatten(point);
    return { x: (x - (x0 + x1) / 2) * scale + WIDTH / 2, y: (y - (y0 + y1) / 2) * scale + HEIGHT / 2 };
  };
  return { place, perMinute: scale };
}

const at = (position) => position && [position.lat_deg, position.lon_deg];

function path(points, className) {
  return svg("path", { d: points.map(({ x, y }, i) => `${i ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`).join(""), class: `card-line ${className}` });
}

/** A bar of a round number of cables. */
function scaleBar(perMinute) {
  const cables = [0.2, 0.5, 1, 2, 5, 10, 20, 50].filter((one) => (one / 10) * perMinute <= 130).pop() ?? 0.2;
  const width = (cables / 10) * perMinute;
  const [right, y] = [WIDTH - 14, HEIGHT - 12];
  return svg("g", { class: "card-scale" }, svg("path", { d: `M${right - width} ${y - 6}V${y}H${right}V${y - 6}`, class: "card-line" }), svg("text", { x: right, y: y - 11, "text-anchor": "end" }, `${cables} cab`));
}

/** Where true north is. */
function northMark(up_deg) {
  const way = direction(-up_deg);
  const foot = { x: 30, y: 42 };
  const tip = shifted(foot, way, 22);
  return svg("g", { class: "card-north" }, segment(shifted(foot, way, -16), tip, "card-line"), svg("text", { x: shifted(foot, way, 33).x, y: shifted(foot, way, 33).y + 5, "text-anchor": "middle" }, "N"));
}

/** Keeps words off the track by small boxes along it. */
function reserve(places, points) {
  points.slice(1).forEach((end, i) => {
    const [from, to] = clipped(points[i], end, places.view) || [];
    const count = from ? Math.ceil(Math.hypot(to.x - from.x, to.y - from.y) / 10) : 0;
    for (let n = 0; n < count; n += 1) places.take({ x: from.x + ((to.x - from.x) * n) / count, y: from.y + ((to.y - from.y) * n) / count }, 8, 8);
  });
}

const inView = ({ x, y }) => x > -20 && y > -20 && x < WIDTH + 20 && y < HEIGHT + 20;

/** The areas of a danger as one shape, so that a hole in one stays open water. */
function areas(edges) {
  const rings = edges.filter(({ closed }) => closed).map(({ pixels }) => `M${pixels.map(({ x, y }) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}Z`);
  return rings.length > 0 && svg("path", { d: rings.join(""), "fill-rule": "evenodd", class: "card-line line-edge card-area" });
}

function hazard(one, place, places) {
  const points = one.points.map(place).filter(inView);
  const edges = one.lines.map(({ points: line, closed }) => ({ pixels: line.map(place), closed }));
  const nearest = one.nearestPoint && place(one.nearestPoint);
  const anchor = points[0] || [nearest, ...edges.flatMap(({ pixels }) => pixels)].find((point) => point && inView(point));
  if (!anchor && edges.length === 0) return null;
  const notMet = one.clearance?.met === false;
  const text = `${one.name || one.kind || one.id}${notMet ? " NOT MET" : ""}`;
  const width = textWidth(text) + 10;
  const spot = anchor && places.first([[0, -24], [0, 24], [width / 2 + 14, 0], [-width / 2 - 14, 0]].map(([x, y]) => ({ x: anchor.x + x, y: anchor.y + y })), width, PLATE_HEIGHT);
  return svg("g", {}, points.map(toothRing), areas(edges), edges.map(({ pixels, closed }) => [!closed && path(pixels, "line-edge"), comb(pixels, closed)]),
    spot && plate(spot, text, notMet ? "hazard-plate not-met-plate" : "hazard-plate"));
}

function wheelOverLine(line, turn, place, places) {
  const ends = (line.lines[0]?.points || []).map(place);
  if (ends.length < 2) return null;
  const [a, b] = [ends[0], ends.at(-1)];
  const text = `WOL ${metresText(Math.abs(turn.wheel_over_line.offset_m))} m ${sideText(turn.wheel_over_line.offset_side)}`;
  const width = textWidth(text) + 10;
  const spots = [b, a].flatMap((end) => [[0, 20], [0, -20], [width / 2 + 8, 0], [-width / 2 - 8, 0]].map(([x, y]) => ({ x: end.x + x, y: end.y + y })));
  const spot = places.first(spots, width, PLATE_HEIGHT);
  return svg("g", {}, path(ends, "line-wheel-over"), spot && plate(spot, text, "offset-plate"));
}

/** Centre, radius, tangent points. */
function construction(turn, place, places) {
  if (!turn.centre) return null;
  const [centre, start, end] = [turn.centre, turn.start, turn.end].map((one) => place(at(one)));
  const text = `R ${nmText(turn.radius_nm)} NM`;
  const middle = { x: (centre.x + start.x) / 2, y: (centre.y + start.y) / 2 };
  const width = textWidth(text) + 10;
  const spot = places.first([middle, shifted(middle, { x: 1, y: 0 }, width / 2), shifted(middle, { x: -1, y: 0 }, width / 2)], width, PLATE_HEIGHT);
  return svg("g", { class: "card-construction" }, path([start, centre, end], "line-course"),
    [start, end].map(({ x, y }) => svg("circle", { cx: x, cy: y, r: 4.5, class: "tangent-point" })), svg("circle", { cx: centre.x, cy: centre.y, r: 3, class: "card-centre" }),
    spot && plate(spot, text, "offset-plate"));
}

function courseLabel(point, way, course, places) {
  const text = `${courseText(course)} T`;
  const width = textWidth(text) + 10;
  const spots = [24, -24, 40, -40].map((by) => shifted(point, starboardOf(way), by));
  const spot = places.first(spots, width, PLATE_HEIGHT);
  return spot && plate(spot, text, "course-plate");
}

/** The way she takes when the orders begin at the planned wheel-over, with its word at the end. */
function simulatedWay(lines, place, places) {
  const points = lines.flatMap((one) => one.points.map(place));
  if (points.length === 0) return null;
  const end = points.at(-1);
  const width = textWidth("SIM steady") + 10;
  const spot = places.first([[0, 26], [0, -26], [width / 2 + 14, 0], [-width / 2 - 14, 0], [0, 46], [0, -46]].map(([x, y]) => ({ x: end.x + x, y: end.y + y })), width, PLATE_HEIGHT);
  return svg("g", { "data-testid": "simulated-way" }, path(points, "line-simulated"), svg("circle", { cx: end.x, cy: end.y, r: 4, class: "simulated-end" }),
    spot && [segment(end, spot, "leader"), plate(spot, "SIM steady", "offset-plate")]);
}

/** Where a leg is named: a little before the first flag, a little after the end of the turn. */
function courseLabels(turn, index, corner, up_deg, place, places) {
  const [into, out] = [turn.course_in_deg, turn.course_out_deg].map((course) => direction(course - up_deg));
  const [before, after] = [turn.planned?.position || turn.start, turn.end].map((one) => (one ? place(at(one)) : corner));
  return [courseLabel(shifted(before, into, -46), into, turn.course_in_deg, places), courseLabel(shifted(after, out, 46), out, turn.course_out_deg, places)];
}

/** The drawing of the turn at `index`, with `up_deg` upwards and her hull along `run`; null where there is nothing to draw. */
export function planView(plan, index, up_deg, run) {
  fitScreen();
  const turn = plan.answer.turns[index];
  const model = modelOf(plan);
  const waypoint = model.waypoints.find((one) => one.index === turn.waypoint_index);
  const flags = model.flags.filter((flag) => flag.turn === index);
  const lonPlace = (position) => model.place([position.lon_deg, position.lat_deg]);
  const simulated = model.simulated.filter((one) => one.turn === index).flatMap((one) => one.lines);
  const core = [waypoint.point, ...flags.map((flag) => flag.point), ...[turn.start, turn.end].filter(Boolean).map(lonPlace), ...simulated.map(({ points }) => points.at(-1))];
  if (!known(turn.course_in_deg)) return null;
  const { place, perMinute } = fitted(core, flattener(waypoint.point, up_deg));
  const placed = (position) => place(model.place([position[1], position[0]]));
  const places = new Places({ min: { x: 4, y: 4 }, max: { x: WIDTH - 4, y: HEIGHT - 4 } });
  const corner = place(waypoint.point);
  places.take(corner, 26, 26);
  core.forEach((point) => places.take(place(point), 14, 14));
  [...model.legs, ...model.turns].flatMap((one) => one.lines).forEach(({ points }) => reserve(places, points.map(place)));
  const way = through(turn.course_in_deg - up_deg, turn.course_out_deg - up_deg);
  const outside = turn.side === "starboard" ? -1 : 1;
  const number = places.firstOrAny([30, 44].map((by) => shifted(corner, starboardOf(way), by * outside)), 42, PLATE_HEIGHT);
  const closeFlags = turnFlags({ flags: flags.map((flag) => ({ ...flag, at: place(flag.point) })), corner, courseIn: turn.course_in_deg - up_deg, side: turn.side, close: true, places });
  const track = [...model.legs, ...model.turns].flatMap((one) => one.lines.map(({ points }) => path(points.map(place), one.track_exists === false ? "line-track line-no-track" : "line-track")));
  return svg("svg", { class: "card-view symbols-like", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": "Plan view of the turn; every value on it is in the tables beside it", "data-testid": "plan-view" },
    model.courseLines.flatMap((one) => one.lines.map(({ points }) => path(points.map(place), "line-course"))),
    construction(turn, placed, places), hullAlong(run, placed), track, simulatedWay(simulated, place, places),
    model.wheelOverLines.filter((one) => one.turn === index && turn.wheel_over_line).map((one) => wheelOverLine(one, turn, place, places)),
    courseLabels(turn, index, corner, up_deg, placed, places),
    waypointBars(corner, way), closeFlags, plate(number, String(turn.waypoint_index + 1).padStart(2, "0"), "number-plate"),
    model.hazards.map((one) => hazard(one, place, places)), northMark(up_deg), scaleBar(perMinute));
}
