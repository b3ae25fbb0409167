/** The texts of the form beside the inputs: what was typed and could not be taken stays as it was typed. */

import { formFrom, readField, shipFrom } from "../fields.js";
import { state } from "../state.js";
import { sameMember } from "./difference.js";
import { keptShip, shipOf } from "./kept.js";

/** Whether a text of the limits or conditions is not in the inputs yet: it is being typed, or is half of a pair. */
function waits(pointer, text) {
  const [, section, member] = pointer.split("/");
  const { value, error } = readField(pointer, text);
  return section !== "ship" && (Boolean(error) || value !== (state.inputs?.[section]?.[member] ?? undefined));
}

/** Form texts for inputs; a text that was refused, or waits, or a ship that is not stored yet, stays as it was typed. */
export function formTexts(inputs) {
  const { form, extra } = formFrom(inputs);
  for (const pointer of state.fieldErrors.keys()) {
    if (pointer in state.form) form[pointer] = state.form[pointer];
  }
  if (!state.inputs) return withKeptShip(inputs, form, extra);
  for (const [pointer, text] of Object.entries(state.form)) {
    if (waits(pointer, text)) form[pointer] = text;
  }
  if (!sameMember(state.inputs.ship, inputs.ship)) return { form, extra, shipMissing: [] };
  for (const [pointer, text] of Object.entries(state.form)) {
    if (pointer.startsWith("/ship/")) form[pointer] = text;
  }
  return { form, extra: { ...extra, ship: state.extra.ship } };
}

/** On opening, a ship that could not be stored on an earlier visit comes back into its fields. */
function withKeptShip(inputs, form, extra) {
  const kept = keptShip(state.place.id);
  if (!kept || !sameMember(kept.of ?? shipOf({}), shipOf(inputs))) return { form, extra, shipMissing: [], shipEdited: false };
  const others = Object.entries(form).filter(([pointer]) => !pointer.startsWith("/ship/"));
  const texts = { form: { ...Object.fromEntries(others), ...kept.form }, extra: { ...extra, ship: kept.extra } };
  return { ...texts, shipMissing: kept.missing, shipEdited: true, fieldErrors: shipFrom(texts.form, texts.extra).errors };
}
