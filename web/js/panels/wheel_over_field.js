/** The choice of the planned wheel-over: a method, or a distance of one's own before the waypoint. */

import { el } from "../dom.js";
import { findWaypoint, setMember } from "../draft/edits.js";
import { edit } from "../draft/save.js";
import { readNumber } from "../fields.js";
import { known } from "../format.js";
import { state } from "../state.js";
import { forget, keyOf, rememberSent, texts, wrongIn } from "./not_taken.js";

const CHOICES = [["", "not said: SIM from her own data, else GEO"], ["geometric", "GEO geometric"], ["rule_of_thumb", "RUL rule of thumb"], ["advance_transfer", "ADV advance and transfer"], ["simulated", "SIM simulated"], ["own", "own distance"]];
const PATH = "wheel_over/distance_nm";

const planned = (waypoint) => (known(waypoint?.wheel_over?.distance_nm) ? "own" : waypoint?.wheel_over?.method ?? "");

/** The select, and the field of the own distance. A choice that still waits for its distance stays chosen. */
export function wheelOverField(waypoint) {
  const { id } = waypoint;
  const now = () => findWaypoint(state.inputs, id).waypoint;
  const kept = () => String(now()?.wheel_over?.distance_nm ?? "");
  const wrong = wrongIn(id, "own", PATH, kept());
  const message = el("p", { class: "field-error", "data-testid": "edit-own-error" });
  const own = el("input", {
    id: "edit-own", type: "text", inputmode: "decimal", autocomplete: "off", "data-testid": "edit-own", "aria-label": "Own distance before the waypoint, NM",
    on: { change: () => takeOwn(), keydown: (event) => { if (event.key === "Escape") putBack(); } },
  });
  const choice = el("select", { id: "edit-wheel-over", "data-testid": "edit-wheel-over", on: { change: () => takeChoice() } },
    CHOICES.map(([value, words]) => el("option", { value, selected: (wrong ? "own" : planned(waypoint)) === value }, words)));
  own.value = wrong ? wrong.text : kept();
  own.disabled = choice.value !== "own";
  const say = (reason) => {
    message.textContent = reason || "";
    message.hidden = !reason;
    own.setAttribute("aria-invalid", String(Boolean(reason)));
  };
  const takeOwn = () => {
    const { value, error } = readNumber(own.value, "NM");
    const reason = error || (value === undefined ? "An own distance is needed, in NM before the waypoint." : null);
    say(reason);
    if (reason) { texts.set(keyOf(id, "own"), { text: own.value, error: reason }); return; }
    texts.delete(keyOf(id, "own"));
    rememberSent(id, "own", own.value);
    edit(setMember(id, "wheel_over", { distance_nm: value }));
  };
  const takeChoice = () => {
    own.disabled = choice.value !== "own";
    if (choice.value !== "own") {
      forget(id, "own", PATH);
      say(null);
      edit(setMember(id, "wheel_over", choice.value ? { method: choice.value } : undefined));
      return;
    }
    own.focus();
    if (own.value) takeOwn(); else texts.set(keyOf(id, "own"), { text: "", error: null });
  };
  const putBack = () => {
    forget(id, "own", PATH);
    own.value = kept();
    choice.value = planned(now());
    say(null);
  };
  say(wrong?.error);
  return el("div", { class: "field field-wide" }, el("label", { for: "edit-wheel-over" }, "Planned WOP"),
    el("div", { class: "pair" }, choice, own, el("span", { class: "unit" }, "NM")), message);
}
