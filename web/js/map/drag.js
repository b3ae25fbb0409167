/** Dragging a waypoint on the Plot, and pressing the Plot to place one. Where the pointer lies is read off the sheet. */

import { findWaypoint } from "../draft/edits.js";
import { dropMove, keepMove, moveUnder, printedPlace, startMove } from "../draft/moving.js";
import { insertHere } from "../draft/waypoints.js";
import { set, state } from "../state.js";

/** A press that moves less than this selects; it moves nothing. */
const LEAST_PX = 4;

/** The position under a pointer, or so many pixels beside it. */
function under(sheet, event, { x, y } = { x: 0, y: 0 }) {
  const { lat, lng } = sheet.containerPointToLatLng(sheet.mouseEventToContainerPoint(event).add([x, y])).wrap();
  return { lat_deg: lat, lon_deg: lng };
}

/** How far the waypoint lies from where it was taken hold of: by its plate, it must not jump under the pointer. */
function gripOffset(sheet, event, id) {
  const { waypoint } = findWaypoint(state.inputs, id);
  const turns = Math.round((sheet.mouseEventToLatLng(event).lng - waypoint.lon_deg) / 360); // the Plot may be drawn past 180
  const layer = sheet.project([waypoint.lat_deg, waypoint.lon_deg + turns * 360]).subtract(sheet.getPixelOrigin()); // not rounded to whole pixels
  return sheet.layerPointToContainerPoint(layer).subtract(sheet.mouseEventToContainerPoint(event));
}

function waypointIdAt(target) {
  const item = target.closest?.("[data-plot-item^='waypoint-']")?.dataset.plotItem;
  return item ? state.inputs?.route.waypoints[Number(item.slice("waypoint-".length))]?.id : undefined;
}

/** The release of a drag is no press on what lies under it. */
function swallowClick() {
  const swallow = (event) => event.stopPropagation();
  window.addEventListener("click", swallow, { capture: true, once: true });
  setTimeout(() => window.removeEventListener("click", swallow, { capture: true }));
}

/** One drag: from the press to the release, wherever the pointer goes. */
function drag(sheet, start, id) {
  let moved = false;
  const offset = gripOffset(sheet, start, id);
  const end = () => {
    window.removeEventListener("pointermove", move);
    window.removeEventListener("pointerup", up);
    window.removeEventListener("pointercancel", cancel);
    sheet.dragging.enable();
  };
  const move = (event) => {
    if (event.pointerId !== start.pointerId) return;
    if (!moved && Math.hypot(event.clientX - start.clientX, event.clientY - start.clientY) < LEAST_PX) return;
    if (!moved) { moved = true; startMove(id, "pointer"); }
    if (state.moving?.id !== id) { end(); return; } // put back by Esc
    moveUnder(under(sheet, event, offset));
  };
  const up = (event) => {
    if (event.pointerId !== start.pointerId) return;
    end();
    if (moved) swallowClick();
    if (moved && state.moving?.id === id) keepMove();
  };
  const cancel = () => { end(); if (moved && state.moving) dropMove(); };
  sheet.dragging.disable();
  window.addEventListener("pointermove", move);
  window.addEventListener("pointerup", up);
  window.addEventListener("pointercancel", cancel);
}

/** A press puts a waypoint where it was asked for, or says where the ship is, also on a line or a plate; moving the Plot meanwhile does not. */
function startPlacing(sheet) {
  let down = null;
  sheet.getContainer().addEventListener("pointerdown", (event) => { down = { x: event.clientX, y: event.clientY }; }, true);
  sheet.getContainer().addEventListener("click", (event) => {
    if ((!state.placing && !state.picking) || event.target.closest(".leaflet-control")) return;
    event.stopPropagation();
    if (down && Math.hypot(event.clientX - down.x, event.clientY - down.y) >= LEAST_PX) return;
    if (state.picking) set({ picking: false, picked: printedPlace(under(sheet, event)) });
    else insertHere(state.placing, printedPlace(under(sheet, event)));
  }, true);
}

export function startDrag(sheet) {
  sheet.getContainer().addEventListener("pointerdown", (event) => {
    const id = event.button === 0 && !state.moving && !state.placing && !state.picking && !state.frozen ? waypointIdAt(event.target) : undefined;
    if (id !== undefined) drag(sheet, event, id);
  }, true);
  startPlacing(sheet);
}
