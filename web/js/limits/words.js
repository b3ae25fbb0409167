/** What the members of a limit set are called, and in which unit they are. */

export const WATERS = ["open", "coastal", "confined"];

export const RULES = [
  { member: "min_clearance_m", label: "Least clearance", unit: "m" },
  { member: "min_xtd_nm", label: "Least cross-track distance to be watched", unit: "NM" },
  { member: "max_off_track_m", label: "Most off the new track", unit: "m" },
  { member: "min_to_close_s", label: "Least time before the window closes", unit: "s" },
  { member: "min_ukc_m", label: "Least under the keel", unit: "m" },
  { member: "min_ukc_draught_ratio", label: "Least under the keel over draught", unit: "ratio" },
  { member: "min_overhead_m", label: "Least clearance overhead", unit: "m" },
  { member: "safety_contour_m", label: "Safety contour", unit: "m" },
  { member: "safety_depth_m", label: "Safety depth", unit: "m" },
  { member: "helm_late_s", label: "Helm late by", unit: "s" },
];

export const CLASSES = ["land", "coast", "shoal", "sounding", "rock", "wreck", "obstruction", "structure", "fishing", "aid", "ice", "unsurveyed", "overhead", "warning", "restricted", "special", "routeing", "cable", "other"];

/** "least clearance of a wreck". */
export function ruleWords({ member, danger_class: kind }) {
  const label = member === "min_clearance_by_class" || kind ? "Least clearance" : RULES.find((one) => one.member === member)?.label ?? member;
  return kind ? `${label}, class ${kind}` : label;
}
