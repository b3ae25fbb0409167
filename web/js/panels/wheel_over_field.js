/** The choice of the planned wheel-over: a method, or a distance of one's own before the waypoint. */

import { el } from "../dom.js";
import { setMember } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { readNumber } from "../fields.js";

const CHOICES = [["", "not said: GEO"], ["geometric", "GEO geometric"], ["rule_of_thumb", "RUL rule of thumb"], ["advance_transfer", "ADV advance and transfer"], ["simulated", "SIM simulated"], ["own", "own distance"]];

/** The select, and the field of the own distance. `texts` keeps what could not be taken. */
export function wheelOverField({ id, wheel_over: planned }, texts) {
  const key = `${id} own`;
  const wrong = texts.get(key);
  const chosen = planned?.distance_nm !== undefined && planned?.distance_nm !== null ? "own" : planned?.method ?? "";
  const message = el("p", { class: "field-error", "data-testid": "edit-own-error", hidden: !wrong }, wrong?.error);
  const own = el("input", {
    id: "edit-own", type: "text", inputmode: "decimal", autocomplete: "off", "data-testid": "edit-own", "aria-label": "Own distance before the waypoint, NM",
    on: { change: () => takeOwn() },
  });
  const choice = el("select", { id: "edit-wheel-over", "data-testid": "edit-wheel-over", on: { change: () => takeChoice() } },
    CHOICES.map(([value, words]) => el("option", { value, selected: (wrong ? "own" : chosen) === value }, words)));
  own.value = wrong ? wrong.text : planned?.distance_nm ?? "";
  own.disabled = choice.value !== "own";
  const takeOwn = () => {
    const { value, error } = readNumber(own.value, "NM");
    const reason = error || (value === undefined ? "An own distance is needed, in NM before the waypoint." : null);
    if (reason) texts.set(key, { text: own.value, error: reason }); else texts.delete(key);
    message.textContent = reason || "";
    message.hidden = !reason;
    if (!reason) edit(setMember(id, "wheel_over", { distance_nm: value }));
  };
  const takeChoice = () => {
    own.disabled = choice.value !== "own";
    if (choice.value === "own") { own.focus(); if (own.value) takeOwn(); return; }
    texts.delete(key);
    edit(setMember(id, "wheel_over", choice.value ? { method: choice.value } : undefined));
  };
  return el("div", { class: "field field-wide" }, el("label", { for: "edit-wheel-over" }, "Planned WOP"),
    el("div", { class: "pair" }, choice, own, el("span", { class: "unit" }, "NM")), message);
}
