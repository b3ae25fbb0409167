/** The lines of the Plot: track, arcs, construction, wheel-over lines, edges of dangers, clearance lines. */

import * as leaflet from "./leaflet.js";
import { sameItem, select } from "../state.js";

/** One set of lines in one style; pressing them selects their item. */
function line(renderer, parts, className, item) {
  const points = parts.map((part) => part.points);
  const closed = parts.length > 0 && parts.every((part) => part.closed);
  const options = { renderer, className: closed ? `${className} is-area` : className, interactive: Boolean(item), bubblingMouseEvents: false, weight: 2, fill: closed, smoothFactor: 0.5 };
  const shape = closed ? leaflet.polygon(points, options) : leaflet.polyline(points, options);
  if (item) {
    shape.item = item;
    shape.on("click", () => select(item, "plot"));
  }
  return shape;
}

/** A wide, unseen line under a thin one, so that it can be pressed on a rolling ship. */
function target(renderer, parts, item) {
  return line(renderer, parts, "line-target", item);
}

function edge(renderer, hazard) {
  return hazard.lines.length ? [line(renderer, hazard.lines, hazard.charted ? "line-edge is-charted" : "line-edge", { kind: "hazard", id: hazard.id })] : [];
}

/** Where turns overlap no track exists: its lines are broken, not solid. */
function trackClass(one, more = "") {
  return `line-track${more}${one.track_exists === false ? " line-no-track" : ""}`;
}

/** All lines of a model; the track lies on top, and on it the simulated way, which is broken. */
export function drawLines(group, model, renderer) {
  group.clearLayers();
  const shapes = [
    ...model.hazards.flatMap((hazard) => edge(renderer, hazard)),
    ...model.alternatives.map((one) => line(renderer, one.lines, "line-alternative", null)),
    ...model.courseLines.map((one) => line(renderer, one.lines, "line-course", null)),
    ...model.wheelOverLines.map((one) => line(renderer, one.lines, "line-wheel-over", { kind: "turn", index: one.turn })),
    ...model.clearances.map((one) => line(renderer, one.lines, one.met === false ? "line-clearance line-not-met" : "line-clearance", { kind: "hazard", id: one.hazard_id })),
    ...model.legs.flatMap((one) => [line(renderer, one.lines, trackClass(one), { kind: "leg", index: one.index }), target(renderer, one.lines, { kind: "leg", index: one.index })]),
    ...model.turns.flatMap((one) => [line(renderer, one.lines, trackClass(one, " line-arc"), { kind: "turn", index: one.index }), target(renderer, one.lines, { kind: "turn", index: one.index })]),
    ...model.simulated.map((one) => line(renderer, one.lines, "line-simulated", { kind: "turn", index: one.turn })),
  ];
  shapes.forEach((shape) => group.addLayer(shape));
}

/** Marks the lines of the selected item. */
export function markLines(group, selected) {
  group.eachLayer((shape) => shape.getElement?.()?.classList.toggle("is-selected", sameItem(shape.item, selected)));
}

/** The bounds of the selected item, or null where it has no line. */
export function boundsOf(group, selected) {
  let bounds = null;
  group.eachLayer((shape) => {
    if (sameItem(shape.item, selected)) bounds = bounds ? bounds.extend(shape.getBounds()) : shape.getBounds();
  });
  return bounds?.isValid() ? bounds : null;
}
