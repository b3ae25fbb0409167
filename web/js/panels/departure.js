/** The field of the departure: it stands where times count by it. */

import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { formField } from "../record/fields.js";
import { state, watch } from "../state.js";
import { readTime, typedTime } from "../times.js";

export function departureField(id, hint) {
  const one = formField({ id, label: "Departure, UTC", hint });
  one.input.addEventListener("change", () => {
    const { value, error } = readTime(one.text());
    one.say(error);
    if (!error) edit(setTop({ departure_utc: value }));
  });
  watch(["inputs"], () => { if (one.input !== document.activeElement && one.input.getAttribute("aria-invalid") !== "true") one.input.value = typedTime(state.inputs?.departure_utc); });
  watch(["fieldErrors"], () => { const words = state.fieldErrors.get("/departure_utc"); if (words) one.say(words); });
  return one.node;
}
