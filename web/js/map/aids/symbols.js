/** Symbols of marks, action points, warning points and times, and the feathers of an index line. Pixels only. */

import { svg } from "../../dom.js";
import { segment, shifted, starboardOf } from "../symbols.js";

/** A small upright T with a base: a mark. A floating one stands on a wave. */
function mark({ x, y }, { floating }) {
  const base = floating ? `M${x - 6} ${y + 1}q3 -4 6 0t6 0` : `M${x - 6} ${y}h12`;
  return svg("path", { d: `M${x} ${y}v-13M${x - 4} ${y - 13}h8${base}`, class: "aid-mark" });
}

/** A bar on both sides of the track with a gap in it. */
function warning({ x, y }) {
  return svg("path", { d: `M${x - 9} ${y}a9 9 0 0 1 18 0M${x} ${y}v-4`, class: "aid-warning" });
}

function time({ x, y }) {
  return svg("circle", { cx: x, cy: y, r: 3.2, class: "aid-time" });
}

/** A square on its corner, hollow where nobody chose it: found or computed. */
function point({ x, y }, { source }) {
  return svg("path", { d: `M${x} ${y - 8}l8 8l-8 8l-8 -8z`, class: source === "you" ? "aid-point" : "aid-point is-offered" });
}

export const POINT_SYMBOLS = { mark, warning, time, point };

/** Two short feathers on a line, pointing along it at the place of its mark. */
export function feathers(pixels, at) {
  const [a, b] = [pixels[0], pixels[pixels.length - 1]];
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  if (length < 40 || !at) return null;
  const way = { x: (b.x - a.x) / length, y: (b.y - a.y) / length };
  const along = Math.max(0, Math.min(length, (at.x - a.x) * way.x + (at.y - a.y) * way.y));
  const across = starboardOf(way);
  return svg("g", { class: "aid-feathers" }, [-1, 1].flatMap((sign) => {
    const foot = shifted(a, way, Math.max(0, Math.min(length, along + sign * 14)));
    return [-1, 1].map((side) => segment(foot, shifted(shifted(foot, way, sign * 7), across, side * 5), "aid-feather"));
  }));
}
