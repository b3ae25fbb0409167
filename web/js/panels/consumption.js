/** What she burns a day at each speed, from her own papers: a line for each speed and fuel. */

import { replace } from "../dom.js";
import { formField } from "../record/fields.js";
import { set, state, watch } from "../state.js";

const ROW = /^(\d+(?:\.\d+)?)[\s,;]+(\d+(?:\.\d+)?)(?:[\s,;]+(\S.*))?$/;

/** "12 24.5 VLSFO" line by line: {rows} or {error} that names the line. */
function readRows(text) {
  const lines = text.split(/\r?\n/).map((one) => one.trim()).filter(Boolean);
  const rows = [];
  for (const [index, line] of lines.entries()) {
    const [, speed, rate, fuel] = ROW.exec(line) || [];
    if (speed === undefined) return { error: `Line ${index + 1} is not a speed in knots, tonnes a day and, where she burns several, the fuel: ${line}` };
    rows.push({ speed_kn: Number(speed), t_per_day: Number(rate), ...(fuel && { fuel: fuel.trim() }) });
  }
  return { rows };
}

const rowsText = (rows = []) => rows.map((one) => [one.speed_kn, one.t_per_day, one.fuel].filter((part) => part !== undefined && part !== null).join(" ")).join("\n");

/** The field; `commit` takes what the ship's fields say. */
export function startConsumption(host, commit) {
  const one = formField({ id: "consumption", label: "Consumption: speed kn, tonnes a day, fuel", hint: "a line for each, like 12 24.5 VLSFO; at 0 kn what she burns at rest. Between the speeds it is taken along a straight line, beyond them it is not known.", area: true, attributes: { rows: 4 } });
  replace(host, one.node);
  one.input.addEventListener("change", () => {
    const { rows, error } = readRows(one.input.value);
    one.say(error);
    if (error) return;
    const { consumption: old, ...ship } = state.extra.ship || {};
    const next = { ...ship, ...(rows.length > 0 && { consumption: rows }) };
    set({ extra: { ...state.extra, ship: Object.keys(next).length > 0 ? next : undefined } });
    commit();
  });
  watch(["extra"], () => { if (one.input !== document.activeElement && one.input.getAttribute("aria-invalid") !== "true") one.input.value = rowsText(state.extra.ship?.consumption); });
  watch(["fieldErrors"], () => { const words = [...state.fieldErrors].filter(([pointer]) => pointer.startsWith("/ship/consumption")).map(([, text]) => text).join(" "); if (words) one.say(words); });
}
