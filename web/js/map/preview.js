/** What the service answered for a waypoint being moved, drawn over the plan, which is stale meanwhile. */

import * as leaflet from "./leaflet.js";
import { layerFeatures, settledBy } from "../sailing.js";
import { state, watch } from "../state.js";
import { linesOf } from "./model.js";

/** Only what the part says of the whole is drawn: at its ends a turn is missing. */
function lines(plan, answer, place, renderer) {
  const settled = settledBy(plan, answer);
  const whole = ({ properties: { layer, index } }) => (layer === "leg" ? settled.legs.has(answer.legs[index].to_id) : settled.turns.has(answer.turns[index].waypoint_id));
  return ["leg", "turn"].flatMap((layer) => layerFeatures({ answer }, layer)).filter(whole)
    .flatMap((feature) => linesOf(feature.geometry, place).map(({ points }) => leaflet.polyline(points, { renderer, className: "line-preview", interactive: false })));
}

/** Draws the preview and the point that is moved; `modelNow` says how longitudes are placed. */
export function startPreview(sheet, renderer, modelNow) {
  const group = leaflet.layerGroup().addTo(sheet);
  watch(["preview", "moving", "plan"], () => {
    group.clearLayers();
    const model = modelNow();
    if (!model) return;
    if (state.preview && state.plan) lines(state.plan, state.preview.answer, model.place, renderer).forEach((one) => group.addLayer(one));
    if (!state.moving) return;
    const { lat_deg, lon_deg } = state.moving.position;
    group.addLayer(leaflet.circleMarker(model.place([lon_deg, lat_deg]), { renderer, radius: 9, className: "preview-point", interactive: false }));
  });
}
