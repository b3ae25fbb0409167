/** A refusal of the service, shown in place: title, detail, and every message with where it belongs. */

import { el } from "../dom.js";
import { numberText } from "../format.js";
import { state } from "../state.js";

/** Where a message belongs, in words as far as the page knows it. */
function place({ pointer, line }) {
  const waypoint = /^\/route\/waypoints\/(\d+)/.exec(pointer || "");
  const danger = /^\/hazards\/features\/(\d+)/.exec(pointer || "");
  const words = [
    line !== undefined && line !== null && `line ${line}`,
    waypoint && `waypoint ${numberText(Number(waypoint[1]))}${waypointId(waypoint[1])}`,
    danger && `danger ${Number(danger[1]) + 1} of the file`,
  ].filter(Boolean);
  return [words.join(", "), pointer].filter(Boolean);
}

function waypointId(index) {
  const waypoint = state.inputs?.route.waypoints?.[Number(index)];
  return waypoint ? ` (id ${waypoint.id})` : "";
}

function messageRow(error) {
  const [first, ...rest] = place(error);
  return el("li", {},
    first && el("span", { class: "where" }, first), rest.length > 0 && el("code", {}, rest.join(" ")),
    el("span", {}, ` ${error.message}`));
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
