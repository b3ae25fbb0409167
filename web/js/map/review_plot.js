/** The Plot of two revisions: was as a double thin line, now as a single thick one, from the layers of the answer alone. */

import * as leaflet from "./leaflet.js";
import { el, replace, show } from "../dom.js";
import { state, watch } from "../state.js";
import { GridLayer } from "./grid.js";
import { crossesAntimeridian, linesOf, placer, pointsOf } from "./model.js";
import { makeSheet } from "./plot.js";
import { ReviewSymbols } from "./review_symbols.js";
import { ScaleBar } from "./scale.js";

/** The thing a feature stands for, as changes name their subjects. */
function keyOf({ layer, id, to_id: toId, waypoint_id: waypointId, kind, change_id: change }) {
  if (layer === "leg") return `leg ${toId}`;
  if (layer === "moved") return `${kind} ${id}`;
  if (layer === "hazard_change") return `change ${change}`;
  return layer === "waypoint" ? `waypoint ${id}` : `turn ${waypointId}`;
}

const subjectKey = (change) => (change.kind === "danger" ? `change ${change.id}` : `${change.subject.kind} ${change.subject.id}`);

/** What is the same in both is not drawn twice. */
function unlike(features) {
  const now = new Set(features.filter((one) => one.properties.revision === "now").map((one) => `${keyOf(one.properties)} ${JSON.stringify(one.geometry)}`));
  return features.filter((one) => one.properties.revision === "now" || !now.has(`${keyOf(one.properties)} ${JSON.stringify(one.geometry)}`));
}

/** Everything the Plot draws of a difference. */
function modelOf({ layers }) {
  const route = layers.features.filter(({ properties }) => properties.layer === "waypoint" && properties.revision === "now").sort((a, b) => a.properties.index - b.properties.index);
  const place = placer(crossesAntimeridian(route.map(({ geometry }) => ({ lon_deg: geometry.coordinates[0] }))));
  const all = unlike(layers.features).map(({ properties, geometry }) => ({ ...properties, key: keyOf(properties), lines: linesOf(geometry, place), points: pointsOf(geometry, place) }));
  const of = (...names) => all.filter((one) => names.includes(one.layer));
  const waypoints = of("waypoint").map((one) => ({ ...one, point: one.points[0], courseIn: one.course_in_deg ?? null, courseOut: one.course_out_deg ?? null }));
  const dangers = of("hazard_change");
  return {
    place, waypoints, track: of("leg", "turn"), wheelOvers: of("wheel_over_line"), dangers: dangers.map((one) => ({ ...one, point: one.points[0] ?? one.lines[0]?.points[0] })).filter((one) => one.point),
    edges: dangers.filter((one) => one.lines.length > 0), arrows: of("moved").map((one) => ({ ...one, points: one.lines[0]?.points ?? [] })).filter((one) => one.points.length > 1),
    extent: [...waypoints.map((one) => one.point), ...dangers.flatMap((one) => [...one.points, ...one.lines.flatMap(({ points }) => points)])],
  };
}

/** One set of lines; pressed, it goes to the first change about what it stands for. */
function line(renderer, one, className, press) {
  const shape = leaflet.polyline(one.lines.map(({ points }) => points), { renderer, className, interactive: Boolean(press), bubblingMouseEvents: false, fill: false, smoothFactor: 0.5 });
  shape.key = one.key;
  if (press) shape.on("click", () => press(one.key));
  return shape;
}

function drawLines(group, model, renderer, press) {
  group.clearLayers();
  const of = (list, revision) => list.filter((one) => one.revision === revision);
  const shapes = [
    ...of(model.track, "was").flatMap((one) => [line(renderer, one, "line-was", null), line(renderer, one, "line-was-gap", null)]),
    ...of(model.edges, "was").map((one) => line(renderer, one, "line-edge line-was-edge", null)), ...of(model.edges, "now").map((one) => line(renderer, one, "line-edge", null)),
    ...of(model.wheelOvers, "was").map((one) => line(renderer, one, "line-was-wo", null)), ...of(model.wheelOvers, "now").map((one) => line(renderer, one, "line-now-wo", null)),
    ...of(model.track, "now").map((one) => line(renderer, one, one.changed ? "line-now" : "line-same", null)),
    ...model.track.filter((one) => one.changed).map((one) => line(renderer, one, "line-target", press)),
  ];
  shapes.forEach((shape) => group.addLayer(shape));
}

/** Where a change lies, drawn points only. */
function whereOf(change, place) {
  return [change?.where?.was, change?.where?.now].filter(Boolean).map(({ lat_deg: lat, lon_deg: lon }) => place([lon, lat]));
}

const KEY = [["word-was", "was: double thin line, hollow bars"], ["word-now", "now: single thick line, solid bars"]];

export function startReviewPlot({ host, tools, foot }, goToChange) {
  host.setAttribute("role", "region");
  host.setAttribute("aria-label", "Plot of both, not a chart. Every change on it is in the list of changes.");
  const sheet = makeSheet(host);
  const renderer = leaflet.svg({ padding: 0.5 });
  const [lines, halo] = [leaflet.layerGroup().addTo(sheet), leaflet.layerGroup().addTo(sheet)];
  let [model, chosen] = [null, null];
  const press = (key) => {
    const found = state.review?.answer?.changes.find((one) => subjectKey(one) === key && document.getElementById(`change-${encodeURIComponent(one.id)}`));
    if (found) goToChange(found.id);
  };
  const symbols = new ReviewSymbols(press);
  new GridLayer().addTo(sheet);
  symbols.addTo(sheet);
  new ScaleBar().addTo(sheet);
  const whole = () => { if (model?.extent.length > 0) sheet.fitBounds(leaflet.latLngBounds(model.extent), { padding: [60, 60], maxZoom: 15, animate: false }); };
  const here = () => { const points = whereOf(chosen, model.place); if (points.length > 0) sheet.fitBounds(leaflet.latLngBounds(points), { padding: [110, 110], maxZoom: 15, animate: false }); };
  const near = el("button", { type: "button", "data-testid": "review-near", on: { click: here } }, "This change");
  replace(tools, el("button", { type: "button", "data-testid": "review-whole", on: { click: whole } }, "Both whole"), near);
  replace(foot, KEY.map(([name, words]) => el("span", { class: name }, words)));

  const mark = () => {
    chosen = state.review?.answer?.changes.find((one) => one.id === state.change) ?? null;
    const key = chosen && subjectKey(chosen);
    lines.eachLayer((shape) => shape.getElement?.()?.classList.toggle("is-selected", shape.key === key));
    symbols.update(model, key);
    halo.clearLayers();
    const points = model ? whereOf(chosen, model.place) : [];
    near.disabled = points.length === 0;
    points.slice(-1).forEach((point) => halo.addLayer(leaflet.circleMarker(point, { renderer, radius: 22, className: "change-halo", interactive: false })));
    if (points.length > 0 && !sheet.getBounds().pad(-0.1).contains(points.at(-1))) sheet.panTo(points.at(-1), { animate: false });
  };
  watch(["review"], () => {
    const answer = state.review?.answer;
    show(host.closest(".review-plot"), Boolean(answer));
    model = answer ? modelOf(answer) : null;
    if (!model) { lines.clearLayers(); symbols.update(null, null); halo.clearLayers(); return; }
    sheet.invalidateSize({ animate: false });
    drawLines(lines, model, renderer, press);
    whole();
    mark();
  });
  watch(["change"], () => { if (model) mark(); });
  new ResizeObserver(() => sheet.invalidateSize({ animate: false })).observe(host);
}
