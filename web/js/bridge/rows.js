/** Lists of the inputs whose rows have ids: added, changed, taken away, each as one step. */

import { el } from "../dom.js";
import { setTop } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { numberText } from "../format.js";
import { state } from "../state.js";

/** Members that say something; an empty text says nothing. */
export const said = (members) => Object.fromEntries(Object.entries(members).filter(([, value]) => value !== undefined && value !== null && value !== ""));

const change = (member, how) => edit((inputs) => {
  const rows = how(inputs[member] || []);
  return setTop({ [member]: rows.length > 0 ? rows : undefined })(inputs);
});

/** Puts a row in: in the place of the one of the same id, or at the end. */
export const putRow = (member, row) => change(member, (rows) => (rows.some(({ id }) => id === row.id) ? rows.map((one) => (one.id === row.id ? row : one)) : [...rows, row]));

export const dropRow = (member, id) => change(member, (rows) => rows.filter((one) => one.id !== id));

/** A short id that no row of a list has, made of a word and a number. */
export function newRowId(member, word) {
  const taken = new Set((state.inputs[member] || []).map(({ id }) => id));
  let number = 1;
  while (taken.has(`${word}-${number}`)) number += 1;
  return `${word}-${number}`;
}

/** What a leg is called by the id of the waypoint that it leads to. */
export function legWords(toId) {
  const index = state.inputs.route.waypoints.findIndex(({ id }) => id === toId);
  return index < 1 ? `leg to ${toId}` : `leg ${numberText(index - 1)}-${numberText(index)}`;
}

/** Every leg as an option. */
export const legOptions = (first) => [["", first], ...state.inputs.route.waypoints.slice(1).map(({ id, name }) => [id, [legWords(id), name && `to ${name}`].filter(Boolean).join(", ")])];

/** What the service refused of a list, told with the number of its row. */
export const refusedOf = (member, one) => [...state.fieldErrors].filter(([pointer]) => pointer === `/${member}` || pointer.startsWith(`/${member}/`)).map(([pointer, words]) => {
  const [, , row, field] = pointer.split("/");
  return `${row === undefined ? "" : `${one} ${Number(row) + 1}${field ? `, ${field.replaceAll("_", " ")}` : ""}: `}${words}`;
}).join(" ") || null;

export const button = (testId, words, click, more = {}) => el("button", { type: "button", "data-testid": testId, on: { click }, ...more }, words);
