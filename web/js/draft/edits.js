/** Changes of the inputs as functions from inputs to inputs. No position is worked out here. */

/** A waypoint of the inputs by its id, with its index. */
export function findWaypoint(inputs, id) {
  const index = inputs.route.waypoints.findIndex((waypoint) => waypoint.id === id);
  return { index, waypoint: inputs.route.waypoints[index] };
}

function withWaypoints(inputs, waypoints) {
  return { ...inputs, route: { ...inputs.route, waypoints } };
}

/** An object without its empty members. */
function withoutEmpty(members) {
  return Object.fromEntries(Object.entries(members).filter(([, value]) => value !== undefined && value !== null));
}

function withWaypoint(inputs, id, change) {
  return withWaypoints(inputs, inputs.route.waypoints.map((waypoint) => (waypoint.id === id ? withoutEmpty(change(waypoint)) : waypoint)));
}

/** Sets a member of a waypoint; undefined takes it out. */
export const setMember = (id, member, value) => (inputs) => withWaypoint(inputs, id, (waypoint) => ({ ...waypoint, [member]: value }));

/** Sets a member of the leg that leads to a waypoint. */
export const setLeg = (id, member, value) => (inputs) => withWaypoint(inputs, id, (waypoint) => {
  const leg = withoutEmpty({ ...waypoint.leg, [member]: value });
  return { ...waypoint, leg: Object.keys(leg).length > 0 ? leg : undefined };
});

/** An object with the member at the end of a path set, or taken out; what is left empty goes too. */
function withDeep(members, [step, ...rest], value) {
  const inner = rest.length > 0 ? withDeep(members?.[step] ?? {}, rest, value) : value;
  return withoutEmpty({ ...members, [step]: inner && typeof inner === "object" && Object.keys(inner).length === 0 ? undefined : inner });
}

/** Sets a member of the legs to some waypoints, in one step; its path begins in the leg. */
export const setOnLegs = (ids, path, value) => (inputs) => ids.reduce((before, id) => withWaypoint(before, id, (waypoint) => withDeep(waypoint, ["leg", ...path], value)), inputs);

/** Sets members of a part of a waypoint, `turn` or `leg`, in one step; undefined takes one out. */
export const setPart = (id, part, members) => (inputs) => withWaypoint(inputs, id, (waypoint) => {
  const now = withoutEmpty({ ...waypoint[part], ...members });
  return { ...waypoint, [part]: Object.keys(now).length > 0 ? now : undefined };
});

const withCases = (inputs, cases) => withoutEmpty({ ...inputs, cases: cases.length > 0 ? cases : undefined });

/** Keeps a case beside the plan: {name, waypoint_id, tried}. */
export const keepCase = (one) => (inputs) => withCases(inputs, [...(inputs.cases || []), one]);

/** Takes out the case at a place of the list. */
export const removeCase = (index) => (inputs) => withCases(inputs, (inputs.cases || []).filter((_, i) => i !== index));

const withAlternatives = (inputs, alternatives) => withoutEmpty({ ...inputs, alternatives: alternatives.length > 0 ? alternatives : undefined });

/** Keeps a copy of the route beside it, under a name of its own. */
export const keepAlternative = (id, name) => (inputs) => withAlternatives(inputs, [...(inputs.alternatives || []), { id, route: { ...inputs.route, name } }]);

/**
 * Makes an alternative the route, and the route an alternative, in its place under a new id. Cases stay only where
 * the new route has their waypoint.
 */
export const selectAlternative = (id, newId) => (inputs) => {
  const chosen = inputs.alternatives.find((one) => one.id === id);
  const known = new Set(chosen.route.waypoints.map((waypoint) => waypoint.id));
  const cases = (inputs.cases || []).filter((one) => known.has(one.waypoint_id));
  const alternatives = inputs.alternatives.map((one) => (one.id === id ? { id: newId, route: inputs.route } : one));
  return withCases({ ...inputs, route: chosen.route, alternatives }, cases);
};

/** Changes members of an alternative: its `name`, which is that of its route, or its `remark`. */
export const changeAlternative = (id, { name, remark }) => (inputs) => withAlternatives(inputs, inputs.alternatives.map((one) => {
  if (one.id !== id) return one;
  return withoutEmpty({ ...one, route: name === undefined ? one.route : { ...one.route, name }, remark: remark === undefined ? one.remark : remark || undefined });
}));

export const removeAlternative = (id) => (inputs) => withAlternatives(inputs, (inputs.alternatives || []).filter((one) => one.id !== id));

export const moveTo = (id, { lat_deg, lon_deg }) => (inputs) => withWaypoint(inputs, id, (waypoint) => ({ ...waypoint, lat_deg, lon_deg }));

/** An id that no waypoint of this plan has or had: undo may bring old ones back. */
export function freshId() {
  const bytes = crypto.getRandomValues(new Uint8Array(4));
  return `N${[...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("")}`;
}

/** Puts a waypoint at an index. It takes on the wishes of the leg it parts, so that both halves have them. */
export const insertAt = (index, id, { lat_deg, lon_deg }) => (inputs) => {
  const { waypoints } = inputs.route;
  const leg = index > 0 ? waypoints[index]?.leg : undefined;
  return withWaypoints(inputs, [...waypoints.slice(0, index), withoutEmpty({ id, lat_deg, lon_deg, leg }), ...waypoints.slice(index)]);
};

/** Takes a waypoint out, and the cases of its turn. A hole beside it stays a hole. */
export const remove = (id) => (before) => {
  const inputs = before.cases ? withCases(before, before.cases.filter((one) => one.waypoint_id !== id)) : before;
  const { index, waypoint } = findWaypoint(inputs, id);
  const waypoints = inputs.route.waypoints.filter((one) => one.id !== id);
  const hole = waypoint.gap_before || waypoint.gap_after;
  if (hole && waypoints[index]) waypoints[index] = { ...waypoints[index], gap_before: true };
  else if (hole && waypoints[index - 1]) waypoints[index - 1] = { ...waypoints[index - 1], gap_after: true };
  if (index === 0 && waypoints[0]?.leg) waypoints[0] = withoutEmpty({ ...waypoints[0], leg: undefined });
  return withWaypoints(inputs, waypoints);
};

/** Joins the two sides of the hole before an index: the navigator says that nothing is missing there. */
export const closeHole = (index) => (inputs) => withWaypoints(inputs, inputs.route.waypoints.map((waypoint, i) => {
  if (i === index) return withoutEmpty({ ...waypoint, gap_before: undefined });
  return i === index - 1 ? withoutEmpty({ ...waypoint, gap_after: undefined }) : waypoint;
}));

/** Sets top members; undefined takes one out. */
export const setTop = (members) => (inputs) => withoutEmpty({ ...inputs, ...members });

/** A move reaches as far as the turns next to the waypoint; what those turns are held against is one further on. */
const REACH = 3;

/** What belongs to the whole passage, or names waypoints that a part of it need not have. */
const OF_THE_WHOLE = ["hazards", "hazard_set_ids", "hazard_set_editions", "cases", "alternatives", "marks", "points", "contingencies", "sources", "checklists",
  "draughts", "departure_utc", "zones", "daylight_needs", "waivers"];

/** The part of a route around a waypoint, for asking the service while it is moved: no dangers, no far legs, no cases, no alternatives, nothing for the bridge team. */
export function sliceAround(inputs, id, position) {
  const { index } = findWaypoint(inputs, id);
  const from = Math.max(index - REACH, 0);
  const moved = moveTo(id, position)(inputs).route.waypoints.slice(from, index + REACH + 1);
  const { leg, gap_before: gap, ...first } = moved[0];
  const rest = Object.fromEntries(Object.entries(inputs).filter(([name]) => !OF_THE_WHOLE.includes(name)));
  const { tides, streams, ...conditions } = inputs.conditions || {};
  const waypoints = [first, ...moved.slice(1)].map(({ eta_utc: eta, stay_min: stay, arrive_from_utc: early, arrive_to_utc: late, ...one }) => one);
  return { from, request: { ...rest, ...(inputs.conditions ? { conditions } : {}), route: { name: inputs.route.name, waypoints } } };
}

/** Typed dangers come along with every question: of more than so many none are asked about while a waypoint moves. */
const MOST_TYPED = 500;
const NOT_CHECKED_AGAINST = ["cases", "alternatives", "marks", "points", "contingencies", "sources", "checklists", "zones", "daylight_needs", "waivers"];

/** The plan as it stands, for asking what a waypoint clears where it is moved to; null where that is too much to send. */
export function checkedWhole(inputs) {
  if ((inputs.hazards?.features?.length || 0) > MOST_TYPED) return null;
  return Object.fromEntries(Object.entries(inputs).filter(([name]) => !NOT_CHECKED_AGAINST.includes(name)));
}
