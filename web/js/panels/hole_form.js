/** A hole is filled where it stands: a position is typed for the row that was not understood, or the sides are joined. */

import { el } from "../dom.js";
import { fillHole, joinHole } from "../draft/waypoints.js";

export function holeForm(before) {
  const id = `hole-${before}`;
  const message = el("p", { class: "field-error", id: `${id}-error`, role: "alert", hidden: true });
  const input = el("input", { id, type: "text", autocomplete: "off", "data-testid": `hole-fill-${before}`, "aria-describedby": `${id}-error`, placeholder: "51-23.456N 001-12.345E" });
  const fill = async () => {
    try {
      await fillHole(before, input.value);
    } catch (error) {
      message.textContent = error.errors?.[0]?.message || error.message;
      message.hidden = false;
      input.setAttribute("aria-invalid", "true");
    }
  };
  input.addEventListener("keydown", (event) => { if (event.key === "Enter") fill(); });
  return el("div", { class: "inline-form" }, el("label", { for: id }, "Fix here"), input,
    el("button", { type: "button", "data-testid": `hole-put-${before}`, on: { click: fill } }, "Put a waypoint here"),
    el("button", { type: "button", "data-testid": `hole-join-${before}`, on: { click: () => joinHole(before) } }, "Nothing is missing here: join"), message);
}
