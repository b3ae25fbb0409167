/** The pilot card in the ship form: who she is, her chain, engine, rudder, thrusters, what was checked, and her stopping trials. */

import { CARD_FIELDS, CARD_LISTS } from "../card_fields.js";
import { el, replace } from "../dom.js";
import { formField } from "../record/fields.js";
import { set, state, watch } from "../state.js";
import { field } from "./form.js";

const rowsOf = ({ of, member }) => (of ? state.extra.ship?.[of]?.[member] : state.extra.ship?.[member]) || [];

/** The rows of typed lines: {rows} or {error} that names the line. */
function readLines(described, text) {
  const rows = [];
  const before = rowsOf(described);
  for (const [index, line] of text.split(/\r?\n/).map((one) => one.trim()).filter(Boolean).entries()) {
    const { row, error } = described.read(line);
    if (error) return { error: `Line ${index + 1} ${error}: ${line}` };
    const old = described.key && before.find((one) => one[described.key] === row[described.key]);
    rows.push(described.keep ? described.keep(row, old) : row);
  }
  return { rows };
}

/** The members of the ship without a field, with one list put in or taken out. */
function withRows({ of, member }, rows) {
  const ship = { ...state.extra.ship };
  const part = of ? { ...ship[of] } : ship;
  if (rows.length > 0) part[member] = rows; else delete part[member];
  if (of && Object.keys(part).length > 0) ship[of] = part;
  else if (of) delete ship[of];
  return Object.keys(ship).length > 0 ? ship : undefined;
}

function listField(described, commit) {
  const one = formField({ id: described.id, label: described.label, hint: described.hint, area: true, attributes: { rows: 4 } });
  const pointer = described.of ? `/ship/${described.of}/${described.member}` : `/ship/${described.member}`;
  one.input.addEventListener("change", () => {
    const { rows, error } = readLines(described, one.input.value);
    one.say(error);
    if (error) return;
    set({ extra: { ...state.extra, ship: withRows(described, rows) } });
    commit();
  });
  watch(["extra"], () => { if (one.input !== document.activeElement && one.input.getAttribute("aria-invalid") !== "true") one.input.value = rowsOf(described).map(described.write).join("\n"); });
  watch(["fieldErrors"], () => { const words = [...state.fieldErrors].filter(([at]) => at.startsWith(`${pointer}/`) || at === pointer).map(([at, text]) => `${at.split("/").slice(pointer.split("/").length).join(", ")} ${text}`.trim()).join(" "); if (words) one.say(words); });
  return one.node;
}

export function startPilotCard(host, commit) {
  const general = el("p", { class: "field-error", "data-testid": "card-refused", hidden: true });
  replace(host, el("details", { "data-testid": "pilot-card" }, el("summary", {}, "Pilot card and stopping trials"),
    el("p", { class: "field-hint" }, "What the pilot is told of her beside the fields above. What nobody says is asked for where a leg is pilotage; nothing is filled in."), general,
    el("div", { class: "fields" }, CARD_FIELDS.map((one) => field(one, commit))), CARD_LISTS.map((one) => listField(one, commit))));
  watch(["fieldErrors"], () => {
    general.textContent = state.fieldErrors.get("/ship/pilot_card") || "";
    general.hidden = !general.textContent;
  });
}
