/** Places of the papers in words. */

import { ENGINE_ORDERS, POINT_FIELDS, SET_FIELDS, SHIP_FIELDS_OF_PAPERS, TRIALS } from "./described.js";

const SORTS = [...TRIALS, ENGINE_ORDERS];
const labelOf = (fields, name) => fields.find((field) => field.name === name)?.label.toLowerCase() ?? name?.replaceAll("_", " ");
const numbered = (word, index) => `${word} ${Number(index) + 1}`;

/** "turning circle 2, advance" for the path of a row below its sort. */
function rowWords([name, index, ...rest]) {
  const sort = SORTS.find((one) => one.name === name);
  if (index === undefined) return [sort.title.toLowerCase()];
  const [member, moment, field] = rest;
  const inside = member === "points" ? [moment && numbered("moment", moment), labelOf(POINT_FIELDS, field)] : [labelOf(sort.fields, member)];
  return [numbered(sort.one, index), ...inside];
}

/** "loading 1, turning circle 2, advance". */
export function placeWords(place) {
  const [, section, ...path] = place.split("/");
  if (section === "papers") return labelOf(SHIP_FIELDS_OF_PAPERS, path[0]);
  if (section !== "sets") return rowWords([section, ...path]).filter(Boolean).join(", ");
  const [index, name, ...rest] = path;
  const isSort = SORTS.some((one) => one.name === name);
  return [numbered("loading", index), ...(isSort ? rowWords([name, ...rest]) : [labelOf(SET_FIELDS, name)])].filter(Boolean).join(", ");
}
