/**
 * Keeps the fields of the edited waypoint under its row. The row is never built anew while it is open: a text
 * half typed would be lost, or taken too early. Only values nobody is typing in are renewed.
 */

import { el } from "../dom.js";
import { keepTyped } from "../redraw.js";
import { state } from "../state.js";
import { openerWords } from "./not_taken.js";
import { waypointEditor } from "./waypoint_editor.js";

function editorRow(id, columns) {
  return el("tr", { class: "detail-row", "data-testid": "editor-row", "data-editor": id }, el("td", { colspan: columns }, waypointEditor(id)));
}

/** Brings values and messages of a newer copy into the open fields. */
export function renew(old, copy) {
  const fields = [...old.querySelectorAll("input, select")];
  fields.forEach((field) => {
    const now = copy.querySelector(`#${field.id}`);
    if (!now || field === document.activeElement) return;
    field.value = now.value;
    field.disabled = now.disabled;
    field.setAttribute("aria-invalid", now.getAttribute("aria-invalid") || "false");
  });
  old.querySelectorAll(".field-error[data-testid]").forEach((message) => {
    const now = copy.querySelector(`[data-testid="${message.dataset.testid}"]`);
    message.textContent = now.textContent;
    message.hidden = now.hidden;
  });
  const heads = [...copy.querySelectorAll("h3")];
  old.querySelectorAll("h3").forEach((head, i) => { head.textContent = heads[i].textContent; });
}

/** Opens, renews or closes the fields in the body of the Ledger. */
export function showEditor(body, columns) {
  const { editing, plan } = state;
  const old = body.querySelector("[data-editor]");
  body.querySelectorAll(".edit-opener").forEach((one) => {
    one.setAttribute("aria-expanded", String(one.dataset.testid === `edit-${editing}`));
    one.textContent = openerWords(one.dataset.edits);
    one.setAttribute("aria-label", `${one.textContent}, waypoint ${one.dataset.edits}`);
  });
  const heldId = old?.contains(document.activeElement) && old.dataset.editor !== editing ? old.dataset.editor : null;
  const row = editing && plan && body.querySelector(`[data-testid="${CSS.escape(`wp-row-${editing}`)}"]`);
  if (!row) {
    old?.remove();
    if (heldId) body.querySelector(`[data-testid="${CSS.escape(`wp-row-${heldId}`)}"]`)?.focus({ preventScroll: true });
    return;
  }
  const copy = editorRow(editing, columns);
  const same = old?.dataset.editor === editing;
  if (same && old.querySelectorAll("input").length === copy.querySelectorAll("input").length) {
    renew(old, copy);
    return;
  }
  if (same) keepTyped(body, () => old.replaceWith(copy)); // it has other fields now: it is the first, or the last
  if (same) return;
  old?.remove();
  row.after(copy);
  copy.querySelector("input").focus({ preventScroll: true });
  copy.scrollIntoView({ block: "nearest" });
}

/** Puts new rows in the body around the open fields, which stay where they are in the page. */
export function putRows(body, rows) {
  const editor = body.querySelector("[data-editor]");
  const at = editor ? rows.findIndex((row) => row.dataset.testid === `wp-row-${editor.dataset.editor}`) : -1;
  if (at < 0) { body.replaceChildren(...rows); return; }
  [...body.children].forEach((row) => { if (row !== editor) row.remove(); });
  editor.before(...rows.slice(0, at + 1));
  editor.after(...rows.slice(at + 1));
}
