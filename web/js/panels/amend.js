/** The strip that amends a plan under way: from where she is, to which waypoint she sails from there, and why. */

import { plans, positions } from "../api.js";
import { el, replace, show } from "../dom.js";
import { compute } from "../draft/compute.js";
import { accept } from "../draft/save.js";
import { positionText } from "../format.js";
import { choiceField, formField, formMessage, sayRefusal } from "../record/fields.js";
import { newestOf } from "../record/words.js";
import { set, state, watch } from "../state.js";

const KINDS = [["deviation", "the ship left the plan"], ["pilot", "the pilot's intentions"]];

function waypointOptions() {
  return state.inputs.route.waypoints.map((one, index) => [one.id, `WPT ${String(index + 1).padStart(2, "0")} (${one.id})${one.name ? ` ${one.name}` : ""}`]);
}

function form() {
  const position = formField({ id: "amend-position", label: "Position", hint: "In any usual spelling.", attributes: { placeholder: "51-23.456N 001-12.345E" } });
  const next = choiceField({ id: "amend-next", label: "Next waypoint", hint: "Waypoints before it are left behind; they stay in the revision." });
  const kind = choiceField({ id: "amend-kind", label: "What amends it" });
  const reason = formField({ id: "amend-reason", label: "Reason", hint: "It stays with every later revision.", area: true });
  const message = formMessage("amend-refused");
  kind.fill(KINDS);
  const pick = el("button", { type: "button", "data-testid": "amend-pick", on: { click: () => {
    set({ picking: !state.picking });
    if (state.picking) document.getElementById("plot").scrollIntoView({ block: "nearest" });
  } } });
  const act = el("button", { type: "submit", class: "primary", "data-testid": "amend-record" });

  /** The position as the service reads it, or null with the reason in place. */
  const read = async () => {
    try {
      const { position: found } = await positions.read(position.text());
      position.input.value = positionText(found);
      return found;
    } catch (error) {
      position.say(error.errors?.[0]?.message || error.message);
      return null;
    }
  };
  const amend = async () => {
    message.say(null);
    if (!position.text()) { position.say("A position is needed."); return; }
    const place = await read();
    if (!place) return;
    if (!reason.text()) { reason.say("An amendment needs its reason."); return; }
    const { id, etag } = state.draft;
    try {
      const { lat_deg, lon_deg } = place;
      const { answer, etag: tag } = await plans.amend(id, { kind: kind.text(), reason: reason.text(), lat_deg, lon_deg, next_waypoint_id: next.text() }, etag);
      if (state.draft?.id !== id) return;
      set({ amending: null, picking: false, editing: null, selected: null });
      accept(answer, tag);
      compute();
      document.getElementById("plan-state-words")?.focus();
    } catch (error) {
      if (error.status === undefined) throw error;
      sayRefusal(error, { "/reason": reason, "/next_waypoint_id": next, "/lat_deg": position, "/lon_deg": position }, message);
    }
  };
  const submit = async (event) => {
    event.preventDefault();
    if (act.disabled) return;
    act.disabled = true;
    await amend();
    act.disabled = Boolean(why());
  };
  const node = el("form", { class: "strip-form", novalidate: true, on: { submit } },
    el("div", { class: "fields" }, position.node, next.node, kind.node), el("div", { class: "actions" }, pick), reason.node, message.node,
    el("div", { class: "actions" }, act, el("button", { type: "button", "data-testid": "amend-leave", on: { click: leave } }, "Not now")));
  return { node, act, pick, position, next };
}

/** Why nothing can be amended just now, or null. */
function why() {
  if (state.unreachableSince) return "The server does not answer; amending needs it.";
  if (state.save.status !== "saved") return "A change is not stored yet.";
  return state.elsewhere ? "The plan was changed elsewhere; look at that first." : null;
}

/** Puts the strip away; the button that opened it has the focus again. */
function leave() {
  set({ amending: null, picking: false });
  document.querySelector('[data-testid="amend"]')?.focus();
}

export function startAmend(host) {
  host.addEventListener("keydown", (event) => { if (event.key === "Escape" && !state.picking) leave(); });
  const reasonLine = el("div", { role: "status" });
  let made = null;
  const dress = () => {
    if (!made || !state.inputs) return;
    const reasons = why();
    replace(reasonLine, reasons && el("p", { class: "gap-line" }, reasons), state.picking && el("p", { class: "gap-line", "data-testid": "amend-picking" }, "Press the Plot where she is; Esc leaves it."));
    made.next.fill(waypointOptions());
    made.act.textContent = `Amend r${newestOf(state.draft)} from here`;
    made.act.disabled = Boolean(reasons);
    made.pick.textContent = state.picking ? "Leave the Plot" : "Take the position from the Plot";
  };
  watch(["amending", "draft"], () => {
    const wanted = Boolean(state.amending && state.draft);
    show(host, wanted);
    if (!wanted) { made = null; replace(host); return; }
    if (made) { dress(); return; }
    made = form();
    replace(host, el("h2", {}, "Amend under way"), el("p", { class: "panel-lead" }, "The draft starts anew from where the ship is and joins the route at the next waypoint. An approval lapses by it; offer the draft when it is ready. It is one step, which can be undone until then."), reasonLine, made.node);
    dress();
    queueMicrotask(() => made?.position.input.focus());
  });
  watch(["inputs", "save", "elsewhere", "unreachableSince", "picking"], dress);
  watch(["picked"], () => {
    if (!state.picked || !made) return;
    made.position.input.value = positionText(state.picked);
    made.position.say(null);
    made.position.input.focus();
  });
  document.addEventListener("keydown", (event) => { if (state.picking && event.key === "Escape") { set({ picking: false }); made?.pick.focus(); } });
}
