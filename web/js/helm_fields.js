/** The form fields of how the ship answers the helm: what is told of her gear, and the response itself. */

const number = (pointer, label, unit, hint) => ({ pointer, label, unit, kind: "number", hint });
const choice = (pointer, label, options, hint) => ({ pointer, label, unit: null, kind: "choice", options, hint });

export const HELM_FIELDS = [
  choice("/ship/propulsion", "Propulsion", [["", "not said"], ["single_screw", "single screw"], ["twin_screw", "twin screw"], ["azimuthing", "azimuthing drives"]], "azimuthing drives are not simulated, twin screws only from her own data"),
  number("/ship/planned_rudder_deg", "Rudder planned for turns", "deg", "empty: the rudder that holds the planned radius"),
  number("/ship/max_rudder_deg", "Largest rudder", "deg", "empty: 35"),
  number("/ship/rudder_rate_deg_per_s", "Rate of the rudder", "deg/s", "empty: 2.33, that is 65 deg in 28 s"),
  number("/ship/helm_delay_s", "Helm delay", "s", "from the order until the rudder moves; empty: 0"),
];

/** What a response is not one without. */
export const RESPONSE_FIELDS = [
  number("/ship/response/k_per_s", "Gain K", "1/s", "steady rate of turn for each unit of rudder, at small helm; needed"),
  number("/ship/response/t_s", "Time constant T", "s", "how long she takes to answer; needed"),
  number("/ship/response/at_speed_kn", "Speed they hold at", "kn", "through the water; needed"),
  choice("/ship/response/origin", "Where they come from", [["", "not said"], ["recorded", "recorded: her own records"], ["fitted", "fitted to her own trials"], ["estimated", "estimated from her dimensions"]], "SIM is the planned WOP by default only where they are her own"),
  number("/ship/response/at_depth_m", "Depth of water they hold in", "m", "empty: deep water"),
];

/** Terms beyond the first order; each may be left out. */
export const EXTENSION_FIELDS = [
  number("/ship/response/alpha_s2", "Cubic term alpha", "s\u00b2", "makes hard helm turn her less than in proportion; empty: 0"),
  number("/ship/response/drift_lengths", "Drift in the turn", "lengths", "drift angle for each unit of length over radius; empty: 0"),
  number("/ship/response/drift_lag", "Lag of the drift", "lengths", "run until the drift has built up; empty: 0"),
  number("/ship/response/race_exponent", "Slipstream exponent", null, "how far the rudder gains as she slows; empty: 0"),
  number("/ship/response/speed_loss", "Loss of speed in the turn", null, "empty: none"),
  number("/ship/response/speed_recovery", "Recovery of speed by the engine", null, "empty: none"),
];

/** All members of the response with a field; the spread of a fit (its covariance) has none. */
export const ALL_HELM_FIELDS = [...HELM_FIELDS, ...RESPONSE_FIELDS, ...EXTENSION_FIELDS];

/** Members of the ship that have members of their own in the form. */
export const PARTS = ["response", "pilot_card"];

/** Members a response cannot be stored without. */
export const NEEDED_OF_RESPONSE = ["k_per_s", "t_s", "at_speed_kn"];
