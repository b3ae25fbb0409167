/** The strip that amends a plan under way: from where she is and when, to which waypoint she sails from there, and why. */

import { plans, positions, revisions } from "../api.js";
import { el, replace, show } from "../dom.js";
import { compute } from "../draft/compute.js";
import { accept } from "../draft/save.js";
import { positionText } from "../format.js";
import { choiceField, formField, formMessage, sayRefusal } from "../record/fields.js";
import { newestOf, sailedOf } from "../record/words.js";
import { set, state, watch } from "../state.js";
import { readTime, typedTime } from "../times.js";

const KINDS = [["deviation", "the ship left the plan"], ["pilot", "the pilot's intentions"]];

/** Whether the draft holds what the revision that is sailed does not, as far as the draft tells. */
const differs = (draft) => draft.edited_since_revision || newestOf(draft) !== sailedOf(draft);

const nowUtc = () => typedTime(`${new Date().toISOString().slice(0, 16)}:00Z`);

function waypointOptions({ route }) {
  return route.waypoints.map((one, index) => [one.id, `WPT ${String(index + 1).padStart(2, "0")} (${one.id})${one.name ? ` ${one.name}` : ""}`]);
}

function form() {
  const position = formField({ id: "amend-position", label: "Position", hint: "In any usual spelling.", attributes: { placeholder: "51-23.456N 001-12.345E" } });
  const at = formField({ id: "amend-at", label: "When she is there, UTC", hint: "The times of the amended plan count from then.", value: nowUtc() });
  const from = choiceField({ id: "amend-from", label: "What is amended" });
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
    const { value: at_utc, error: untimed } = readTime(at.text());
    at.say(untimed);
    if (untimed) return;
    if (!from.node.hidden && !from.text()) { from.say("Choose what is amended."); return; }
    const { id, etag } = state.draft;
    try {
      const { lat_deg, lon_deg } = place;
      const start_from = from.node.hidden ? undefined : from.text();
      const { answer, etag: tag } = await plans.amend(id, { kind: kind.text(), reason: reason.text(), lat_deg, lon_deg, at_utc, next_waypoint_id: next.text(), start_from }, etag);
      if (state.draft?.id !== id) return;
      set({ amending: null, picking: false, editing: null, selected: null, notice: saidOf(answer.amended) });
      accept(answer, tag);
      compute();
      document.getElementById("plan-state-words")?.focus();
    } catch (error) {
      if (error.status === undefined) throw error;
      if (error.errors?.some(({ pointer }) => pointer === "/start_from")) show(from.node, true);
      sayRefusal(error, { "/reason": reason, "/next_waypoint_id": next, "/lat_deg": position, "/lon_deg": position, "/at_utc": at, "/start_from": from }, message);
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
    el("div", { class: "fields" }, from.node, position.node, at.node, next.node, kind.node), el("div", { class: "actions" }, pick), reason.node, message.node,
    el("div", { class: "actions" }, act, el("button", { type: "button", "data-testid": "amend-leave", on: { click: leave } }, "Not now")));
  show(from.node, differs(state.draft));
  from.input.addEventListener("change", () => fillNext({ from, next }));
  return { node, act, pick, position, next, from };
}

/** What became of what was stated at waypoints behind, in the words of the service. */
function saidOf({ carried, left_behind: left }) {
  const parts = [left.length > 0 && `Left behind: ${left.join("; ")}.`, carried.length > 0 && `Carried: ${carried.join("; ")}.`].filter(Boolean);
  return parts.length > 0 ? parts.join(" ") : null;
}

/** The waypoints of what is amended: of the frozen revision where that is chosen and the draft is another plan. */
async function fillNext({ from, next }) {
  if (from.text() !== "revision") { next.fill(waypointOptions(state.inputs)); return; }
  const { id } = state.draft;
  try {
    const { answer } = await revisions.read(id, sailedOf(state.draft));
    if (state.draft?.id === id && from.text() === "revision") next.fill(waypointOptions(answer.inputs));
  } catch (error) {
    if (error.status === undefined) throw error;
    from.say(error.detail || error.title);
  }
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
    const sailed = sailedOf(state.draft);
    made.from.fill([["", "choose"], ["revision", `r${sailed} as it is ${state.draft.in_use_revision === sailed ? "in use" : "approved"}`], ["draft", `the draft, with what r${sailed} does not hold`]]);
    if (differs(state.draft)) show(made.from.node, true);
    if (made.from.text() !== "revision") made.next.fill(waypointOptions(state.inputs));
    made.act.textContent = `Amend r${sailed} from here`;
    made.act.disabled = Boolean(reasons);
    made.pick.textContent = state.picking ? "Leave the Plot" : "Take the position from the Plot";
  };
  watch(["amending", "draft"], () => {
    const wanted = Boolean(state.amending && state.draft);
    show(host, wanted);
    if (!wanted) { made = null; replace(host); return; }
    if (made) { dress(); return; }
    made = form();
    replace(host, el("h2", {}, "Amend under way"), el("p", { class: "panel-lead" }, "The draft starts anew from where the ship is and joins the route at the next waypoint. Where a plan can be made from there an approval lapses by it; offer the draft when it is ready. It is one step, which can be undone until then."), reasonLine, made.node);
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
