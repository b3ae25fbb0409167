/** Parts of the page that many visits never show are fetched when they are first wanted: a slow link waits for less. */

import { el, replace, show } from "./dom.js";
import { set, state, watch } from "./state.js";

/** Calls `start` with a host once `wanted` is true. `load` fetches the part; what failed is said in its place and tried again. */
export function later(host, keys, wanted, load) {
  let status = "none";
  watch(keys, async () => {
    if (status !== "none" || !wanted()) return;
    status = "fetching";
    try {
      const start = await load();
      status = "started";
      replace(host);
      start(host);
    } catch (error) {
      if (status === "started") throw error;
      status = "none";
      show(host, true);
      replace(host, el("p", { class: "gap-line", role: "alert" }, `This part of the page could not be fetched (${error.message}). `),
        el("button", { type: "button", on: { click: () => set({ [keys[0]]: state[keys[0]] }) } }, "Try again"));
    }
  });
}
