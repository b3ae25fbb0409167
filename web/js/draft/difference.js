/**
 * What differs between two sets of inputs, member by member, and how to lay such differences on a third.
 * Waypoints are known by their ids, so that inserting one changes no other.
 */

const SECTIONS = ["ship", "limits", "conditions"];

/** The inputs as a map from a path (as JSON) to a value; what is empty has no entry. */
function flat(inputs) {
  const members = new Map();
  const put = (path, value) => { if (value !== undefined && value !== null) members.set(JSON.stringify(path), value); };
  for (const [member, value] of Object.entries(inputs)) {
    if (SECTIONS.includes(member) && value) Object.entries(value).forEach(([name, one]) => put([member, name], one));
    else if (member !== "route") put([member], value);
  }
  put(["route", "name"], inputs.route.name);
  put(["route", "order"], inputs.route.waypoints.map((waypoint) => waypoint.id));
  inputs.route.waypoints.forEach((waypoint) => flatWaypoint(waypoint, put));
  return members;
}

function flatWaypoint({ id, lat_deg, lon_deg, leg, turn, ...rest }, put) {
  put(["waypoint", id, "position"], { lat_deg, lon_deg });
  Object.entries(leg || {}).forEach(([name, value]) => put(["waypoint", id, "leg", name], value));
  Object.entries(turn || {}).forEach(([name, value]) => put(["waypoint", id, "turn", name], value));
  Object.entries(rest).forEach(([name, value]) => put(["waypoint", id, name], value));
}

/** The opposite of `flat`. A waypoint in the order that has no position any more is left out. */
function whole(members) {
  const inputs = { route: { name: "", waypoints: [] } };
  const waypoints = new Map();
  let order = [];
  for (const [key, value] of members) {
    const path = JSON.parse(key);
    if (key === '["route","order"]') order = value;
    else if (path[0] === "waypoint") waypoints.set(path[1], withMember(waypoints.get(path[1]) || { id: path[1] }, path.slice(2), value));
    else if (path.length === 1) inputs[path[0]] = value;
    else inputs[path[0]] = { ...inputs[path[0]], [path[1]]: value };
  }
  inputs.route.waypoints = order.map((id) => waypoints.get(id)).filter((waypoint) => waypoint && "lat_deg" in waypoint);
  return inputs;
}

function withMember(waypoint, [member, name], value) {
  if (member === "position") return { ...waypoint, ...value };
  return ["leg", "turn"].includes(member) ? { ...waypoint, [member]: { ...waypoint[member], [name]: value } } : { ...waypoint, [member]: value };
}

/** A value with its members in one order, so that two spellings of the same value are the same. */
function ordered(value) {
  if (Array.isArray(value)) return value.map(ordered);
  if (!value || typeof value !== "object") return value;
  return Object.fromEntries(Object.keys(value).sort().map((key) => [key, ordered(value[key])]));
}

/** Whether two values of a member say the same. */
export function sameMember(a, b) {
  return a === b || JSON.stringify(ordered(a)) === JSON.stringify(ordered(b));
}

/** Every path whose value is not the same: {path, before, after}. */
export function difference(before, after) {
  const [old, now] = [flat(before), flat(after)];
  return [...new Set([...old.keys(), ...now.keys()])]
    .filter((key) => !sameMember(old.get(key), now.get(key)))
    .map((key) => ({ path: JSON.parse(key), before: old.get(key), after: now.get(key) }));
}

/** What inputs have at each of some paths. */
export function valuesAt(paths, inputs) {
  const members = flat(inputs);
  return paths.map((path) => members.get(JSON.stringify(path)));
}

/** Inputs with differences laid on them. */
export function applied(changes, inputs) {
  const members = flat(inputs);
  for (const { path, after } of changes) {
    const key = JSON.stringify(path);
    if (after === undefined) members.delete(key);
    else members.set(key, after);
  }
  return whole(members);
}

export function sameInputs(a, b) {
  return difference(a, b).length === 0;
}
