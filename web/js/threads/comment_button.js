/** The button in a row that starts a thread about it. Only what is frozen or compared can be talked about. */

import { el } from "../dom.js";
import { set } from "../state.js";

export function commentButton(kind, id, label) {
  return el("button", { type: "button", class: "comment", "data-testid": `comment-${kind}-${id}`, "aria-label": `Comment on ${label}`, on: { click: () => set({ commenting: { kind, id, label } }) } }, "Comment");
}
