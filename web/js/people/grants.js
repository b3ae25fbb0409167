/** The roles of an account: one row for each, with what it is for. */

import { el, replace, show } from "../dom.js";
import { choiceField, formMessage } from "../record/fields.js";
import { state } from "../state.js";
import { reachOf, reachOptions, reachValue, ROLES } from "./words.js";

const ROLE_OPTIONS = [["", "choose"], ...Object.keys(ROLES).map((role) => [role, role])];

/** One role: {node, fill(), given(), places(index), texts()}. */
function grantRow(id, given, remove) {
  const role = choiceField({ id: `${id}-role`, label: "Role", hint: " " });
  const reach = choiceField({ id: `${id}-of`, label: "On" });
  const hint = role.node.querySelector(".field-hint");
  const legend = el("legend", {});
  role.fill(ROLE_OPTIONS);
  const manages = () => role.text() === "administrator";
  const fill = () => {
    replace(hint, ROLES[role.text()] ?? "");
    reach.fill(manages() ? [["all:", "all vessels"]] : reachOptions(state.vessels.items, given));
  };
  role.input.addEventListener("change", fill);
  role.input.value = given?.role ?? "";
  fill();
  if (given) reach.input.value = reachValue(given);
  const node = el("fieldset", { class: "reason-group" }, legend, el("div", { class: "fields" }, role.node, reach.node),
    el("button", { type: "button", "data-testid": `${id}-remove`, on: { click: () => remove() } }, "Take this role away"));
  return {
    node, fill, role,
    number: (n) => replace(legend, `Role ${n}`),
    texts: () => [role.text(), reach.text()],
    given: () => {
      role.say(role.text() ? null : "Choose a role.");
      reach.say(reach.text() ? null : "Choose a vessel or a fleet.");
      return role.text() && reach.text() ? { role: role.text(), ...reachOf(reach.text()) } : null;
    },
    places: (index) => ({ [`/grants/${index}/role`]: role, [`/grants/${index}/reach`]: reach, [`/grants/${index}/of`]: reach }),
  };
}

/** All roles of one account: {node, fill(grants), given(), places(), texts(), dress()}. */
export function grantsField(prefix) {
  let [rows, made] = [[], 0];
  const none = el("p", { class: "gap-line" }, "No role: this account sees nothing.");
  const [list, message] = [el("div", {}), formMessage(`${prefix}-grants-refused`)];
  const renumber = () => {
    rows.forEach((row, i) => row.number(i + 1));
    show(none, rows.length === 0);
    message.say(null);
  };
  const put = (given) => {
    made += 1;
    const row = grantRow(`${prefix}-grant-${made}`, given, () => { rows = rows.filter((one) => one !== row); row.node.remove(); renumber(); more.focus(); });
    rows.push(row);
    list.append(row.node);
    return row;
  };
  const more = el("button", { type: "button", "data-testid": `${prefix}-grant-add`, on: { click: () => { const row = put(null); renumber(); row.role.input.focus(); } } }, "Give a role");
  renumber();
  return {
    node: el("div", { class: "grants" }, el("p", { class: "field-label" }, "Roles"), none, list, message.node, more),
    fill: (grants) => { replace(list); [rows, made] = [[], 0]; grants.forEach(put); renumber(); },
    given: () => { const all = rows.map((row) => row.given()); return all.includes(null) ? null : all; },
    places: () => Object.assign({ "/grants": message }, ...rows.map((row, i) => row.places(i))),
    texts: () => rows.map((row) => row.texts()),
    dress: () => rows.forEach((row) => row.fill()),
  };
}
