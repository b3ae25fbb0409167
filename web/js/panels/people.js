/** People, on the Desk: for administrators accounts, vessels and keys of other systems; for everybody their own account. */

import { el, replace, show } from "../dom.js";
import { readAccounts, readSystemKeys, readVessels } from "../people/api.js";
import { state, watch } from "../state.js";
import { accountsPart } from "./people_accounts.js";
import { keysPart } from "./people_keys.js";
import { ownPart } from "./people_own.js";
import { vesselsPart } from "./people_vessels.js";

const HASH = "#people";

/** Who signed in stays the same until the page is loaded anew: signing in and out loads it. */
export function startPeople(host) {
  const manages = state.session.signed_in.grants.some(({ role }) => role === "administrator");
  host.classList.add("people");
  document.head.append(el("link", { rel: "stylesheet", href: new URL("../../css/people.css", import.meta.url).href }));
  const title = el("h2", { id: "people-title", tabindex: "-1" }, manages ? "People, vessels and keys" : "Your account");
  const column = (...parts) => el("div", { class: "record-column" }, parts);
  replace(host, title, manages ? el("div", { class: "record-grid" }, column(accountsPart()), column(vesselsPart(), keysPart(), ownPart())) : ownPart());
  let here = false;
  watch(["place"], () => {
    const wanted = state.place.kind === "desk";
    show(host, wanted);
    if (wanted && !here) [readVessels, manages && readAccounts, manages && readSystemKeys].forEach((read) => read && read());
    here = wanted;
  });
  const arrive = () => { if (location.hash === HASH && here) { host.scrollIntoView(); title.focus({ preventScroll: true }); } };
  window.addEventListener("hashchange", arrive);
  arrive();
}
