/** Harmonic constants of a tide as typed: a line for each constituent. */

import { countText } from "../format.js";
import { readNumber } from "../fields.js";

const LINE = /^([A-Za-z0-9]{1,12})[\s,;]+([+-]?\d+(?:\.\d+)?)\s*m?[\s,;]+([+-]?\d+(?:\.\d+)?)$/;

/** "M2 1.52 141.3" line by line, amplitude in metres and phase on Greenwich: {constituents} or {error}. */
export function readConstituents(text) {
  const lines = text.split(/\r?\n/).map((one) => one.trim()).filter(Boolean);
  const constituents = [];
  for (const [index, line] of lines.entries()) {
    const [, name, amplitude, phase] = LINE.exec(line) || [];
    if (!name) return { error: `Line ${index + 1} is not a constituent, its amplitude in metres and its phase in degrees: ${line}` };
    constituents.push({ name, amplitude_m: Number(amplitude), phase_deg: Number(phase) });
  }
  return constituents.length === 0 ? { error: "One constituent is needed at least." } : { constituents };
}

export const constituentsText = (constituents) => constituents.map((one) => `${one.name} ${one.amplitude_m} ${one.phase_deg}`).join("\n");

/** What the fields say: {harmonics} or the errors of each. */
export function readHarmonics(text, mean, latitude) {
  const [rows, level, lat] = [readConstituents(text), readNumber(mean, "m"), readNumber(latitude, "deg")];
  const errors = { rows: rows.error, mean: level.error ?? (level.value === undefined ? "The mean level above chart datum is needed." : null), lat: lat.error ?? (lat.value === undefined ? "The latitude of the station is needed." : null) };
  if (errors.rows || errors.mean || errors.lat) return { errors };
  return { harmonics: { mean_level_m: level.value, lat_deg: lat.value, constituents: rows.constituents } };
}

export const harmonicsLine = ({ constituents, mean_level_m: mean }) => `${countText(constituents.length, "constituent")}, mean level ${mean} m; windows from 25 h before to 25 h after she passes`;
