/** What the schedule is made from: the departure, and speeds leg by leg. ETAs, stays and windows stand at their waypoints. */

import { el, replace } from "../dom.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";
import { departureField } from "./departure.js";
import { legTable } from "./leg_table.js";
import { startStreams } from "./streams.js";
import { startZones } from "./zones.js";

const LEG_COLUMNS = [
  { member: "speed_kn", label: "Speed through the water", unit: "kn" },
  { member: "speed_over_ground_kn", label: "Or speed over the ground", unit: "kn" },
];

export function startScheduleInputs(host) {
  const [legs, streams, zones] = [el("div", {}), el("div", {}), el("div", {})];
  replace(host, el("h2", {}, "Schedule"), el("p", { class: "panel-lead" }, "An ETA given at a waypoint makes the speed of the legs since the last known time that give none of their own. Without a departure it is counted back from the first ETA. ETA, stay and window of arrival are typed at the waypoint, in the Ledger."),
    el("div", { class: "fields" }, departureField("schedule-departure", "like 2026-11-25 14:02"), zones), legs, streams);
  startZones(zones);
  startStreams(streams);
  watch(["inputs", "fieldErrors"], () => { if (state.inputs) redraw(legs, legTable("Speeds of the legs; empty: from an ETA, else the ship's", "leg-speeds", LEG_COLUMNS)); });
}
