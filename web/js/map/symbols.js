/**
 * Our symbols as SVG, placed by pixel. Pixel geometry only: directions on the screen, never a
 * distance or a course of the plan. Courses come from the service; on a Mercator plot a course is
 * the same angle on the screen.
 */

import { svg } from "../dom.js";

/** Text grows with the text size of the browser, and what is drawn around it does too. */
export const TEXT_SCALE = parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
export const PLATE_HEIGHT = 20 * TEXT_SCALE;

/** The screen direction of a course; y grows downwards. */
export function direction(course_deg) {
  const angle = (course_deg * Math.PI) / 180;
  return { x: Math.sin(angle), y: -Math.cos(angle) };
}

/** The direction to starboard of a screen direction. */
export function starboardOf({ x, y }) {
  return { x: -y, y: x };
}

export function shifted(point, way, by) {
  return { x: point.x + way.x * by, y: point.y + way.y * by };
}

function unit({ x, y }) {
  const length = Math.hypot(x, y);
  return length < 1e-9 ? null : { x: x / length, y: y / length };
}

/** The direction of travel through a waypoint: between inbound and outbound. */
export function through(courseIn, courseOut) {
  const ways = [courseIn, courseOut].filter((course) => typeof course === "number").map(direction);
  if (ways.length === 0) return { x: 1, y: 0 };
  return unit(ways.reduce((sum, way) => ({ x: sum.x + way.x, y: sum.y + way.y }), { x: 0, y: 0 })) || ways[0];
}

let ruler = null;

/** The width of a text in pixels, measured once per text by the browser. */
export function textWidth(text) {
  if (!ruler) {
    ruler = document.createElement("canvas").getContext("2d");
    ruler.font = `600 ${16 * TEXT_SCALE}px ${getComputedStyle(document.body).fontFamily}`;
  }
  return ruler.measureText(text).width;
}

function segment(a, b, className) {
  return svg("line", { x1: a.x, y1: a.y, x2: b.x, y2: b.y, class: className });
}

export { segment };

/** A text on a plate, centred at a point. */
export function plate(point, text, className) {
  const width = textWidth(text) + 10;
  return svg("g", { class: `plate-symbol ${className}` },
    svg("rect", { x: point.x - width / 2, y: point.y - PLATE_HEIGHT / 2, width, height: PLATE_HEIGHT, rx: 2 }),
    svg("text", { x: point.x, y: point.y + 5.5 * TEXT_SCALE, "text-anchor": "middle" }, text));
}

/** Two bars either side of the track, the track left open between. */
export function waypointBars(point, way) {
  const across = starboardOf(way);
  return svg("g", { class: "waypoint-bars" },
    segment(shifted(point, across, 4), shifted(point, across, 13), "bar"),
    segment(shifted(point, across, -4), shifted(point, across, -13), "bar"));
}

/** A ring with eight inward teeth: a point danger. */
export function toothRing(point) {
  const teeth = Array.from({ length: 8 }, (_, i) => {
    const way = direction(i * 45 + 22.5);
    const [foot, tip] = [shifted(point, way, 9), shifted(point, way, 4.5)];
    return `M${foot.x.toFixed(1)} ${foot.y.toFixed(1)}L${tip.x.toFixed(1)} ${tip.y.toFixed(1)}`;
  });
  return svg("g", { class: "tooth-ring" }, svg("circle", { cx: point.x, cy: point.y, r: 9, class: "ring" }), svg("path", { d: teeth.join(""), class: "tooth" }), svg("circle", { cx: point.x, cy: point.y, r: 1, class: "pip" }));
}

/** Which side of a closed pixel line is its inside: the sign of its area. */
function insideSign(points) {
  let area = 0;
  points.forEach((point, i) => {
    const next = points[(i + 1) % points.length];
    area += point.x * next.y - next.x * point.y;
  });
  return area < 0 ? -1 : 1;
}

/** Teeth along an edge: into an area; on both sides of an open line, whose danger side is not known. */
export function comb(points, closed, room = 12, length = 6) {
  const signs = closed ? [insideSign(points)] : [1, -1];
  const parts = [];
  let left = room / 2;
  for (let i = 1; i < points.length && parts.length < 2000; i += 1) {
    const way = unit({ x: points[i].x - points[i - 1].x, y: points[i].y - points[i - 1].y });
    if (!way) continue;
    const run = Math.hypot(points[i].x - points[i - 1].x, points[i].y - points[i - 1].y);
    for (; left < run && parts.length < 2000; left += room) {
      const foot = shifted(points[i - 1], way, left);
      signs.forEach((sign) => {
        const tip = shifted(foot, starboardOf(way), sign * length);
        parts.push(`M${foot.x.toFixed(1)} ${foot.y.toFixed(1)}L${tip.x.toFixed(1)} ${tip.y.toFixed(1)}`);
      });
    }
    left -= run;
  }
  return svg("path", { d: parts.join(""), class: "comb" });
}

/** An arrow head, pointing along the leg. */
export function arrow(point, way) {
  const across = starboardOf(way);
  const tip = shifted(point, way, 7);
  const corners = [tip, shifted(shifted(point, way, -5), across, 5), shifted(shifted(point, way, -5), across, -5)];
  return svg("polygon", { points: corners.map(({ x, y }) => `${x},${y}`).join(" "), class: "arrow" });
}
