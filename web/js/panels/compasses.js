/** The deviation card of the ship: a line for each heading, as it hangs beside the compass. */

import { el, replace } from "../dom.js";
import { countText } from "../format.js";
import { choiceField, formField } from "../record/fields.js";
import { set, state, watch } from "../state.js";
import { readTime, typedTime } from "../times.js";

const LINE = /^(\d{1,3}(?:\.\d+)?)[\s,;:]+([+-]?\d+(?:\.\d+)?)\s*([EWew])?$/;

/** "045 1.5 E" line by line, west negative: {rows} or {error} that names the line. */
export function readCard(text) {
  const lines = text.split(/\r?\n/).map((one) => one.trim()).filter(Boolean);
  const rows = [];
  for (const [index, line] of lines.entries()) {
    const [, heading, number, side] = LINE.exec(line) || [];
    if (heading === undefined || Number(heading) >= 360 || (side && /^[+-]/.test(number))) return { error: `Line ${index + 1} is not a heading below 360 and a deviation such as 045 1.5 E: ${line}` };
    rows.push({ heading_deg: Number(heading), deviation_deg: Number(number) * (side?.toUpperCase() === "W" ? -1 : 1) + 0 });
  }
  if (rows.length === 1) return { error: "Two headings are needed at least." };
  return { rows };
}

export const cardText = (rows) => rows.map(({ heading_deg: heading, deviation_deg: deviation }) => `${String(heading).padStart(3, "0")} ${Math.abs(deviation)} ${deviation < 0 ? "W" : "E"}`).join("\n");

const cardOf = () => state.extra.ship?.deviation_card;

/** Gives the ship another card, or none. */
function keep(card, commitShip) {
  const { deviation_card: old, ...rest } = state.extra.ship || {};
  const ship = { ...rest, ...(card && { deviation_card: card }) };
  set({ extra: { ...state.extra, ship: Object.keys(ship).length > 0 ? ship : undefined } });
  commitShip();
}

export function startCompasses(host, { commitShip }) {
  const rows = formField({ id: "deviation-card", label: "Deviation card: a line for each heading, deviation E or W", area: true, hint: "like 045 1.5 E; empty: the deviation is not known, and no course by compass is given", attributes: { rows: 5 } });
  const by = choiceField({ id: "deviation-by", label: "Headings of the card" });
  const swung = formField({ id: "deviation-swung", label: "Card made, UTC", hint: "like 2026-03-01 10:00; may be empty" });
  const summary = el("p", { class: "field-hint", "data-testid": "deviation-summary" });
  by.fill([["", "not said: taken as by compass"], ["compass", "by compass"], ["magnetic", "magnetic"]]);
  const commit = () => {
    const [read, time] = [readCard(rows.input.value), readTime(swung.text())];
    rows.say(read.error);
    swung.say(time.error);
    if (read.error || time.error) return;
    keep(read.rows.length > 0 ? { rows: read.rows, ...(by.text() && { by: by.text() }), ...(time.value && { swung_utc: time.value }) } : null, commitShip);
  };
  [rows, by, swung].forEach((one) => one.input.addEventListener("change", commit));
  replace(host, el("h3", {}, "Compasses"), el("div", { class: "fields" }, rows.node, by.node, swung.node), summary);
  watch(["extra"], () => {
    const card = cardOf();
    summary.textContent = card ? `${countText(card.rows.length, "heading")} given; along a straight line between two, and nothing where they are more than 45 deg apart.` : "No deviation card: the deviation is not known.";
    const typed = [rows, by, swung].some((one) => one.input === document.activeElement || one.input.getAttribute("aria-invalid") === "true");
    if (typed) return;
    rows.input.value = card ? cardText(card.rows) : "";
    by.input.value = card?.by ?? "";
    swung.input.value = card?.swung_utc ? typedTime(card.swung_utc) : "";
  });
  watch(["fieldErrors"], () => {
    const words = [...state.fieldErrors].filter(([pointer]) => pointer.startsWith("/ship/deviation_card")).map(([, text]) => text).join(" ");
    if (words) rows.say(words);
  });
}
