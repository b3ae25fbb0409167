/** Zone descriptions kept on board: from a waypoint on, hours added to zone time to have UTC. */

import { replace } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { numberText } from "../format.js";
import { formField } from "../record/fields.js";
import { state, watch } from "../state.js";

const ROW = /^(\S+)[\s,;]+([+-]?\d+(?:\.5|\.0)?)$/;

/** The waypoint that a word names: its number as the Ledger shows it, else its id. */
function waypointOf(word) {
  const { waypoints } = state.inputs.route;
  return waypoints.find((_, index) => numberText(index) === word.padStart(2, "0")) ?? waypoints.find(({ id }) => id === word);
}

function readRows(text) {
  const lines = text.split(/\r?\n/).map((one) => one.trim()).filter(Boolean);
  const zones = [];
  for (const [index, line] of lines.entries()) {
    const [, word, hours] = ROW.exec(line) || [];
    const waypoint = word && waypointOf(word);
    if (!waypoint) return { error: `Line ${index + 1} is not a waypoint of the route and whole or half hours: ${line}` };
    zones.push({ from_id: waypoint.id, zone_description_h: Number(hours) });
  }
  return { zones };
}

function zonesText() {
  const { waypoints } = state.inputs.route;
  return (state.inputs.zones || []).map((one) => `${numberText(waypoints.findIndex(({ id }) => id === one.from_id))} ${one.zone_description_h > 0 ? "+" : ""}${one.zone_description_h}`).join("\n");
}

export function startZones(host) {
  const one = formField({ id: "zones", label: "Zone descriptions kept: waypoint, hours to UTC", hint: "a line for each, like 03 -5.5, until the next one; empty: by longitude", area: true, attributes: { rows: 2 } });
  replace(host, one.node);
  one.input.addEventListener("change", () => {
    const { zones, error } = readRows(one.input.value);
    one.say(error);
    if (!error) edit(setTop({ zones: zones.length > 0 ? zones : undefined }));
  });
  watch(["inputs"], () => { if (state.inputs && one.input !== document.activeElement && one.input.getAttribute("aria-invalid") !== "true") one.input.value = zonesText(); });
  watch(["fieldErrors"], () => { const words = [...state.fieldErrors].filter(([pointer]) => pointer.startsWith("/zones")).map(([, text]) => text).join(" "); if (words) one.say(words); });
}
