/** A refusal of the service, shown in place: title, detail, and every message with where it belongs. */

import { el } from "../dom.js";
import { ALL_FIELDS } from "../fields.js";
import { numberText } from "../format.js";
import { state } from "../state.js";

/** What the members of a waypoint are called on this page. */
const MEMBERS = {
  lat_deg: "latitude", lon_deg: "longitude", name: "name", id: "id", turn_radius_nm: "turn radius", wheel_over: "planned WOP", "wheel_over/distance_nm": "own distance of the WOP", "wheel_over/method": "planned WOP",
  leg: "leg", "leg/speed_kn": "leg speed", "leg/line": "line of the leg", "leg/xtd_port_nm": "XTD port", "leg/xtd_starboard_nm": "XTD stbd", "leg/min_clearance_m": "least clearance of the leg",
  "leg/set_deg": "set on the leg", "leg/drift_kn": "drift on the leg", turn: "turn", "turn/steering": "steering in the turn", "turn/rudder_deg": "rudder in the turn", "turn/set_deg": "set in the turn", "turn/drift_kn": "drift in the turn",
};

/** A member that has no word of its own here keeps its name, without the marks of a pointer. */
const memberWords = (path) => MEMBERS[path] ?? path.replaceAll("_", " ").replaceAll("/", ", ");

/** "WPT 02 (id), leg speed"; a danger of a file by its number; any other pointer as it is. */
function placeWords(pointer) {
  const waypoint = /^\/route\/waypoints\/(\d+)(?:\/(.+))?$/.exec(pointer);
  if (waypoint) return [`WPT ${numberText(Number(waypoint[1]))}${waypointId(waypoint[1])}`, waypoint[2] && memberWords(waypoint[2])].filter(Boolean).join(", ");
  const danger = /^\/hazards\/features\/(\d+)(?:\/(.+))?$/.exec(pointer);
  if (danger) return [`danger ${Number(danger[1]) + 1} of the file`, danger[2] && memberWords(danger[2])].filter(Boolean).join(", ");
  const kept = /^\/cases\/(\d+)(?:\/(.+))?$/.exec(pointer);
  if (kept) return [`case ${Number(kept[1]) + 1} of the plan`, kept[2] && memberWords(kept[2])].filter(Boolean).join(", ");
  const section = /^\/(ship|limits|conditions)\/(.+)$/.exec(pointer);
  return section ? `${section[1]}, ${ALL_FIELDS.find((field) => field.pointer === pointer)?.label.toLowerCase() ?? memberWords(section[2])}` : null;
}

function waypointId(index) {
  const id = state.inputs?.route.waypoints?.[Number(index)]?.id;
  return id === undefined || id === numberText(Number(index)) || id === String(Number(index) + 1) ? "" : ` (${id})`;
}

/** Where a message belongs, said once: in words, or as a pointer where the page has none. */
function messageRow({ pointer, line, message }) {
  const words = pointer ? placeWords(pointer) : null;
  const where = [line !== undefined && line !== null && `line ${line}`, words].filter(Boolean).join(", ");
  return el("li", {}, where && el("span", { class: "where" }, where), pointer && !words && el("code", {}, pointer), el("span", {}, ` ${message}`));
}

/** The box, with "try again" and "put away" where the caller has them. */
export function problemBox(heading, error, retry, dismiss) {
  return el("div", { class: "problem", role: "alert", "data-testid": "problem" },
    el("p", { class: "problem-title" }, heading),
    el("p", {}, error.detail && error.detail !== error.title ? `${error.title}. ${error.detail}` : error.title || error.message),
    error.errors?.length > 0 && el("ul", {}, error.errors.slice(0, 100).map(messageRow)),
    error.errors?.length > 100 && el("p", {}, `${error.errors.length - 100} more messages are not listed here.`),
    el("div", { class: "actions" },
      retry && el("button", { type: "button", "data-testid": "retry", on: { click: retry } }, "Try again"),
      dismiss && el("button", { type: "button", on: { click: dismiss } }, "Put this away")));
}
