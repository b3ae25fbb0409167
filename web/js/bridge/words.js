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

export const CONTINGENCY_KINDS = [["anchorage", "contingency anchorage"], ["alternative", "alternative track"], ["refuge", "place of refuge"], ["berth", "other berth"]];

export const SOURCE_KINDS = [
  ["chart", "charts"],
  ["notices", "notices to mariners"],
  ["radio_warnings", "radio navigational warnings"],
  ["sailing_directions", "sailing directions"],
  ["light_list", "list of lights"],
  ["radio_list", "list of radio signals"],
  ["tide_tables", "tide tables"],
  ["stream_tables", "tidal stream tables"],
  ["weather", "weather"],
  ["routeing", "ships' routeing"],
  ["reporting", "reporting and vessel traffic services"],
  ["pilotage", "pilotage"],
  ["port_information", "port information"],
  ["company_rules", "company rules"],
  ["other", "other"],
];

export const LIST_WORDS = { appraisal: "Appraisal", planning: "The plan", pilotage: "Exchange with the pilot" };

export const TICK_STATES = [["done", "done"], ["not_done", "not done"], ["not_applicable", "does not apply"]];

const NOT_SAID = ["", "not said"];

export const withNone = (options) => [NOT_SAID, ...options];

export const wordsOf = (options, value) => options.find(([one]) => one === value)?.[1] ?? value;
