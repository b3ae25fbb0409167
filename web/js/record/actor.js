/**
 * Who acts, as what goes with an act: `said()` is null with a message in place where something is missing.
 */

import { el } from "../dom.js";
import { claimedLine, whoFields } from "./who.js";

/** {node, said(), keep(), places}; `part` is the part played, under which name and rank are remembered here. */
export function actorFields(part, { id = part, password = false } = {}) {
  const who = whoFields(part, { id, password });
  const said = () => { const by = who.by(); return by && { by }; };
  const line = claimedLine();
  return { node: el("div", {}, who.node, line && el("p", { class: "field-hint" }, line)), said, keep: who.keep, places: who.places };
}
