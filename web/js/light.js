/** The palette switch: day, dusk, night. The choice is a cookie so that the service can serve it in the page. */

import { el, replace } from "./dom.js";

const PALETTES = ["day", "dusk", "night"];
const YEAR_S = 31536000;

/** The palette in use now. */
function current() {
  return document.documentElement.dataset.light || "day";
}

/** Applies a palette and keeps it; `SameSite=Strict` because no other site has business with it. */
function apply(palette) {
  document.documentElement.dataset.light = palette;
  document.cookie = `wheelover_light=${palette}; path=/; max-age=${YEAR_S}; SameSite=Strict`;
}

/** Draws the button group. */
function render(host) {
  const buttons = PALETTES.map((palette) =>
    el("button", {
      type: "button",
      "data-testid": `light-${palette}`,
      "aria-pressed": String(palette === current()),
      on: { click: () => { apply(palette); mark(host); } },
    }, palette[0].toUpperCase() + palette.slice(1)));
  replace(host, el("span", { class: "light-label", "aria-hidden": "true" }, "Light"), ...buttons);
}

/** Marks the pressed button without rebuilding, so that the focus stays where it is. */
function mark(host) {
  host.querySelectorAll("button").forEach((button, i) =>
    button.setAttribute("aria-pressed", String(PALETTES[i] === current())));
}

export function startLight(host) {
  render(host);
}

/** Goes to the next palette; bound to the key L in Ledger and Plot. */
export function nextLight(host) {
  apply(PALETTES[(PALETTES.indexOf(current()) + 1) % PALETTES.length]);
  mark(host);
}
