/** Stored limit sets. */

import { all, call, send } from "../api.js";

const path = (id) => `/limit-sets/${encodeURIComponent(id)}`;

export const limitSets = {
  all: () => all("limit-sets"),
  create: async (set) => (await send("POST", "/limit-sets", set)).answer,
  read: (id) => call(path(id)),
  edition: async (id, number) => (await call(`${path(id)}${number ? `/editions/${number}` : ""}`)).answer,
  put: async (id, set, etag) => (await send("PUT", path(id), set, { etag })).answer,
};
