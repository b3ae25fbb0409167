/** Action points: typed before the end of a leg or at a place, those computed and those charted offered beside. */

import { positions } from "../api.js";
import { el, replace, tableBox } from "../dom.js";
import { readNumber } from "../fields.js";
import { figure, position } from "../figures.js";
import { dateText, decimals, known, metresLeftText, metresNeededText, nmText } from "../format.js";
import { choiceField, formField, formMessage } from "../record/fields.js";
import { redraw } from "../redraw.js";
import { state, watch } from "../state.js";
import { button, dropRow, legOptions, legWords, newRowId, putRow, refusedOf, said } from "./rows.js";
import { POINT_KINDS, wordsOf } from "./words.js";

const kindWords = (kind) => wordsOf(POINT_KINDS, kind);

function pointForm(host) {
  const kind = choiceField({ id: "point-kind", label: "What" });
  const leg = choiceField({ id: "point-leg", label: "On the leg" });
  const before = formField({ id: "point-before", label: "Before its end NM", hint: "or a position, not both" });
  const place = formField({ id: "point-position", label: "Position", hint: "like 51-23.456N 001-12.345E" });
  const notice = formField({ id: "point-notice", label: "Notice before it min" });
  const channel = formField({ id: "point-channel", label: "Channel" });
  const text = formField({ id: "point-text", label: "What is done, said or checked", wide: true });
  const message = formMessage("point-refused");
  const act = el("button", { type: "submit", "data-testid": "point-take" }, "Add this point");
  let changing = null;
  kind.fill(POINT_KINDS);
  const clear = () => { changing = null; [before, place, notice, channel, text].forEach((one) => { one.input.value = ""; one.say(null); }); act.textContent = "Add this point"; };
  const take = async (event) => {
    event.preventDefault();
    const [far, early] = [readNumber(before.text(), "NM"), readNumber(notice.text(), "min")];
    before.say(far.error);
    notice.say(early.error);
    const both = known(far.value) === Boolean(place.text());
    message.say(both && !far.error ? "Give either the distance before the end of a leg, or a position." : null);
    leg.say(known(far.value) && !leg.text() ? "A leg is needed." : null);
    if (far.error || early.error || both || (known(far.value) && !leg.text())) return;
    let at = { before_nm: far.value };
    if (place.text()) {
      try {
        const { position: found } = await positions.read(place.text());
        at = { lat_deg: found.lat_deg, lon_deg: found.lon_deg };
      } catch (error) {
        if (error.status === undefined && !error.unreachable) throw error;
        place.say(error.errors?.[0]?.message || error.message);
        return;
      }
    }
    putRow("points", said({ id: changing ?? newRowId("points", kind.text()), kind: kind.text(), leg_to_id: leg.text(), ...at, notice_min: early.value, channel: channel.text(), text: text.text() }));
    clear();
  };
  replace(host, el("form", { class: "strip-form", novalidate: true, "data-testid": "point-form", on: { submit: take } },
    el("div", { class: "fields" }, [kind, leg, before, place, notice, channel, text].map(({ node }) => node)), message.node, el("div", { class: "actions" }, act)));
  watch(["inputs"], () => { if (state.inputs) leg.fill(legOptions("the nearest to the position")); });
  watch(["fieldErrors"], () => message.say(refusedOf("points", "Point")));
  return (id) => {
    const one = state.inputs.points.find((row) => row.id === id);
    changing = id;
    kind.input.value = one.kind;
    leg.input.value = one.leg_to_id ?? "";
    before.input.value = known(one.before_nm) ? String(one.before_nm) : "";
    place.input.value = known(one.lat_deg) ? `${one.lat_deg} ${one.lon_deg}` : "";
    notice.input.value = known(one.notice_min) ? String(one.notice_min) : "";
    channel.input.value = one.channel ?? "";
    text.input.value = one.text ?? "";
    act.textContent = "Put the changed point in its place";
    kind.input.focus();
  };
}

const timeCell = (at, reason) => (at?.at_utc ? dateText(at.at_utc) : known(at?.at_s) ? figure(at.at_s / 60, "min", (value) => `${decimals(value, 0)} min from the start`) : reason ?? "no time");
const placeCells = (place, reason) => (place
  ? [el("td", { "data-label": "Leg" }, legWords(place.leg_to_id)), el("td", { "data-label": "Before its end NM" }, figure(place.before_nm, "NM", nmText))]
  : [el("td", { "data-label": "Leg", colspan: 2 }, el("span", { class: "missing" }, reason ?? "nowhere"))]);

function noticeCell(one) {
  if (!known(one.notice_min)) return "none asked";
  const where = one.notice ? `, ${nmText(one.notice.before_nm)} NM before the end of ${legWords(one.notice.leg_to_id)}` : known(one.notice_at_s) && one.notice_at_s < 0 ? ", before the start" : "";
  return `${one.notice_min} min before${one.notice_at_utc ? `: ${dateText(one.notice_at_utc)}` : ""}${where}`;
}

function pointRow(one, change) {
  return el("tr", { "data-testid": `point-row-${one.id}` },
    el("th", { scope: "row" }, kindWords(one.kind), el("span", { class: "unit" }, ` ${one.id}`)),
    placeCells(one.place, one.reason),
    el("td", { "data-label": "Time" }, timeCell(one.place, one.time_reason)),
    el("td", { "data-label": "Notice" }, noticeCell(one)),
    el("td", { "data-label": "Channel, text" }, [one.channel, one.text].filter(Boolean).join(": ") || "nothing said", known(one.off_track_nm) && ["; ", figure(one.off_track_nm, "NM", nmText, { unitShown: true }), ` to ${one.off_track_side} of the track`]),
    el("td", { class: "actions" }, button(`point-change-${one.id}`, "Change it", () => change(one.id)), button(`point-drop-${one.id}`, "Take it away", () => dropRow("points", one.id))));
}

function pointTable(change) {
  const rows = state.plan?.answer.points || [];
  if (rows.length === 0) return el("p", { class: "missing", "data-testid": "points-none" }, "No action point is given.");
  return tableBox("Action points, scrolls sideways", el("table", { class: "stacks", "data-testid": "points-table" }, el("caption", {}, "Action points"),
    el("thead", {}, el("tr", {}, ["Point", "Leg", "Before its end NM", "Time", "Notice", "Channel, text", ""].map((one) => el("th", { scope: "col" }, one)))),
    el("tbody", {}, rows.map((one) => pointRow(one, change)))));
}

const takeComputed = (kind, place, legId) => putRow("points", { id: newRowId("points", kind), kind, leg_to_id: place.leg_to_id, before_nm: Math.ceil(place.before_nm * 100 - 1e-9) / 100, text: `Computed for ${legWords(legId)}` });

/** Where the plan can be given up on one leg, with its working. */
function abortPart(leg) {
  const { abort } = leg.monitoring;
  if (!abort) return null;
  const offered = [["no_return", abort.no_return], ["abort", abort.abort]].filter(([, place]) => place);
  const room = abort.room.map((one) => `from ${nmText(one.from_before_nm)} to ${nmText(one.to_before_nm)} NM before the end, to ${one.side}`).join("; ");
  const bends = abort.bends.map((one) => `in the turn at ${one.waypoint_id} ${one.whole ? `all along it, to ${one.side}` : one.room.length === 0 ? "nowhere" : `${one.room.map((part) => `${metresNeededText(part.from_m)} to ${metresLeftText(part.to_m)} m along it`).join(" and ")}, to ${one.side}`}`);
  return el("li", { "data-testid": `abort-${leg.to_id}` },
    el("p", {}, el("strong", {}, legWords(leg.to_id)), ": ", abort.reasons.length > 0 ? el("span", { class: "missing" }, `not computed in full: ${abort.reasons.join("; ")}`) : abort.room.length === 0 ? "no room to turn round anywhere looked at" : `room to turn round ${room}`, bends.length > 0 && abort.reasons.length === 0 && `; ${bends.join("; ")}`),
    offered.map(([kind, place]) => el("p", {}, `${kindWords(kind)}: `, figure(place.before_nm, "NM", (value) => decimals(Math.ceil(value * 100 - 1e-9) / 100, 2), { unitShown: true }), ` before the end of ${legWords(place.leg_to_id)}, `, position(place.position), " ",
      button(`point-offer-${kind}-${leg.to_id}`, "Take it as a point", () => takeComputed(kind, place, leg.to_id)))),
    abort.stop && el("p", { class: "field-hint" }, "Stopping run ", figure(abort.stop.run_m, "m", metresNeededText, { unitShown: true }), `: ${abort.stop.working.join("; ")}. ${abort.stop.notes.join("; ")}.`),
    abort.turns.map((turn) => el("p", { class: "field-hint" }, `To turn round to ${turn.side}: `, figure(turn.ahead_m, "m", metresNeededText, { unitShown: true }), " ahead, ", figure(turn.aside_m, "m", metresNeededText, { unitShown: true }), ` aside, by ${turn.source}. ${turn.notes.join("; ")}`)),
    abort.notes.length > 0 && el("p", { class: "field-hint" }, abort.notes.join("; ")));
}

const takeFound = (one) => putRow("points", said({ id: newRowId("points", one.kind), kind: one.kind, lat_deg: one.position.lat_deg, lon_deg: one.position.lon_deg, channel: one.channel, text: [one.name, `charted in ${one.cell}`].filter(Boolean).join(", ") }));

function foundPart() {
  const found = state.plan?.answer.points_found || [];
  if (found.length === 0) return null;
  return [el("h4", {}, "Charted near the track, not in the plan until taken"), el("ul", { class: "plain-list" }, found.map((one, index) => el("li", { class: "loaded", "data-testid": `point-found-${index}` },
    el("span", {}, el("strong", {}, one.name ?? wordsOf([["PILBOP", "pilot boarding place"], ["RDOCAL", "radio calling-in point"]], one.object_class)), `, ${kindWords(one.kind)}, ${one.channel ?? "no channel charted"}, ${one.cell}, `, figure(one.off_track_nm, "NM", nmText, { unitShown: true }), ` to ${one.off_track_side} of ${legWords(one.place.leg_to_id)}`),
    button(`point-found-take-${index}`, "Take it as a point", () => takeFound(one)))))];
}

function offers() {
  const legs = (state.plan?.answer.legs || []).filter(({ monitoring }) => monitoring.abort);
  return [legs.length > 0
    ? [el("h4", {}, "Where the plan can still be given up"), el("p", { class: "field-hint" }, legs[0].monitoring.abort.rule), el("ul", { class: "plain-list" }, legs.map(abortPart))]
    : el("p", { class: "field-hint" }, "Abort point and point of no return are computed for legs whose stage is pilotage or confined waters, of the ship's stopping trials and her turning circle or response."),
  foundPart()];
}

export function startPoints(host) {
  const [table, form, more] = Array.from({ length: 3 }, () => el("div", {}));
  const change = pointForm(form);
  replace(host, el("h3", {}, "Action points"), table, form, more);
  watch(["plan"], () => { redraw(table, pointTable(change)); redraw(more, offers()); });
}
