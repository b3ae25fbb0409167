/** The papers as they are typed: texts, kept in this browser for the plan, with one way back. */

import { keepPapers, keptPapers } from "../draft/kept.js";
import { set, state } from "../state.js";
import { emptyPapers, emptySet } from "./described.js";
import { papersFrom } from "./texts.js";

let shown = null;

/** What of the texts cannot be read, by the field it stands in. */
const unreadable = (papers) => new Map([...papersFrom(papers).errors].filter(([place]) => !/\/\d+$/.test(place)));

/** Papers that were kept before a sort of trials was known here have none of it. */
const whole = (papers) => papers && { ...papers, sets: papers.sets.map((one) => ({ ...emptySet(), ...one })) };

/** Takes the papers of the plan that is open; another plan has its own. */
export function openPapers() {
  const id = state.draft?.id ?? null;
  if (id === shown) return;
  shown = id;
  const papers = (id && whole(keptPapers(id))) || emptyPapers();
  set({ papers, papersBefore: null, papersErrors: unreadable(papers), papersWork: { status: "idle" }, papersFile: null, papersUnkept: null });
}

function keep() {
  const unkept = keepPapers(state.draft.id, state.papers);
  if (unkept !== state.papersUnkept) set({ papersUnkept: unkept });
}

/** Keeps a text as it is typed; the field being typed in is not drawn anew. */
export function typed(row, name, text) {
  row[name] = text;
  keep();
}

/** Gives the papers another shape; `way` says in words what is brought back by the one step there is. */
export function reshape(change, way = null) {
  const papersBefore = way ? { papers: structuredClone(state.papers), way } : state.papersBefore;
  const papers = change(state.papers);
  set({ papers, papersBefore, papersErrors: unreadable(papers) });
  keep();
}

/** Brings back what was taken away or replaced last. */
export function bringBack() {
  const { papers } = state.papersBefore;
  set({ papers, papersBefore: null, papersErrors: unreadable(papers) });
  keep();
}
