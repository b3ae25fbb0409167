/** The hull along the run and the water it sweeps, for the plan view: to scale, from the service's outlines. */

import { svg } from "../dom.js";

const shape = (points) => `M${points.map(({ x, y }) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}Z`;

/** `placed` takes [lat, lon]. The first and the last hull are filled. */
export function hullAlong(run, placed) {
  if (!run) return null;
  const ring = ({ lat_deg: lats, lon_deg: lons }) => shape(lats.map((lat, i) => placed([lat, lons[i]])));
  const last = run.outlines.length - 1;
  return svg("g", { "data-testid": "hull-along" },
    svg("path", { d: [run.strip.outer, ...run.strip.holes].map(ring).join(""), "fill-rule": "evenodd", class: "card-line line-swept", "data-testid": "swept-strip" }),
    run.outlines.map((one, i) => svg("path", { d: ring(one), class: i === 0 || i === last ? "hull-outline is-end" : "hull-outline", "data-t-s": one.t_s })));
}

export const HULL_KEY = [["hull-outline", "hull along the run, first and last filled"], ["line-swept", "edge of the water it sweeps"]];
