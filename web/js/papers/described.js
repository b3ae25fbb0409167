/**
 * What pilot card, wheelhouse poster and manoeuvring booklet give, one row for each number: its member
 * in the request of a fit, its words and its unit. Whether a value can be, the service says.
 */

const number = (name, label, unit, hint) => ({ name, label, unit, kind: "number", hint });
const distance = (name, label, hint) => ({ name, label, unit: "m", kind: "distance", hint });
const time = (name, label) => ({ name, label, unit: "s", kind: "time" });
const text = (name, label, hint) => ({ name, label, unit: null, kind: "text", hint });
const choice = (name, label, options, hint) => ({ name, label, unit: null, kind: "choice", options, hint });

const rows = (label, hint) => ({ name: "rows", label, unit: null, kind: "rows", hint });

const SIDES = [["starboard", "stbd"], ["port", "port"]];
const side = (label) => choice("side", label, SIDES);
const rudder = number("rudder_deg", "Rudder", "deg");
const approach = number("speed_kn", "Approach speed", "kn");
const depth = number("depth_m", "Depth, if another", "m");

/** What is told of all trials of a loading. */
export const SET_FIELDS = [
  text("loading", "Loading", "such as laden or ballast; needed"),
  number("draught_fore_m", "Draught fore in the trials", "m", "needed"),
  number("draught_aft_m", "Draught aft in the trials", "m", "needed"),
  number("depth_m", "Depth of the trial water", "m", "empty: deep water"),
  number("reference_from_bow_m", "Measured point from the bow", "m", "whose way was measured; empty: midships"),
  choice("lengths_are", "Ship lengths are", [["between_perpendiculars", "between perpendiculars"], ["overall", "over all"]], "in which numbers with L are counted"),
  text("source", "Source", "paper, date, who made the trials"),
];

/** The moments of a turning circle. */
export const POINT_FIELDS = [number("heading_change_deg", "Heading changed", "deg"), time("time_s", "Time"), number("speed_kn", "Speed", "kn")];
export const USUAL_POINTS = ["90", "180", "270", "360"];

/** The trials of a loading by the member that holds them; `gives` are the numbers one is not a trial without. */
export const TRIALS = [
  {
    name: "circles", title: "Turning circles", one: "turning circle", card: "circle", most: 12, points: true, start: { side: "starboard" },
    fields: [side("Side"), rudder, approach, distance("advance", "Advance"), distance("transfer", "Transfer"), distance("tactical_diameter", "Tactical diameter"), distance("final_diameter", "Final diameter"), depth],
    gives: ["advance", "transfer", "tactical_diameter", "final_diameter"],
  },
  {
    name: "zig_zags", title: "Zig-zags", one: "zig-zag", most: 8, start: { side: "starboard" },
    fields: [side("First helm to"), rudder, number("heading_change_deg", "Checked at", "deg"), approach, number("first_overshoot_deg", "First overshoot", "deg"), number("second_overshoot_deg", "Second overshoot", "deg"), depth],
    gives: ["first_overshoot_deg", "second_overshoot_deg"],
  },
  {
    name: "initial_turnings", title: "Initial turning", one: "initial turning", most: 8, start: { side: "starboard" },
    fields: [side("Side"), rudder, number("heading_change_deg", "Heading changed", "deg"), approach, distance("distance", "Distance run"), depth],
    gives: ["distance"],
  },
  {
    name: "course_changes", title: "Distances to a new course", one: "course change", most: 16, start: { side: "starboard" },
    fields: [side("Side"), rudder, number("change_deg", "Course changed", "deg"), approach, distance("distance", "Distance to new course"), depth],
    gives: ["distance"],
  },
  {
    name: "stoppings", title: "Stopping", one: "stop", most: 16, start: {},
    fields: [text("order", "Order"), approach, distance("track_reach", "Track reach"), time("time_s", "Time")],
    gives: ["track_reach"],
  },
  {
    name: "own_turns", title: "Recorded turns of her own", one: "recorded turn", card: "recorded turn", most: 6, start: {},
    fields: [text("name", "Name", "where and when; needed"), approach, depth, rows("Rows", "A row a line: time s, heading deg, rudder deg (starboard positive) and, where recorded, east m, north m; between them comma, semicolon, tab or blanks. A header line may say another sequence. From steady on a course.")],
    gives: ["rows"],
  },
];

/** The table of engine orders, which belongs to the ship and not to a loading. */
export const ENGINE_ORDERS = {
  name: "engine_orders", title: "Engine orders", one: "engine order", most: 40, start: {},
  fields: [text("order", "Order"), number("propeller_rpm", "Propeller", "rpm"), number("pitch_ratio", "Pitch", "ratio"), number("laden_speed_kn", "Speed laden", "kn"), number("ballast_speed_kn", "Speed in ballast", "kn")],
  gives: [],
};

/** Numbers of the ship herself that only a fit asks for. */
export const SHIP_FIELDS_OF_PAPERS = [number("rudder_area_m2", "Rudder area", "m\u00b2", "for the estimate from main dimensions; may be empty")];

export const MOST_SETS = 8;
export const MOST_POINTS = 12;

/** What a field without a text says. */
const START = { lengths_are: "between_perpendiculars" };

/** An empty row, an empty circle, an empty loading, empty papers: texts only. */
export const emptyRow = ({ start, points }) => ({ ...start, ...(points && { points: USUAL_POINTS.map((heading) => ({ heading_change_deg: heading })) }) });
export const emptySet = () => ({ ...START, ...Object.fromEntries(TRIALS.map(({ name }) => [name, []])) });
export const emptyPapers = () => {
  const [circles] = TRIALS;
  const first = { ...emptySet(), circles: [emptyRow(circles), { ...emptyRow(circles), side: "port" }] };
  return { ship: {}, sets: [first], engine_orders: [] };
};

/** Whether a row of texts says more than a new one of its sort. */
export function begun(described, row) {
  const points = (row.points || []).some((point) => point.time_s || point.speed_kn);
  return points || described.fields.some(({ name, kind }) => kind !== "choice" && row[name]?.trim());
}

/** Whether anything is typed for a loading. */
export function setBegun(set) {
  return SET_FIELDS.some(({ name, kind }) => kind !== "choice" && set[name]?.trim()) || TRIALS.some((one) => set[one.name].some((row) => begun(one, row)));
}

/** Whether anything is typed at all. */
export function papersBegun({ ship, sets, engine_orders: orders }) {
  return Object.values(ship).some((one) => one.trim()) || sets.some(setBegun) || orders.some((row) => begun(ENGINE_ORDERS, row));
}
