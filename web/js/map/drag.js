/** Dragging a waypoint on the Plot, and pressing the Plot to place one. Where the pointer lies is read off the sheet. */

import { dropMove, keepMove, moveUnder, startMove } from "../draft/moving.js";
import { insertHere } from "../draft/waypoints.js";
import { state } from "../state.js";

/** A press that moves less than this selects; it moves nothing. */
const LEAST_PX = 4;
const STEPS_PER_DEGREE = 60000;

/** The position under a pointer. */
function under(sheet, event) {
  const { lat, lng } = sheet.mouseEventToLatLng(event).wrap();
  return { lat_deg: lat, lon_deg: lng };
}

function waypointIdAt(target) {
  const item = target.closest?.("[data-plot-item^='waypoint-']")?.dataset.plotItem;
  return item ? state.inputs?.route.waypoints[Number(item.slice("waypoint-".length))]?.id : undefined;
}

/** One drag: from the press to the release, wherever the pointer goes. */
function drag(sheet, start, id) {
  let moved = false;
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
    moveUnder(under(sheet, event));
  };
  const up = (event) => {
    if (event.pointerId !== start.pointerId) return;
    end();
    if (moved && state.moving?.id === id) keepMove();
  };
  const cancel = () => { end(); if (moved && state.moving) dropMove(); };
  sheet.dragging.disable();
  window.addEventListener("pointermove", move);
  window.addEventListener("pointerup", up);
  window.addEventListener("pointercancel", cancel);
}

export function startDrag(sheet) {
  sheet.getContainer().addEventListener("pointerdown", (event) => {
    const id = event.button === 0 && !state.moving && !state.placing ? waypointIdAt(event.target) : undefined;
    if (id !== undefined) drag(sheet, event, id);
  }, true);
  sheet.on("click", ({ latlng }) => {
    if (!state.placing) return;
    const { lat, lng } = latlng.wrap();
    const printed = (value) => Math.round(value * STEPS_PER_DEGREE) / STEPS_PER_DEGREE;
    insertHere(state.placing, { lat_deg: printed(lat), lon_deg: printed(lng) });
  });
}
