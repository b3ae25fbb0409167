/** Name and rank of whoever acts. The bridge's computer is shared: each part played keeps its own name in this browser. */

import { el } from "../dom.js";
import { formField } from "./fields.js";

const key = (part) => `wheelover.who.${part}`;

function kept(part) {
  try {
    return JSON.parse(localStorage.getItem(key(part)) || "null") || {};
  } catch {
    return {}; // not ours, or no storage: the fields start empty
  }
}

/** Fields for name and rank: {node, by(), say(places)}; `by()` is null, with a message in place, where one is missing. */
export function whoFields(part, { id = part } = {}) {
  const { name = "", rank = "" } = kept(part);
  const fields = {
    name: formField({ id: `${id}-name`, label: "Name", value: name }),
    rank: formField({ id: `${id}-rank`, label: "Rank", value: rank }),
  };
  const by = () => {
    const given = { name: fields.name.text(), rank: fields.rank.text() };
    fields.name.say(given.name ? null : "A name is needed.");
    fields.rank.say(given.rank ? null : "A rank is needed.");
    return given.name && given.rank ? given : null;
  };
  const keep = () => {
    try {
      localStorage.setItem(key(part), JSON.stringify({ name: fields.name.text(), rank: fields.rank.text() }));
    } catch (error) {
      console.info(`Name and rank are not kept: ${error.message}`);
    }
  };
  const places = { "/by": fields.name, "/by/name": fields.name, "/by/rank": fields.rank };
  return { node: el("div", { class: "fields" }, fields.name.node, fields.rank.node), by, keep, places };
}

export const CLAIMED = "There is no sign-in here: name and rank are recorded and printed as claimed.";
