/** A hole is filled where it stands: a position is typed for the row that was not understood, or the sides are joined. */

import { el } from "../dom.js";
import { fillHole, joinHole } from "../draft/waypoints.js";
import { forgetTyped } from "../redraw.js";

/** The form of the hole before an index; `next` is the waypoint behind it, which stays when others come or go. */
export function holeForm(before, next) {
  const id = `hole-${before}`;
  const message = el("p", { class: "field-error", id: `${id}-error`, role: "alert", hidden: true });
  const input = el("input", { id, type: "text", autocomplete: "off", "data-testid": `hole-fill-${before}`, "data-keep": `hole-before-${next}`, "data-waits": true, "aria-describedby": `${id}-error`, placeholder: "51-23.456N 001-12.345E" });
  const shown = () => (input.isConnected ? [input, message] : [id, `${id}-error`].map((one) => document.getElementById(one))); // drawn anew meanwhile
  const fill = async () => {
    try {
      await fillHole(before, input.value);
    } catch (error) {
      const [field, words] = shown();
      if (!field) return;
      words.textContent = error.errors?.[0]?.message || error.message;
      words.hidden = false;
      field.setAttribute("aria-invalid", "true");
      return;
    }
    const [field] = shown();
    if (field) forgetTyped(field); // taken: another row of the same hole has a text of its own
  };
  input.addEventListener("keydown", (event) => { if (event.key === "Enter") fill(); });
  return el("div", { class: "inline-form" }, el("label", { for: id }, "Fix here"), input,
    el("button", { type: "button", "data-testid": `hole-put-${before}`, on: { click: fill } }, "Put a waypoint here"),
    el("button", { type: "button", "data-testid": `hole-join-${before}`, on: { click: () => joinHole(before) } }, "Nothing is missing here: join"), message);
}
