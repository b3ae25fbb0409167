/** Fields of the pilot card: single values by their pointers, and its lists as lines of text. */

const at = (member, label, unit, extra = {}) => ({ pointer: `/ship/pilot_card/${member}`, label, unit, kind: "number", hint: "may be empty", ...extra });

export const CARD_FIELDS = [
  at("call_sign", "Call sign", null, { kind: "text" }),
  at("imo_number", "IMO number", null, { kind: "text", hint: "seven digits, the last of which is checked" }),
  at("bulbous_bow", "Bulbous bow", null, { kind: "flag", options: [["", "not said"], ["true", "yes"], ["false", "no"]] }),
  at("chain_port_shackles_count", "Chain, port anchor", "shackles"),
  at("chain_starboard_shackles_count", "Chain, starboard anchor", "shackles"),
  at("chain_stern_shackles_count", "Chain, stern anchor", "shackles"),
  at("engine_type", "Type of engine", null, { kind: "text" }),
  at("max_power_kw", "Power", "kW"),
  at("critical_from_rpm", "Critical revolutions from", "rpm"),
  at("critical_to_rpm", "Critical revolutions to", "rpm"),
  at("astern_power_ratio", "Power astern over ahead", "ratio"),
  at("ahead_to_astern_s", "Full ahead to full astern", "s"),
  at("rudder_type", "Type of rudder", null, { kind: "text" }),
  at("hard_over_s", "Rudder hard over to hard over", "s"),
  at("neutral_rudder_deg", "Neutral rudder", "deg", { hint: "starboard positive" }),
  at("defects", "Defects", null, { kind: "text" }),
];

const NUMBER = /^[+-]?\d+(?:\.\d+)?$/;
const partsOf = (line) => line.split(";").map((one) => one.trim());
const numberOf = (text) => (NUMBER.test(text ?? "") ? Number(text) : undefined);
const isNumber = (text) => !text || NUMBER.test(text);
const kept = (members) => Object.fromEntries(Object.entries(members).filter(([, value]) => value !== undefined && value !== null && value !== ""));
const lineOf = (values) => values.map((one) => one ?? "").join("; ").replace(/(; )+$/, "");

/** Lists of the ship: where they stand, how a line is read ({row} or {error}) and written. */
export const CARD_LISTS = [
  {
    id: "card-stopping", member: "stopping", label: "Stopping trials: order; speed kn; track reach m; time s; source",
    hint: "a line for each, like full ahead; 14.5; 2400; 540; sea trial 2016. Full astern from that order; abort points are computed of them.",
    read: (line) => {
      const [order, speed, reach, time, source] = partsOf(line);
      if (numberOf(speed) === undefined || numberOf(reach) === undefined || !isNumber(time)) return { error: "is not an order, a speed in knots and a track reach in metres" };
      return { row: kept({ engine_order: order, speed_kn: Number(speed), track_reach_m: Number(reach), time_s: numberOf(time), source }) };
    },
    write: (one) => lineOf([one.engine_order, one.speed_kn, one.track_reach_m, one.time_s, one.source]),
  },
  {
    id: "card-orders", of: "pilot_card", member: "engine_orders", label: "Engine orders: order; rpm; pitch ratio; speed laden kn; speed in ballast kn",
    hint: "a line for each; speeds and revolutions astern are negative",
    read: (line) => {
      const [order, rpm, pitch, laden, ballast] = partsOf(line);
      if (!order || ![rpm, pitch, laden, ballast].every(isNumber)) return { error: "is not an order with numbers behind it" };
      return { row: kept({ order, propeller_rpm: numberOf(rpm), pitch_ratio: numberOf(pitch), laden_speed_kn: numberOf(laden), ballast_speed_kn: numberOf(ballast) }) };
    },
    write: (one) => lineOf([one.order, one.propeller_rpm, one.pitch_ratio, one.laden_speed_kn, one.ballast_speed_kn]),
  },
  {
    id: "card-thrusters", of: "pilot_card", member: "thrusters", label: "Thrusters: bow or stern; power kW",
    read: (line) => {
      const [place, power] = partsOf(line);
      if (!["bow", "stern"].includes(place) || !isNumber(power)) return { error: "is not bow or stern, with a power in kW" };
      return { row: kept({ place, power_kw: numberOf(power) }) };
    },
    write: (one) => lineOf([one.place, one.power_kw]),
  },
  {
    id: "card-equipment", of: "pilot_card", member: "equipment", label: "Equipment: item; checked or not checked; remark",
    hint: "a line for each: anchors, whistle, radars, log, compasses, steering gear, engine telegraph, rate of turn indicator, positioning",
    read: (line) => {
      const [item, checked, remark] = partsOf(line);
      if (!item || !["checked", "not checked"].includes(checked)) return { error: "does not say checked or not checked behind the item" };
      return { row: kept({ item, checked: checked === "checked", remark }) };
    },
    write: (one) => lineOf([one.item, one.checked ? "checked" : "not checked", one.remark]),
    keep: (row, before) => (before && before.checked === row.checked && before.at_utc ? { ...row, at_utc: before.at_utc } : row),
    key: "item",
  },
];
