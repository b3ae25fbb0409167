/** Striking a turn about a fixed mark: the service finds the waypoint, its neighbours stay where they are. */

import { positions, turns } from "../api.js";
import { el, replace } from "../dom.js";
import { findWaypoint, moveTo, setMember } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { readNumber } from "../fields.js";
import { layerFeatures } from "../sailing.js";
import { state } from "../state.js";

/** The loaded dangers that are points: each can be a mark. */
function marks(plan) {
  return layerFeatures(plan, "hazard").filter(({ geometry }) => geometry?.type === "Point").map(({ geometry, properties }) => ({
    name: properties.name || `${properties.kind || "danger"} ${properties.id}`,
    position: { lat_deg: geometry.coordinates[1], lon_deg: geometry.coordinates[0] },
  }));
}

/** Why no turn can be struck here, or null. */
function hindrance(id) {
  const { index } = findWaypoint(state.inputs, id);
  const [before, here, after] = state.inputs.route.waypoints.slice(Math.max(index - 1, 0), index + 2);
  if (index < 1 || !after || here.gap_before || after.gap_before) return "A turn needs a waypoint on both sides.";
  if ([here, after].some((one) => one.leg?.line === "geodesic")) return "A turn is struck about a mark between rhumb lines; a leg here is a geodesic.";
  return before ? null : "A turn needs a waypoint on both sides.";
}

/** About a mark that was chosen, or one that is typed. */
async function strike(id, chosen, typed, radiusText) {
  const { value: radius_nm, error } = readNumber(radiusText, "NM");
  if (error || radius_nm === undefined) throw new Error(error || "The distance to keep off the mark is needed, in NM.");
  const { index } = findWaypoint(state.inputs, id);
  const { waypoints } = state.inputs.route;
  const mark = chosen?.position ?? (await positions.read(typed)).position;
  const turn = await turns.aboutMarkBetween({ mark, radius_nm, before: waypoints[index - 1], after: waypoints[index + 1] });
  edit((inputs) => setMember(id, "turn_radius_nm", radius_nm)(moveTo(id, turn.waypoint)(inputs)));
}

/** The fields; what is typed stays until another turn is shown. */
export function aboutMark(id) {
  const listed = marks(state.plan);
  const typed = el("input", { id: "mark-position", type: "text", autocomplete: "off", "data-testid": "mark-position", "aria-describedby": "mark-error" });
  const choice = el("select", { id: "mark-choice", "data-testid": "mark-choice", on: { change: () => { typed.disabled = choice.value !== ""; } } },
    el("option", { value: "" }, "typed position"), listed.map((mark, i) => el("option", { value: String(i) }, mark.name)));
  const radius = el("input", { id: "mark-radius", type: "text", inputmode: "decimal", autocomplete: "off", "data-testid": "mark-radius", "aria-describedby": "mark-error" });
  const message = el("p", { class: "field-error", id: "mark-error", role: "status", "data-testid": "mark-error" });
  const button = el("button", { type: "button", "data-testid": "mark-strike" }, "Strike the turn");
  button.addEventListener("click", async () => {
    const hindered = hindrance(id);
    replace(message, hindered);
    if (hindered) return;
    button.disabled = true;
    try {
      await strike(id, listed[choice.value], typed.value, radius.value); // the mark that was on show, whatever is loaded since
    } catch (error) {
      replace(message, error.errors?.[0]?.message || error.message);
    } finally {
      button.disabled = false;
    }
  });
  return el("section", { class: "pane", "data-mark-of": id, "data-testid": "about-mark" }, el("h3", {}, "Strike this turn about a mark"),
    el("p", { class: "field-hint" }, "Keeps one distance off the mark all the way round: moves the waypoint, its neighbours stay. One step, undone like any other."),
    el("div", { class: "fields" },
      el("div", { class: "field" }, el("label", { for: "mark-choice" }, "Mark"), choice),
      el("div", { class: "field" }, el("label", { for: "mark-position" }, "Position of the mark"), typed),
      el("div", { class: "field" }, el("label", { for: "mark-radius" }, "Distance off ", el("span", { class: "unit" }, "NM")), radius, el("p", { class: "field-hint" }, "also 593m or 3.2cab"))),
    message, el("div", { class: "actions" }, button));
}
