/** What could not be stored as it was made: kept here, refused, or changed elsewhere first. Both values, in place. */

import { el, tableBox } from "../dom.js";
import { difference, valuesAt } from "../draft/difference.js";
import { keepTheirs, putMine, send, showElsewhere, useAside } from "../draft/save.js";
import { countText, numberText, positionText } from "../format.js";
import { redraw } from "../redraw.js";
import { set, state, watch } from "../state.js";
import { problemBox } from "./problem.js";

/** The words for the place of a difference. */
function placeWords(path) {
  const [head, id, ...rest] = path;
  if (head !== "waypoint") return path.join(" ").replaceAll("_", " ");
  const index = state.inputs.route.waypoints.findIndex((waypoint) => waypoint.id === id);
  return `${index < 0 ? "WPT" : `WPT ${numberText(index)}`} (${id}) ${rest.join(" ").replaceAll("_", " ")}`;
}

/** A value in words; lists of waypoints and files of dangers are only counted. */
function valueWords(value) {
  if (value === undefined) return "none";
  if (Array.isArray(value)) return value.length > 8 ? countText(value.length, "item") : value.map((one) => (one?.name !== undefined ? one.name : String(one))).join(", ");
  if (typeof value !== "object") return String(value);
  if ("lat_deg" in value) return positionText(value);
  if (Array.isArray(value.features)) return countText(value.features.length, "danger");
  return JSON.stringify(value).slice(0, 120);
}

function rows(changes, stored) {
  const now = valuesAt(changes.map(({ path }) => path), stored);
  return changes.map(({ path, before, after }, i) => el("tr", {},
    el("th", { scope: "row", "data-label": "What" }, placeWords(path)), el("td", { "data-label": "Was" }, valueWords(before)),
    el("td", { "data-label": "Stored now" }, valueWords(now[i])), el("td", { "data-label": "Yours" }, el("strong", {}, valueWords(after)))));
}

function table(changes, stored) {
  return tableBox("Changes on both sides", el("table", { class: "stacks" },
    el("thead", {}, el("tr", {}, ["What", "Was", "Stored now", "Yours"].map((head) => el("th", { scope: "col" }, head)))),
    el("tbody", {}, rows(changes, stored))));
}

function conflictPart({ base, theirs, mine }) {
  return el("div", { class: "problem", role: "alert", "data-testid": "conflict" },
    el("p", { class: "problem-title" }, "This plan was changed elsewhere before your change was stored. Nothing is lost."),
    table(difference(base, mine), theirs.inputs),
    el("div", { class: "actions" },
      el("button", { type: "button", class: "primary", "data-testid": "put-mine", on: { click: putMine } }, "Put mine in place; the other stays in the steps"),
      el("button", { type: "button", "data-testid": "keep-theirs", on: { click: keepTheirs } }, "Take what is stored; mine is set aside here")));
}

function asidePart(aside) {
  return el("div", { class: "notice", "data-testid": "aside" },
    el("div", {}, el("p", {}, "Set aside, not in the plan:"), table(aside, state.draft.inputs)),
    el("button", { type: "button", on: { click: () => useAside(true) } }, "Put it in place"),
    el("button", { type: "button", on: { click: () => useAside(false) } }, "Let it go"));
}

function elsewherePart({ changed_utc: changed }) {
  return el("div", { class: "notice", role: "status", "data-testid": "elsewhere" },
    `This plan was changed elsewhere at ${changed.slice(11, 19)}Z. What is on show here is older.`,
    el("button", { type: "button", class: "primary", "data-testid": "show-elsewhere", on: { click: showElsewhere } }, "Show it"));
}

/** Edits that wait. Where it is for the pen, the words of the service say who holds it. */
function keptPart({ count, error }) {
  const pen = error.kind === "pen-held";
  return el("div", { class: "notice", "data-testid": "edits-kept" },
    `${countText(count, "edit")} kept in this browser, not stored on the server: ${pen ? `${error.detail} Sent as soon as the pen is yours.` : `${error.title}.`}`,
    pen && el("a", { href: "#pen" }, "To the pen"),
    el("button", { type: "button", on: { click: send } }, "Send now"));
}

function parts() {
  const { save, elsewhere } = state;
  return [
    elsewhere && save.status === "saved" && elsewherePart(elsewhere),
    save.cannotKeep && el("p", { class: "field-error" }, `This browser cannot keep edits (${save.cannotKeep}). Do not close the page until they are stored.`),
    save.status === "kept" && keptPart(save),
    save.refused && problemBox("The last change was not taken; the plan is as it was", save.refused, null, () => set({ save: { ...save, refused: null } })),
    save.status === "conflict" && conflictPart(save),
    save.aside?.length > 0 && asidePart(save.aside),
  ];
}

export function startConflict(host) {
  watch(["save", "elsewhere"], () => redraw(host, state.draft && parts()));
}
