/** The record beside a frozen revision. Its forms are built once for a revision, so that nothing typed is lost when the record grows. */

import { el, replace, show } from "../dom.js";
import { state, watch } from "../state.js";
import { filingPart, revisionFiles } from "./files.js";
import { decidePart } from "./record_decide.js";
import { recomputedPart } from "./recomputed.js";
import { checkPart, watchPart } from "./record_signed.js";
import { shorePart } from "./record_shore.js";
import { statePart } from "./record_state.js";

function filesPart() {
  const said = el("div", {});
  const { plan_id: id, number } = state.frozen;
  const node = el("section", { class: "record-part" }, el("h3", {}, `Files of r${number}`), el("div", { class: "actions" }, revisionFiles(id, number)), said);
  return { node, dress: () => replace(said, filingPart()) };
}

export function startRecord(host) {
  let parts = [];
  let shown = null;
  const dress = () => { if (state.record) parts.forEach((part) => part.dress()); };
  watch(["frozen"], () => {
    if (state.frozen === shown) return;
    shown = state.frozen;
    if (!shown) { parts = []; replace(host); return; }
    const [stand, files, again, decide, shore, check, watchers] = (parts = [statePart(), filesPart(), recomputedPart(), decidePart(), shorePart(), checkPart(), watchPart()]);
    replace(host, el("h2", { id: "record-title" }, "Record"), el("div", { class: "record-grid" },
      el("div", { class: "record-column" }, stand.node, decide.node, shore.node), el("div", { class: "record-column" }, check.node, watchers.node, again.node, files.node)));
    dress();
  });
  watch(["record", "filing", "threads", "sync"], dress);
  watch(["frozen", "turnCard"], () => show(host, Boolean(state.frozen) && !state.turnCard));
}
