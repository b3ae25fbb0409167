/** What roles, scopes and reaches are called, and what each lets somebody do. */

import { listText } from "../format.js";

export const ROLES = {
  reader: "Reads plans, ships and hazard sets.",
  navigator: "Reads, edits, offers, checks, signs, explains and discusses.",
  master: "As a navigator, and decides.",
  superintendent: "Reads, discusses, returns or agrees from shore, and keeps what is for all vessels.",
  administrator: "Manages accounts, vessels and keys, for all vessels; reads no plan and has no other role.",
};

export const SCOPES = {
  read: "read: plans and what they use",
  write: "write: also edit, offer, keep the library",
  parcel: "parcel: read, make and take parcels",
};

const nameOf = (id, vessels) => vessels.find((one) => one.id === id)?.name ?? `vessel ${id}`;

/** "MV Zoo", "fleet North", "all vessels". */
export function reachWords({ reach, of }, vessels) {
  if (reach === "all") return "all vessels";
  return reach === "fleet" ? `fleet ${of}` : nameOf(of, vessels);
}

/** "navigator on MV Zoo, reader on fleet North". */
export function grantsWords(grants, vessels) {
  if (grants.length === 0) return "No role: sees nothing.";
  return `${listText(grants.map((one) => (one.reach === "all" ? `${one.role} for all vessels` : `${one.role} on ${reachWords(one, vessels)}`)))}.`;
}

const joined = ({ reach, of }) => `${reach}:${of}`;

/** Vessels, then fleets, as options; what is given and is no longer there stays to be chosen. */
export function reachOptions(vessels, given = null) {
  const fleets = [...new Set(vessels.map(({ fleet }) => fleet).filter(Boolean))].sort();
  const ships = vessels.map(({ id, name, fleet }) => [joined({ reach: "vessel", of: id }), `vessel ${name}${fleet ? `, of ${fleet}` : ""}`]);
  const options = [["", "choose"], ...ships, ...fleets.map((fleet) => [joined({ reach: "fleet", of: fleet }), `fleet ${fleet}`])];
  if (given && given.reach !== "all" && !options.some(([value]) => value === joined(given))) options.push([joined(given), `${reachWords(given, vessels)}, not there now`]);
  return options;
}

export const reachValue = joined;

/** The reach and what it is of, from the value of an option. */
export function reachOf(value) {
  const [, reach, of] = /^(\w+):(.*)$/s.exec(value);
  return { reach, of };
}
