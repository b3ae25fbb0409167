/** Accounts, vessels and keys of other systems, asked of the service; the lists go into the state. */

import { all, call, send } from "../api.js";
import { set, state } from "../state.js";

const at = (kind, id) => `/${kind}/${encodeURIComponent(id)}`;

export const accounts = {
  read: (id) => call(at("accounts", id)),
  add: async (given) => (await send("POST", "/accounts", given)).answer,
  change: (id, given, etag) => send("PUT", at("accounts", id), given, { etag }),
  reset: async (id) => (await send("POST", `${at("accounts", id)}/reset`)).answer,
};

export const vessels = {
  add: async (given) => (await send("POST", "/vessels", given)).answer,
  change: async (id, given) => (await send("PUT", at("vessels", id), given)).answer,
};

export const systemKeys = {
  make: async (given) => (await send("POST", "/keys", given)).answer,
  end: async (id) => (await send("DELETE", at("keys", id))).answer,
};

export const ownSessions = {
  list: async () => (await call("/session/all")).answer.items,
  end: async (given) => (await send("POST", "/session/end", given)).answer.ended_count,
};

export const ownPassword = (given) => send("POST", "/session/password", given);

/** Reads a whole list into the state; one that fails keeps what was listed before, and says why. */
async function readList(key, place) {
  set({ [key]: { ...state[key], status: "working" } });
  try {
    set({ [key]: { status: "ready", items: await all(place), error: null } });
  } catch (error) {
    if (error.status === undefined) throw error; // a fault of this page, not an answer
    set({ [key]: { ...state[key], status: "failed", error } });
  }
}

export const readAccounts = () => readList("accounts", "accounts");
export const readVessels = () => readList("vessels", "vessels");
export const readSystemKeys = () => readList("systemKeys", "keys");
