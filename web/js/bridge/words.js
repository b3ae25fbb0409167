/** What stages and ways of fixing are called. */

export const STAGES = [["berth", "at the berth"], ["pilotage", "pilotage"], ["confined", "confined waters"], ["coastal", "coastal waters"], ["open", "open sea"]];

export const METHODS = [
  ["gnss", "GNSS"],
  ["radar_ranges", "radar ranges"],
  ["radar_bearings", "radar bearings"],
  ["radar_range_and_bearing", "radar range and bearing"],
  ["parallel_index", "parallel index"],
  ["visual_bearings", "visual bearings"],
  ["visual_transits", "visual transits"],
  ["horizontal_angles", "horizontal angles"],
  ["visual_bearing_and_radar_range", "visual bearing and radar range"],
  ["soundings", "a line of soundings"],
  ["celestial", "celestial sights"],
  ["terrestrial_radio", "terrestrial radio positioning"],
];

export const POINT_KINDS = [
  ["call_master", "call the master"],
  ["report", "report"],
  ["machinery", "machinery"],
  ["pilot", "pilot"],
  ["tugs", "tugs"],
  ["abort", "abort point"],
  ["no_return", "point of no return"],
  ["ukc", "check the under-keel clearance"],
  ["other", "other"],
];

const NOT_SAID = ["", "not said"];

export const withNone = (options) => [NOT_SAID, ...options];

export const wordsOf = (options, value) => options.find(([one]) => one === value)?.[1] ?? value;
