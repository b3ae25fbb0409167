/**
 * The form fields, one row each. The pointer is where the value goes in the request and where the
 * service's message about it comes back to.
 */

const number = (pointer, label, unit, extra = {}) => ({ pointer, label, unit, kind: "number", ...extra });

export const SHIP_FIELDS = [
  { pointer: "/ship/name", label: "Ship's name", unit: null, kind: "text" },
  number("/ship/loa_m", "Length over all", "m"),
  number("/ship/beam_m", "Beam", "m"),
  number("/ship/draught_fore_m", "Draught fore", "m"),
  number("/ship/draught_aft_m", "Draught aft", "m"),
  number("/ship/speed_kn", "Speed through the water", "kn", { hint: "used where a leg gives none" }),
  number("/ship/turn_radius_nm", "Turn radius", "NM", { hint: "used where a waypoint gives none" }),
  number("/ship/min_turn_radius_nm", "Least turn radius", "NM", { hint: "a limit of the ship" }),
  number("/ship/max_rate_of_turn_deg_per_min", "Greatest rate of turn", "deg/min", { hint: "a limit of the ship" }),
  number("/ship/turn_speed_ratio", "Speed in the turn over approach speed", "ratio", { hint: "empty: 1, assumed" }),
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
  number("/conditions/set_deg", "Current sets", "deg T", { hint: "the direction it goes to" }),
  number("/conditions/drift_kn", "Drift of the current", "kn"),
];

const REACH_POINTERS = REACH_KINDS.map((kind) => kind.pointer).filter(Boolean);

const KINDS = new Map([...SHIP_FIELDS, ...LIMIT_FIELDS].map((field) => [field.pointer, field.kind]));
REACH_POINTERS.forEach((pointer) => KINDS.set(pointer, "number"));

/** Whether the page has a field for this pointer. */
export function hasField(pointer) {
  return KINDS.has(pointer);
}

const NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)$/;

/** The value of a field: {value}, {error} or nothing for an empty one. A doubtful number is never read. */
function readField(pointer, text) {
  const trimmed = text.trim();
  if (trimmed === "") return {};
  if (KINDS.get(pointer) === "text") return { value: trimmed };
  if (NUMBER.test(trimmed)) return { value: Number(trimmed) };
  return { error: trimmed.includes(",") ? "Write decimals with a point, without thousands marks." : "This is not a number." };
}

/**
 * The ship, limits and conditions of a request, and the messages for fields that cannot be read.
 * `extra` holds members the form has no field for (a demonstration may bring them); they go along unchanged.
 */
export function sectionsFrom(form, extra) {
  const sections = structuredClone(extra);
  const errors = new Map();
  for (const [pointer, text] of Object.entries(form)) {
    const { value, error } = readField(pointer, text);
    if (error) errors.set(pointer, error);
    if (value === undefined) continue;
    const [, section, member] = pointer.split("/");
    sections[section] = { ...sections[section], [member]: value };
  }
  return { sections, errors };
}

/** The opposite: form texts and remaining members of the sections of a request. */
export function formFrom(request) {
  const form = {};
  const extra = {};
  for (const section of ["ship", "limits", "conditions"]) {
    for (const [member, value] of Object.entries(request[section] || {})) {
      const pointer = `/${section}/${member}`;
      if (hasField(pointer)) form[pointer] = String(value);
      else extra[section] = { ...extra[section], [member]: value };
    }
  }
  return { form, extra };
}
