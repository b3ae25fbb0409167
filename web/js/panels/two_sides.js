/** What two sides hold differently: both kept, shown beside each other, and picked from by the master. Nothing is merged. */

import { plans } from "../api.js";
import { el, replace, show } from "../dom.js";
import { countText, dateText } from "../format.js";
import { readSync } from "../parcels/sync.js";
import { actorFields } from "../record/actor.js";
import { choiceField, formField, formMessage, sayRefusal } from "../record/fields.js";
import { personWords, plainWords } from "../record/words.js";
import { state, watch } from "../state.js";

/** A digest, or what was recorded, in words. */
function held(value) {
  if (value === null) return "nothing";
  if (typeof value === "string") return ["sha256 ", el("code", { title: value }, value.slice(0, 8))];
  const by = value.person ?? value.by;
  return [plainWords(value.kind), by && ` by ${personWords(by)}`, value.at_utc && `, ${dateText(value.at_utc)}`, value.body?.words && `: ${value.body.words}`];
}

function bothPart({ here, other, peer, what, parts, revision }, planId) {
  const asJson = what === "revision" && el("a", { href: `/api/v1/plans/${encodeURIComponent(planId)}/other-revisions/${other}` }, `r${revision} of ${peer} as JSON`);
  return el("dl", { class: "both-sides" },
    el("dt", {}, "Here"), el("dd", { "data-testid": "conflict-here" }, held(here)), el("dt", {}, peer), el("dd", { "data-testid": "conflict-other" }, held(other), asJson && [" ", asJson]),
    parts.length > 0 && [el("dt", {}, `Recorded at ${peer}`), el("dd", {}, parts.map(held).map((one) => el("span", { class: "sub" }, one)))]);
}

/** The pick of the master, at the plan's home. */
class Conflict {
  constructor(conflict) {
    const choice = choiceField({ id: `pick-${conflict.id}`, label: "The master picks" });
    choice.fill([["here", "what is held here"], ["other", conflict.what === "revision" ? `the inputs of ${conflict.peer}, as the draft, to be offered and decided anew` : `not what was decided here: the master decides anew`]]);
    const words = formField({ id: `pick-words-${conflict.id}`, label: "Words", area: true });
    const who = actorFields("master", { id: `pick-${conflict.id}`, password: true });
    const message = formMessage("pick-refused");
    const act = el("button", { type: "submit", "data-testid": "pick-record" }, "Record this pick");
    const settle = async (event) => {
      event.preventDefault();
      const said = who.said();
      if (!said || act.disabled) return;
      act.disabled = true;
      message.say(null);
      try {
        await plans.settle(state.sync.plan_id, conflict.id, { pick: choice.text(), words: words.text(), ...said });
        who.keep();
        await readSync();
      } catch (error) {
        if (error.status === undefined) throw error;
        sayRefusal(error, { ...who.places, "/words": words, "/pick": choice }, message);
      }
      act.disabled = false;
    };
    this.form = el("form", { class: "strip-form", novalidate: true, on: { submit: settle } }, choice.node, words.node, who.node, message.node, el("div", { class: "actions" }, act));
    this.body = el("div", {});
    this.elsewhere = el("p", {});
    this.node = el("li", { class: "thread", "data-testid": "two-sides-item" }, this.body, this.elsewhere, this.form);
  }

  dress(conflict, { home, plan_id: planId }) {
    replace(this.body, el("p", {}, el("strong", {}, `r${conflict.revision}: ${conflict.words}`), `, found ${dateText(conflict.found_utc)}.`), bothPart(conflict, planId));
    replace(this.elsewhere, home && `It is settled at the plan's home, ${home.name}; the next parcel from there brings the pick.`);
    show(this.form, !home);
  }
}

export function startTwoSides(host) {
  const [title, list] = [el("h2", { tabindex: "-1" }), el("ul", { class: "threads" })];
  const made = new Map();
  replace(host, title, el("p", { class: "panel-lead" }, "Both are kept, an approval they touch does not count, and nothing is merged."), list);
  watch(["sync", "turnCard"], () => {
    const conflicts = state.sync?.conflicts ?? [];
    show(host, conflicts.length > 0 && !state.turnCard);
    replace(title, `${countText(conflicts.length, "thing")} that two sides hold differently`);
    conflicts.forEach((one) => { if (!made.has(one.id)) made.set(one.id, new Conflict(one)); made.get(one.id).dress(one, state.sync); });
    const nodes = conflicts.map((one) => made.get(one.id).node);
    if (nodes.length !== list.children.length || nodes.some((node, i) => list.children[i] !== node)) list.replaceChildren(...nodes);
  });
}
