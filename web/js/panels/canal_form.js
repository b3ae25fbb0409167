/**
 * The word given for a leg through a canal, with where on the leg it is. The form stands apart from what is drawn
 * anew; where the service refuses what was recorded, the same form comes back with the message under its field.
 */

import { setLeg } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { readNumber } from "../fields.js";
import { numberText } from "../format.js";
import { formField } from "../record/fields.js";
import { set, state, watch } from "../state.js";
import { waiverForm } from "./waiver_form.js";

const LEAD = "Without bounds the word is for the longest stretch on land that hangs together, or the known canal there.";
const HINT = "along the leg from its first waypoint; both or neither";
const BOUNDS = [["from_nm", "Canal from"], ["to_nm", "Canal to"]];

/** The form that was recorded last: {id, node, say(member, message)}; it is wanted again where it is refused. */
let recorded = null;

const indexOf = (id) => state.inputs?.route.waypoints.findIndex((one) => one.id === id) ?? -1;
const leave = () => { recorded = null; set({ canalFor: null }); };

/** The two bounds as fields: {nodes, read(), say(member, message)}. */
function boundFields() {
  const fields = new Map(BOUNDS.map(([name, label]) => [name, formField({ id: `canal-${name}`, label: `${label}, NM`, hint: HINT, attributes: { inputmode: "decimal" } })]));
  const given = (name) => {
    if (!fields.get(name).text()) return undefined;
    const { value, error } = readNumber(fields.get(name).text(), "NM");
    fields.get(name).say(error ?? null);
    return error ? null : value;
  };
  const read = () => {
    fields.forEach((one) => one.say(null));
    const [from, to] = BOUNDS.map(([name]) => given(name));
    if (from === null || to === null) return null;
    if ((from === undefined) !== (to === undefined)) {
      fields.get(from === undefined ? "from_nm" : "to_nm").say("Both bounds are given, or neither.");
      return null;
    }
    return from === undefined ? {} : { from_nm: from, to_nm: to };
  };
  return { nodes: [...fields.values()].map(({ node }) => node), read, say: (member, message) => (fields.get(member) ?? fields.get("to_nm")).say(message) };
}

/** The form of the leg that is asked about, or null. */
export function canalForm() {
  const id = state.canalFor;
  const index = indexOf(id);
  if (!id || index < 1) return null;
  if (recorded?.id === id) return recorded.node;
  const bounds = boundFields();
  const take = (given) => {
    recorded = { id, node, say: bounds.say };
    set({ canalFor: null });
    edit(setLeg(id, "canal", given));
  };
  const node = waiverForm({ id: "canal", heading: `Canal on leg ${numberText(index - 1)}-${numberText(index)}`, lead: LEAD, act: "Record this word", take, leave, more: bounds });
  return node;
}

/** Brings the form back where the service refuses what was recorded with it. */
export function watchCanal() {
  watch(["fieldErrors"], () => {
    if (!recorded) return;
    const start = `/route/waypoints/${indexOf(recorded.id)}/leg/canal`;
    const refused = [...state.fieldErrors].filter(([pointer]) => pointer === start || pointer.startsWith(`${start}/`));
    if (refused.length === 0) return;
    refused.forEach(([pointer, message]) => recorded.say(pointer.slice(start.length + 1), message));
    set({ canalFor: recorded.id });
  });
  watch(["draft"], () => { if (recorded && state.draft?.inputs.route.waypoints[indexOf(recorded.id)]?.leg?.canal) recorded = null; });
}
