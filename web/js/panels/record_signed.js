/** The second person's check, which the author cannot do, and the watch: signatures, verified courses, the log. */

import { revisions } from "../api.js";
import { el, replace, show } from "../dom.js";
import { figure } from "../figures.js";
import { courseText, dateText, known } from "../format.js";
import { choiceField, formField, formMessage, sayRefusal } from "../record/fields.js";
import { act } from "../record/open.js";
import { claimedLine, whoFields } from "../record/who.js";
import { eventWords, personWords } from "../record/words.js";
import { legName, waypointName } from "../sailing.js";
import { state } from "../state.js";

const WATCHED = ["approved", "in_use"];
const CHECKED = ["offered", "returned", "approved", "in_use"];

/** Lines of what is recorded, or that there is none. */
function lines(testId, events, none) {
  if (events.length === 0) return el("p", { class: "gap-line", "data-testid": testId }, none);
  return el("ul", { class: "record-lines", "data-testid": testId }, events.map((event) => el("li", {}, eventWords(event), event.words && `: ${event.words}`)));
}

/** Sends something kept beside the revision, and says a refusal where it belongs; true where it was recorded. */
async function keep(kind, body, who, places, message) {
  const by = who.by();
  if (!by) return false;
  message.say(null);
  const done = await act((id, number) => revisions.keep(id, number, kind, { by, ...body }), (error) => sayRefusal(error, { ...who.places, ...places }, message));
  if (done) who.keep();
  return done;
}

/** A form whose button is off while its request is under way. */
function smallForm(button, run, ...content) {
  const submit = async (event) => {
    event.preventDefault();
    if (button.disabled) return;
    button.disabled = true;
    await run();
    button.disabled = false;
    if (document.activeElement === document.body) button.focus();
  };
  return el("form", { class: "strip-form", novalidate: true, on: { submit } }, content, el("div", { class: "actions" }, button));
}

export function checkPart() {
  const who = whoFields("second_person", { id: "check" });
  const words = formField({ id: "check-words", label: "Words", hint: "What was checked and how. May be left empty.", area: true });
  const [message, list] = [formMessage("check-refused"), el("div", {})];
  const button = el("button", { type: "submit", "data-testid": "check-record" });
  const form = smallForm(button, async () => {
    if (await keep("checks", { words: words.text() }, who, { "/words": words }, message)) words.input.value = "";
  }, who.node, words.node, message.node);
  const dress = () => {
    const { answer } = state.record;
    replace(list, el("p", {}, "Author: ", el("strong", { "data-testid": "author" }, personWords(answer.author)), ". The second person is somebody else."), lines("checks-made", answer.checks, "Not checked by a second person."));
    show(form, CHECKED.includes(answer.state));
    button.textContent = `Record a check of r${answer.revision}`;
  };
  return { node: el("section", { class: "record-part", "data-testid": "second-person" }, el("h3", {}, "Second person's check"), list, el("details", {}, el("summary", { "data-testid": "check-open" }, "Check as second person"), form)), dress };
}

/** "078", or that the leg has none. */
const courseOf = (leg) => (known(leg.course_deg) ? courseText(leg.course_deg) : "no course");

function coursesList(answer, verify) {
  const row = (leg, index) => {
    const done = answer.verified_courses.filter((one) => one.to_id === leg.to_id);
    const name = legName(state.plan, index);
    return el("li", { class: "course-line", "data-testid": `course-row-${index}` }, el("span", {}, name), el("span", {}, figure(leg.course_deg, "deg T", courseText), " T"),
      el("span", { class: "course-said" }, done.length === 0 ? "not verified" : done.map((one) => el("span", { class: "sub" }, `verified ${courseText(one.course_deg)} by ${personWords(one.by)}, ${dateText(one.at_utc)}`))),
      known(leg.course_deg) && WATCHED.includes(answer.state) && el("button", { type: "button", "data-testid": `verify-${index}`, "aria-label": `verify ${courseOf(leg)}, ${name}`, on: { click: () => verify(leg, index) } }, done.length === 0 ? `verify ${courseOf(leg)}` : `verify ${courseOf(leg)} again`));
  };
  return el("ul", { class: "courses", "aria-label": "Courses of the legs, true" }, state.plan.answer.legs.map(row));
}

/** How many legs have a course that somebody verified. */
function verifiedLine({ verified_courses: verified }) {
  const { legs } = state.plan.answer;
  const done = new Set(verified.map((one) => one.to_id));
  return el("p", { class: "gap-line", "data-testid": "courses-verified" }, `Courses verified: ${legs.filter((leg) => done.has(leg.to_id)).length} of ${legs.length}.`);
}

function logLine(event) {
  const { plan } = state;
  const index = plan.request.route.waypoints.findIndex((one) => one.id === event.waypoint_id);
  const place = event.waypoint_id && (index < 0 ? event.waypoint_id : waypointName(plan, index));
  return el("li", {}, [place, event.actual_utc && `actual ${dateText(event.actual_utc)}`, event.words].filter(Boolean).join(": "), el("span", { class: "sub" }, `${personWords(event.by)}, ${dateText(event.at_utc)}`));
}

/** "2026-11-26 14:02" as the service takes it; anything else goes as it is typed, to be refused with its reason. */
function utcFrom(text) {
  const found = /^(\d{4}-\d{2}-\d{2})[ T](\d{2}:\d{2})(:\d{2})?\s*Z?$/i.exec(text);
  return found ? `${found[1]}T${found[2]}${found[3] ?? ":00"}Z` : text;
}

function logForm(who) {
  const place = choiceField({ id: "log-waypoint", label: "Waypoint" });
  const time = formField({ id: "log-time", label: "Actual time UTC", hint: "As 2026-11-26 14:02. Empty for a remark." });
  const words = formField({ id: "log-words", label: "Remark", area: true });
  const message = formMessage("log-refused");
  const button = el("button", { type: "submit", "data-testid": "log-record" }, "Keep this line");
  const now = el("button", { type: "button", "data-testid": "log-now", on: { click: () => { time.input.value = new Date().toISOString().slice(0, 16).replace("T", " "); time.say(null); } } }, "Time now");
  const node = smallForm(button, async () => {
    const body = { words: words.text(), ...(place.text() && { waypoint_id: place.text() }), ...(time.text() && { actual_utc: utcFrom(time.text()) }) };
    if (await keep("log", body, who, { "/words": words, "/waypoint_id": place, "/actual_utc": time }, message)) [time, words].forEach((one) => { one.input.value = ""; });
  }, el("div", { class: "fields" }, place.node, time.node), el("div", { class: "actions" }, now), words.node, message.node);
  const dress = () => place.fill([["", "none"], ...state.plan.request.route.waypoints.map((one, index) => [one.id, `${waypointName(state.plan, index)}${one.name ? ` ${one.name}` : ""}`])]);
  return { node, dress };
}

export function watchPart() {
  const who = whoFields("watch", { id: "watch" });
  const words = formField({ id: "sign-words", label: "Words with the signature", hint: "May be left empty.", area: true });
  const [message, verifyMessage, signed, courses, log, not] = [formMessage("sign-refused"), formMessage("verify-refused"), el("div", {}), el("div", {}), el("div", {}), el("p", { class: "gap-line", "data-testid": "watch-not-yet" })];
  const button = el("button", { type: "submit", "data-testid": "sign-record" });
  const sign = smallForm(button, async () => {
    if (await keep("sign-offs", { words: words.text() }, who, { "/words": words }, message)) words.input.value = "";
  }, words.node, message.node);
  const verify = async (leg, index) => {
    await keep("verified-courses", { to_id: leg.to_id }, who, {}, verifyMessage);
    courses.querySelector(`[data-testid="verify-${index}"]`)?.focus();
  };
  const line = logForm(who);
  const dress = () => {
    const { answer } = state.record;
    const watched = WATCHED.includes(answer.state);
    replace(not, `Signatures and courses are taken once r${answer.revision} is approved.`);
    show(not, !watched);
    show(sign, watched);
    button.textContent = `Read and sign r${answer.revision}`;
    replace(signed, lines("signed", answer.sign_offs, "No watch-keeper has signed."), watched && verifiedLine(answer));
    replace(courses, coursesList(answer, verify));
    replace(log, answer.log.length === 0 ? el("p", { class: "gap-line", "data-testid": "log" }, "Nothing is kept yet.") : el("ul", { class: "record-lines", "data-testid": "log" }, answer.log.map(logLine)));
    line.dress();
  };
  const node = el("section", { class: "record-part", "data-testid": "watch" }, el("h3", {}, "The watch"), signed, not,
    el("details", {}, el("summary", { "data-testid": "watch-open" }, "Sign, verify courses, keep the log"),
      el("p", { class: "panel-lead" }, "Whoever signs, verifies or keeps a line stands here. ", claimedLine()), who.node,
      el("h4", {}, "Signature"), sign, el("h4", {}, "Courses"), verifyMessage.node, courses, el("h4", {}, "Log"), line.node),
    el("h4", {}, "Log: actual times and remarks"), log);
  return { node, dress };
}
