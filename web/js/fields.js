/**
 * The form fields, one row each. The pointer is where the value goes in the request and where the
 * service's message about it comes back to.
 */

import { CARD_FIELDS } from "./card_fields.js";
import { ALL_HELM_FIELDS, NEEDED_OF_RESPONSE, PARTS } from "./helm_fields.js";

const number = (pointer, label, unit, extra = {}) => ({ pointer, label, unit, kind: "number", ...extra });

export const SHIP_FIELDS = [
  { pointer: "/ship/name", label: "Ship's name", unit: null, kind: "text" },
  number("/ship/loa_m", "Length over all", "m"),
  number("/ship/lpp_m", "Length between perpendiculars", "m", { hint: "may be empty" }),
  number("/ship/beam_m", "Beam", "m"),
  number("/ship/draught_fore_m", "Draught fore", "m"),
  number("/ship/draught_aft_m", "Draught aft", "m"),
  number("/ship/block_coefficient", "Block coefficient", "ratio", { hint: "for estimates; may be empty" }),
  number("/ship/lateral_windage_m2", "Lateral windage", "m\u00b2", { hint: "above the water, for leeway; may be empty" }),
  number("/ship/windage_centre_from_bow_m", "Centre of windage from the bow", "m", { hint: "empty: midships" }),
  number("/ship/speed_kn", "Speed through the water", "kn", { hint: "used where a leg gives none" }),
  number("/ship/max_speed_kn", "Most speed through the water", "kn", { hint: "what a given ETA is held against; may be empty" }),
  number("/ship/turn_radius_nm", "Turn radius", "NM", { hint: "used where a waypoint gives none" }),
  number("/ship/min_turn_radius_nm", "Least turn radius", "NM", { hint: "a limit of the ship" }),
  number("/ship/max_rate_of_turn_deg_per_min", "Greatest rate of turn", "deg/min", { hint: "a limit of the ship" }),
  number("/ship/turn_speed_ratio", "Speed in the turn over approach speed", "ratio", { hint: "empty: 1, assumed" }),
  number("/ship/draught_midships_m", "Draught midships", "m", { hint: "for sag and hog; may be empty" }),
  number("/ship/draught_density_kg_per_m3", "Density of the water her draughts are of", "kg/m\u00b3", { hint: "empty: salt water, 1025" }),
  number("/ship/air_draught_m", "Air draught", "m", { hint: "water to the top of her mast or aerials, at her draughts; for clearance overhead" }),
  number("/ship/displacement_t", "Displacement", "t", { hint: "for other densities of water; may be empty" }),
  number("/ship/tpc_t_per_cm", "Tonnes per centimetre", "t/cm", { hint: "may be empty" }),
  number("/ship/gm_m", "Metacentric height GM", "m", { hint: "for heel in turns and wind" }),
  number("/ship/kg_m", "Centre of gravity above the keel KG", "m", { hint: "may be empty" }),
  number("/ship/bg_m", "Centre of gravity above that of buoyancy BG", "m", { hint: "may be empty" }),
  number("/ship/gyro_error_deg", "Gyro error", "deg", { hint: "added to the gyro's reading: low is positive; empty: not known" }),
  number("/ship/windage_centre_above_water_m", "Centre of windage above the water", "m", { hint: "for heel in wind" }),
  number("/ship/eye_height_m", "Height of eye", "m", { hint: "above the water; empty: what is seen by eye is not known" }),
  number("/ship/radar_height_m", "Height of the radar", "m", { hint: "its antenna, above the water" }),
  number("/ship/radar_range_scale_nm", "Range scale of the radar", "NM", { hint: "in use at wheel-overs; empty: the least that shows the mark" }),
];

/** The ways to give the reach; one of them is sent. */
export const REACH_KINDS = [
  { pointer: "", label: "not given: one ship's length, assumed", unit: null },
  { pointer: "/ship/reach_m", label: "in metres (m)", unit: "m" },
  { pointer: "/ship/reach_lengths", label: "in ship's lengths", unit: "lengths" },
  { pointer: "/ship/reach_s", label: "in seconds (s)", unit: "s" },
];

export const LIMIT_FIELDS = [
  number("/limits/min_clearance_m", "Least clearance of the plan", "m", { hint: "used where neither danger nor leg has its own" }),
  number("/limits/max_off_track_m", "Most off the new track", "m", { hint: "where SIM ends, either side; empty: her beam, to be explained" }),
  number("/limits/min_to_close_s", "Least time before the window closes", "s", { hint: "from the planned WOP to the latest" }),
  number("/conditions/set_deg", "Current sets", "deg T", { hint: "the direction it goes to" }),
  number("/conditions/drift_kn", "Drift of the current", "kn"),
  number("/conditions/depth_m", "Depth of water in the turns", "m", { hint: "the least of all turns; empty: SIM assumes deep water and says so" }),
  number("/conditions/wind_from_deg", "Wind from", "deg T", { hint: "the direction it comes from" }),
  number("/conditions/wind_kn", "Wind speed", "kn", { hint: "true wind; with the ship's windage SIM allows for leeway and weather helm" }),
  number("/conditions/visibility_nm", "Visibility", "NM", { hint: "for marks and lights; empty: 10 NM" }),
  number("/conditions/wind_force_bft", "Wind force", "Beaufort", { hint: "SIM holds to force 5" }),
  { pointer: "/conditions/thrusters_in_use", label: "Thrusters in use in the turns", unit: null, kind: "flag", options: [["", "not said: no"], ["false", "no"], ["true", "yes"]], hint: "with thrusters SIM is not computed" },
];

/** What the sums under the keel and over the mast are held against, and the water they are made in. */
export const DEPTH_FIELDS = [
  number("/limits/min_ukc_m", "Least under the keel", "m", { hint: "the larger of this and the share of the draught is required" }),
  number("/limits/min_ukc_draught_ratio", "Least under the keel over draught", "ratio", { hint: "0.1 is a tenth of the draught" }),
  number("/limits/min_overhead_m", "Least clearance overhead", "m"),
  number("/limits/electrical_distance_m", "Electrical distance under cables", "m", { hint: "taken off where the chart has not done so" }),
  number("/conditions/tide_m", "Height of tide", "m", { hint: "above chart datum, where no table below counts" }),
  number("/conditions/wave_height_m", "Significant wave height", "m"),
  number("/conditions/wave_allowance_m", "Wave allowance", "m", { hint: "in place of one worked out from the height" }),
  number("/conditions/water_density_kg_per_m3", "Density of the water", "kg/m\u00b3", { hint: "empty: salt water, 1025" }),
  number("/conditions/height_datum_m", "Datum of heights above chart datum", "m", { hint: "for bridges and cables that do not say it" }),
];

/** What charted water is held against, and how late the helm is taken to be. */
export const SAFETY_FIELDS = [
  number("/limits/safety_contour_m", "Safety contour wanted", "m", { hint: "the nearest loaded contour as deep or deeper counts; empty: from her draught" }),
  number("/limits/safety_depth_m", "Safety depth", "m", { hint: "soundings and single dangers shallower than it count" }),
  number("/limits/helm_late_s", "Helm late by", "s", { hint: "what lies ahead then; empty: 30 s" }),
  { pointer: "/limits/water", label: "Kind of water of legs that name none", unit: null, kind: "choice", options: [["", "not said"], ["open", "open"], ["coastal", "coastal"], ["confined", "confined"]] },
];

/** How long before departure charts and publications may have been corrected last. */
export const SOURCE_FIELDS = [number("/limits/sources_max_age_days", "Most age of sources", "days", { hint: "from the last correction to departure; empty: not judged" })];

const REACH_POINTERS = REACH_KINDS.map((kind) => kind.pointer).filter(Boolean);

/** Every field with a place of its own, for its label and its unit. */
export const ALL_FIELDS = [...SHIP_FIELDS, ...ALL_HELM_FIELDS, ...LIMIT_FIELDS, ...DEPTH_FIELDS, ...SAFETY_FIELDS, ...SOURCE_FIELDS, ...CARD_FIELDS, ...REACH_KINDS];

const KINDS = new Map([...SHIP_FIELDS, ...ALL_HELM_FIELDS, ...LIMIT_FIELDS, ...DEPTH_FIELDS, ...SAFETY_FIELDS, ...SOURCE_FIELDS, ...CARD_FIELDS].map((field) => [field.pointer, field.kind]));
REACH_POINTERS.forEach((pointer) => KINDS.set(pointer, "number"));

/** Whether the page has a field for this pointer. */
function hasField(pointer) {
  return KINDS.has(pointer);
}

const NUMBER = /^([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*([a-zA-Z/]*)$/;

/** Lengths in metres, for a unit written behind a number. */
const METRES = { m: 1, cab: 185.2, nm: 1852, km: 1000 };

/** Units that may stand behind a number of a field, beside lengths. */
const SPELLINGS = { kn: ["kn"], s: ["s"], "deg/min": ["deg/min"], deg: ["deg"], "deg T": ["t", "deg"] };

/** A number typed for a field of `unit`: {value}, {error}, or nothing for an empty text. A doubtful one is never read. */
export function readNumber(text, unit) {
  const trimmed = text.trim();
  if (trimmed === "") return {};
  const [, digits, suffix] = NUMBER.exec(trimmed) || [];
  if (digits === undefined) return { error: trimmed.includes(",") ? "Write decimals with a point, without thousands marks." : "This is not a number." };
  const value = Number(digits);
  const own = (unit || "").toLowerCase();
  const given = suffix.toLowerCase();
  if (given === "" || given === own || SPELLINGS[unit]?.includes(given)) return { value };
  if (METRES[own] && METRES[given]) return { value: Number(((value * METRES[given]) / METRES[own]).toPrecision(12)) };
  return { error: `The unit ${suffix} does not fit here; this field is in ${unit || "plain numbers"}.` };
}

const UNITS = new Map(ALL_FIELDS.map((field) => [field.pointer, field.unit]));

/** The value of a form field: {value}, {error} or nothing. */
export function readField(pointer, text) {
  if (KINDS.get(pointer) === "choice") return text === "" ? {} : { value: text };
  if (KINDS.get(pointer) === "flag") return text === "" ? {} : { value: text === "true" };
  if (KINDS.get(pointer) === "text") return text.trim() === "" ? {} : { value: text.trim() };
  return readNumber(text, UNITS.get(pointer));
}

/** Members a ship cannot be stored without. */
const NEEDED = ["name", "loa_m", "beam_m", "draught_fore_m", "draught_aft_m"];

/** Puts a value in the ship, one level down where the member has members of its own. */
function put(ship, [member, name], value) {
  ship[member] = name === undefined ? value : { ...ship[member], [name]: value };
}

/** What a half given response still needs, as "response/k_per_s". */
function missingOfResponse(ship, errors) {
  const begun = ship.response || [...errors.keys()].some((pointer) => pointer.startsWith("/ship/response/"));
  if (!begun) return [];
  return NEEDED_OF_RESPONSE.filter((name) => !(name in (ship.response || {}))).map((name) => `response/${name}`);
}

/** The ship of the form: {ship, errors, missing}; ship is undefined where every field is empty. */
export function shipFrom(form, extra) {
  const ship = { ...extra.ship };
  const errors = new Map();
  for (const [pointer, text] of Object.entries(form)) {
    if (!pointer.startsWith("/ship/")) continue;
    const { value, error } = readField(pointer, text);
    if (error) errors.set(pointer, error);
    else if (value !== undefined) put(ship, pointer.split("/").slice(2), value);
  }
  const given = Object.keys(ship).length > 0 || errors.size > 0;
  const needed = [...NEEDED.filter((member) => !(member in ship)), ...missingOfResponse(ship, errors)];
  const missing = given ? needed.filter((member) => !errors.has(`/ship/${member}`)) : [];
  return { ship: given ? ship : undefined, errors, missing };
}

/** The label of a member of the ship. */
export function shipLabel(member) {
  const label = ALL_FIELDS.find((field) => field.pointer === `/ship/${member}`)?.label;
  return label ? label[0].toLowerCase() + label.slice(1) : member;
}

/** A member that has members of its own: the texts of those with a field, and the others as they are. */
export function partTexts(pointer, part) {
  const given = Object.entries(part).filter(([, value]) => value !== null);
  const [texts, others] = [true, false].map((wanted) => given.filter(([name]) => hasField(`${pointer}/${name}`) === wanted));
  return { texts: Object.fromEntries(texts.map(([name, value]) => [`${pointer}/${name}`, String(value)])), others: others.length > 0 ? Object.fromEntries(others) : undefined };
}

/** Form texts, and the members without a field, of the sections of inputs. */
export function formFrom(inputs) {
  const form = {};
  const extra = {};
  for (const section of ["ship", "limits", "conditions"]) {
    for (const [member, value] of Object.entries(inputs[section] || {})) {
      const pointer = `/${section}/${member}`;
      if (value === null) continue;
      if (section === "ship" && PARTS.includes(member)) {
        const { texts, others } = partTexts(pointer, value);
        Object.assign(form, texts);
        if (others) extra[section] = { ...extra[section], [member]: others };
      } else if (hasField(pointer)) form[pointer] = String(value);
      else extra[section] = { ...extra[section], [member]: value };
    }
  }
  return { form, extra };
}
