/** The master's written reasons for open items, grouped by cause: one reason serves a cause, or is split into one for each item. */

import { el, replace } from "../dom.js";
import { countText } from "../format.js";
import { gradeWord } from "../panels/grades.js";
import { formField } from "./fields.js";
import { plainWords } from "./words.js";

const MISSING = "No reason is written for this yet.";

const KINDS = ["changed", "must_resolve", "not_checked"];

/** Open items by cause, {code, title, kind, items}: what changed first, then what must be resolved, then what was not checked. */
function groupsOf(items, { checks }) {
  const titles = new Map(checks.rows.map((row) => [row.check, row.title]));
  const groups = new Map();
  for (const item of items) {
    const code = item.cause;
    if (!groups.has(code)) groups.set(code, { code, kind: item.kind, title: item.kind === "changed" ? "Inputs changed since" : titles.get(code) || plainWords(code), items: [] });
    groups.get(code).items.push(item);
  }
  return [...groups.values()].sort((a, b) => KINDS.indexOf(a.kind) - KINDS.indexOf(b.kind));
}

/** One cause. Its words outlive a split and a joining again. */
class Group {
  constructor({ code, kind, title, items }, kept) {
    Object.assign(this, { code, items, fields: new Map(), split: kept?.split ?? false, words: kept?.words ?? new Map() });
    this.node = el("fieldset", { class: "reason-group", "data-testid": `reason-group-${code}`, "data-code": code },
      el("legend", {}, kind === "changed" ? el("strong", {}, "changed") : gradeWord(kind), ` ${title}`, items.length > 1 && `, ${countText(items.length, "item")}`), this.body = el("div", {}));
    this.draw();
  }

  /** A field of this group under a key: an item's id, or "" for all of them. */
  field(key, label) {
    const number = key === "" ? "" : `-${this.items.findIndex((one) => one.id === key)}`;
    const one = formField({ id: `reason-${this.code}${number}`, label, area: true, value: this.words.get(key) ?? "" });
    one.input.addEventListener("input", () => this.words.set(key, one.input.value));
    this.fields.set(key, one);
    return one.node;
  }

  draw() {
    this.fields.clear();
    const many = this.items.length > 1;
    const turn = many && el("button", { type: "button", "data-testid": `reason-split-${this.code}`, "aria-pressed": String(this.split), on: { click: () => { this.split = !this.split; this.draw(); this.body.querySelector("button").focus(); } } }, "A reason for each item");
    replace(this.body,
      el("ul", { class: "reason-items" }, this.items.map((item) => el("li", { "data-item-id": item.id }, item.message, this.split && this.field(item.id, "Reason")))),
      !this.split && this.field("", many ? "Reason, for all of them" : "Reason"), turn);
  }

  /** [{items, words}] of what is written. */
  reasons() {
    const all = this.items.map((one) => one.id);
    return [...this.fields].map(([key, field]) => ({ items: key === "" ? all : [key], words: field.text() })).filter(({ words }) => words);
  }

  /** Marks items without a reason; returns the first field marked. */
  mark(missing) {
    const marked = [...this.fields].filter(([key]) => (key === "" ? this.items.some((one) => missing.has(one.id)) : missing.has(key))).map(([, field]) => field);
    marked.forEach((field) => field.say(MISSING));
    return marked[0];
  }
}

/** What is written for a revision is kept in this browser until the decision is recorded: {code: {split, words}}. */
function keeper(key) {
  const read = () => {
    try {
      return JSON.parse(localStorage.getItem(key) || "{}");
    } catch {
      return {}; // no storage: nothing was kept
    }
  };
  const before = new Map(Object.entries(read()).map(([code, { split, words }]) => [code, { split, words: new Map(words) }]));
  /** False where the browser cannot keep it; the page then asks before it goes. */
  const keep = (groups) => {
    try {
      localStorage.setItem(key, JSON.stringify(Object.fromEntries(groups.map(({ code, split, words }) => [code, { split, words: [...words] }]))));
      return true;
    } catch {
      return false;
    }
  };
  return { before, keep, drop: () => localStorage.removeItem(key) };
}

/** The list of reasons: {node, fill(items, result), reasons(), refuse(error), done()}. What is written stays when the items change. */
export function reasonsList(planId, number) {
  const node = el("div", { class: "reasons", "data-testid": "reasons" });
  const kept = keeper(`wheelover.reasons.${planId}.r${number}`);
  node.addEventListener("input", () => node.toggleAttribute("data-kept", kept.keep(groups)));
  let groups = [];
  const fill = (items, result) => {
    const before = new Map([...kept.before, ...groups.map((one) => [one.code, one])]);
    const now = groupsOf(items, result);
    const same = now.length === groups.length && now.every((one, i) => groups[i].code === one.code && String(groups[i].items.map(({ id }) => id)) === String(one.items.map(({ id }) => id)));
    if (same && groups.length > 0) return;
    groups = now.map((one) => new Group(one, before.get(one.code)));
    replace(node, groups.length === 0 ? el("p", { "data-testid": "reasons-none" }, "No open item needs a written reason.")
      : el("p", {}, `${countText(items.length, "open item")} in ${countText(groups.length, "cause")}. Each needs the master's written reason, one for all of a cause or one for each; they are printed with the plan.`), groups.map((one) => one.node));
  };
  /** Marks in place what the service named as without a reason; true where it named any. */
  const refuse = (error) => {
    const named = (error.errors ?? []).filter(({ pointer }) => pointer === "/reasons").map(({ message }) => message);
    const missing = new Set(groups.flatMap((one) => one.items).filter(({ id }) => named.some((words) => words.startsWith(`${id}: `))).map(({ id }) => id));
    const fields = groups.map((one) => one.mark(missing)).filter(Boolean);
    fields[0]?.input.focus();
    return fields.length > 0;
  };
  return { node, fill, refuse, done: kept.drop, reasons: () => groups.flatMap((one) => one.reasons()) };
}
