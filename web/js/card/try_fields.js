/** The fields of what is tried in a turn, and how their texts become members of the question. */

import { readNumber } from "../fields.js";
import { courseText, known, plainText } from "../format.js";

/** `planned` reads what is planned from {turn, card, inputs}; a slider has its range. */
export const TRY_FIELDS = [
  { name: "speed_kn", label: "Speed", unit: "kn", slider: { min: 1, max: 30, step: 0.1 }, planned: ({ turn, card }) => card?.run?.columns.speed_kn[0] ?? turn.speed_kn },
  { name: "set_deg", label: "Current sets", unit: "deg T", write: courseText, planned: ({ turn }) => turn.current?.set_deg },
  { name: "drift_kn", label: "Drift", unit: "kn", slider: { min: 0, max: 8, step: 0.1 }, planned: ({ turn }) => turn.current?.drift_kn },
  { name: "turn_radius_nm", label: "Turn radius", unit: "NM", planned: ({ turn }) => turn.radius_nm },
  { name: "rudder_deg", label: "Rudder", unit: "deg", planned: ({ card }) => card?.methods.find((row) => row.method === "simulated")?.manoeuvre?.rudder_deg },
  { name: "helm_delay_s", label: "Helm delay", unit: "s", planned: ({ inputs }) => inputs.ship?.helm_delay_s },
  { name: "depth_m", label: "Depth of water", unit: "m", planned: ({ inputs }) => inputs.conditions?.depth_m },
  { name: "wind_force_bft", label: "Wind force", unit: "Beaufort", planned: ({ inputs }) => inputs.conditions?.wind_force_bft },
  { name: "distance_nm", label: "Own wheel-over before WPT", unit: "NM", planned: ({ turn }) => turn.planned?.distance_nm },
];

export const STEERING = [["", "as planned"], ["rudder", "with the rudder"], ["rate", "by rate of turn"], ["radius", "by radius"]];
const STEERING_WORDS = Object.fromEntries(STEERING);

/** A value in few figures, as it is shown beside a field; the question takes it as it was sent. */
export const shortText = (value) => plainText(value, 2).replaceAll("\u2009", "");

/** {tried, errors}: what the texts come to. Half a current takes its other half from what is planned. */
export function readTried(texts, now) {
  const [tried, errors] = [{}, {}];
  for (const { name, unit } of TRY_FIELDS) {
    const { value, error } = readNumber(texts[name] ?? "", unit);
    if (error) errors[name] = error;
    else if (value !== undefined) tried[name] = value;
  }
  if (texts.steering) tried.steering = texts.steering;
  if (texts.loading) tried.loading = texts.loading;
  for (const [one, other] of [["set_deg", "drift_kn"], ["drift_kn", "set_deg"]]) {
    if (!(one in tried) || other in tried || other in errors) continue;
    const planned = now.turn.current?.[other];
    if (known(planned)) tried[other] = planned;
    else errors[other] = "Set and drift belong together: give this one too.";
  }
  return { tried, errors };
}

/** What is tried in words, as "speed 14 kn, current sets 040 deg T". */
export function triedWords(tried) {
  const words = TRY_FIELDS.filter(({ name }) => known(tried[name])).map(({ name, label, unit }) => `${label.toLowerCase().replace("wpt", "WPT")} ${shortText(tried[name])} ${unit}`);
  if (tried.steering) words.push(`steered ${STEERING_WORDS[tried.steering]}`);
  if (tried.loading) words.push(`loading ${tried.loading}`);
  return words.join(", ");
}
