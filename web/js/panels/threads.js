/** The threads of a plan: each built once and dressed anew, so that nothing typed is lost when somebody else writes. */

import { el, replace, show } from "../dom.js";
import { countText } from "../format.js";
import { actorFields } from "../record/actor.js";
import { formField, formMessage, sayRefusal } from "../record/fields.js";
import { set, state, watch } from "../state.js";
import { dropNote, post, sendAgain, unsentOf } from "../threads/outbox.js";
import { readingNow, readThreads, sideNow } from "../threads/open.js";
import { inOrder, noteWords, readWords, STATES, subjectWords } from "../threads/words.js";
import { noteSync } from "./sync.js";
import { problemBox } from "./problem.js";

/** A note that only this browser has. */
function unsentNote(entry) {
  const { body, refused, kind } = entry;
  return el("li", { class: "note is-unsent", "data-testid": "note-unsent" },
    el("p", { class: "note-by" }, el("strong", {}, refused ? "Not taken by the service" : "Kept in this browser, not sent yet"), `, ${readWords(body.revision)}${kind === "resolve" ? ", resolves it" : kind === "reopen" ? ", opens it again" : ""}`),
    body.words && el("p", { class: "note-words" }, body.words),
    refused && el("p", { class: "field-error" }, refused),
    refused && el("div", { class: "actions" }, el("button", { type: "button", on: { click: () => sendAgain(entry) } }, "Send again"), el("button", { type: "button", on: { click: () => dropNote(entry.id) } }, "Let it go")));
}

function noteItem(note) {
  return el("li", { class: "note", "data-testid": "note", "data-note-id": note.id },
    el("p", { class: "note-by" }, noteWords(note), " ", noteSync(note.id)), note.words && el("p", { class: "note-words" }, note.words));
}

/** The changes of the subject as the differences tell them. */
function subjectPart({ subject }) {
  const words = subjectWords(subject);
  if (!words) return null;
  if (subject.state === "gone" || subject.changes.length === 0) return el("p", { "data-testid": "thread-subject" }, el("strong", {}, words), ".");
  const count = subject.change_count ?? subject.changes.length;
  return el("details", {}, el("summary", { "data-testid": "thread-subject" }, `${words}: ${countText(count, "change")}`), el("ul", {}, subject.changes.map((one) => el("li", {}, `${one.sentence}.`))),
    count > subject.changes.length && el("p", {}, `${count - subject.changes.length} more are not listed here.`));
}

/** One thread: its notes grow, its reply form stays. */
class Thread {
  constructor(id) {
    this.id = id;
    this.head = el("h4", { tabindex: "-1" });
    this.notes = el("ul", { class: "notes" });
    this.subject = el("div", {});
    this.words = formField({ id: `reply-${id}`, label: "Reply", area: true, attributes: { "data-testid": "reply" } });
    this.message = formMessage("reply-refused");
    this.settle = el("button", { type: "button", "data-testid": "settle", on: { click: () => this.send(this.thread.state === "resolved" ? "reopen" : "resolve") } });
    this.reply = el("button", { type: "submit", class: "primary", "data-testid": "reply-send" }, "Send reply");
    this.body = el("div", {});
    this.node = el("li", { class: "thread", "data-testid": "thread", "data-thread-id": id }, this.head, this.subject, this.notes,
      el("details", { on: { toggle: ({ target }) => { if (target.open && !this.who) this.build(); } } }, el("summary", { "data-testid": "reply-open" }, "Reply, resolve or open again"), this.body));
  }

  /** The form is made when it is first opened: by then it is known who is here. */
  build() {
    this.who = actorFields("note", { id: `note-${this.id}` });
    replace(this.body, el("form", { class: "strip-form", novalidate: true, on: { submit: (event) => { event.preventDefault(); this.send("note"); } } },
      this.words.node, this.who.node, this.message.node, el("div", { class: "actions" }, this.reply, this.settle)));
  }

  async send(kind) {
    const [said, words] = [this.who.said(), this.words.text()];
    if (!said) return;
    if (kind === "note" && !words) { this.words.say("Words are needed."); return; }
    this.message.say(null);
    [this.reply, this.settle].forEach((one) => { one.disabled = true; });
    const { id, revision } = readingNow();
    const body = { words, ...said, ...sideNow(), ...(revision && { revision }) };
    const refusal = await post({ plan_id: id, thread_id: this.id, kind, body });
    [this.reply, this.settle].forEach((one) => { one.disabled = false; });
    if (refusal) { sayRefusal(refusal, { ...this.who.places, "/words": this.words }, this.message); return; }
    this.who.keep();
    this.words.input.value = "";
    this.head.focus({ preventScroll: true });
  }

  dress(thread, unsent) {
    this.thread = thread;
    this.node.dataset.state = thread.state;
    replace(this.head, el("strong", {}, thread.label), ", ", el("span", { class: `thread-state is-${thread.state}`, "data-testid": "thread-state" }, STATES[thread.state]), `, opened ${readWords(thread.revision)}`);
    replace(this.subject, subjectPart(thread));
    replace(this.notes, thread.notes.map(noteItem), unsent.map(unsentNote));
    this.settle.textContent = thread.state === "resolved" ? "Open again" : "Resolve";
  }
}

/** Puts nodes in order; the one with the focus keeps it. */
function arrange(host, nodes) {
  if (nodes.length === host.children.length && nodes.every((node, i) => host.children[i] === node)) return;
  const active = document.activeElement;
  host.replaceChildren(...nodes);
  if (active?.isConnected) active.focus({ preventScroll: true });
}

/** The form for a new thread, about what `state.commenting` names. */
function startForm() {
  const words = formField({ id: "comment-words", label: "Comment", area: true });
  const message = formMessage("comment-refused");
  const send = el("button", { type: "submit", class: "primary", "data-testid": "comment-send" }, "Open this thread");
  const title = el("h4", { "data-testid": "comment-about" });
  let who = actorFields("note", { id: "comment" });
  const open = async (event) => {
    event.preventDefault();
    const said = who.said();
    if (!said || send.disabled) return;
    if (!words.text()) { words.say("Words are needed."); return; }
    const { kind, id: anchorId } = state.commenting;
    const { id, revision } = readingNow();
    send.disabled = true;
    const refusal = await post({ plan_id: id, thread_id: null, kind: "thread", label: state.commenting.label, body: { anchor: { kind, id: anchorId }, words: words.text(), ...said, ...sideNow(), ...(revision && { revision }) } });
    send.disabled = false;
    if (refusal) { sayRefusal(refusal, { ...who.places, "/words": words }, message); return; }
    who.keep();
    words.input.value = "";
    set({ commenting: null });
  };
  const node = el("form", { class: "strip-form thread", novalidate: true, "data-testid": "comment-form", on: { submit: open } }, title, words.node, who.node, message.node,
    el("div", { class: "actions" }, send, el("button", { type: "button", on: { click: () => set({ commenting: null }) } }, "Not now")));
  return { node, words, dress: () => replace(title, `About ${state.commenting.label}, ${readWords(readingNow()?.revision)}`) };
}

function summary({ items = [] }) {
  const waiting = items.filter((one) => ["open", "reopened"].includes(one.state)).length;
  return items.length === 0 ? "No thread yet. Comment on a leg, a turn, a finding or an input, or on the plan as a whole." : `${countText(items.length, "thread")}, ${waiting} open.`;
}

export function startThreads(host) {
  const [count, unsentLine, list, trouble, waiting] = [el("p", { class: "gap-line", "data-testid": "threads-count" }), el("p", { role: "status", "data-testid": "notes-unsent" }), el("ul", { class: "threads" }), el("div", {}), el("ul", { class: "threads" })];
  const whole = el("button", { type: "button", "data-testid": "comment-plan", on: { click: () => set({ commenting: { kind: "plan", id: "", label: "the plan as a whole" } }) } }, "Comment on the plan as a whole");
  const place = el("div", {});
  const made = new Map();
  let form = null;
  replace(host, el("h2", { id: "threads-title" }, "Threads"), count, unsentLine, trouble, el("div", { class: "actions" }, whole), place, waiting, list);
  const dress = () => {
    const reading = readingNow();
    show(host, Boolean(reading) && !state.turnCard);
    if (!reading) return;
    const { threads } = state;
    const unsent = unsentOf(reading.id);
    replace(count, threads?.items ? summary(threads) : threads?.error ? "" : "Working: asking for the threads.");
    replace(trouble, threads?.error && !threads.error.unreachable && problemBox("The threads were not read", threads.error, readThreads));
    replace(unsentLine, unsent.length > 0 && [`${countText(unsent.length, "note")} kept in this browser, not sent.`, state.outbox?.cannotKeep && ` This browser cannot keep them over a reload (${state.outbox.cannotKeep}).`]);
    replace(waiting, unsent.filter((one) => !one.thread_id).map((one) => el("li", { class: "thread" }, el("h4", {}, el("strong", {}, one.label), ", a new thread"), el("ul", { class: "notes" }, unsentNote(one)))));
    const items = inOrder(threads?.items ?? []);
    items.forEach((one) => {
      if (!made.has(one.id)) made.set(one.id, new Thread(one.id));
      made.get(one.id).dress(one, unsent.filter((note) => note.thread_id === one.id));
    });
    arrange(list, items.map((one) => made.get(one.id).node));
  };
  const start = () => {
    const wanted = Boolean(state.commenting && readingNow());
    if (!wanted) { if (form) { form = null; replace(place); whole.focus({ preventScroll: true }); } return; }
    if (!form) { form = startForm(); replace(place, form.node); }
    form.dress();
    form.node.scrollIntoView({ block: "nearest" });
    form.words.input.focus({ preventScroll: true });
  };
  watch(["threads", "outbox", "frozen", "review", "turnCard", "sync"], dress);
  watch(["commenting"], start);
}
