/** Chart cells: imports that are watched, the list, what is in a cell. */

import { all, call, send } from "../api.js";

const path = (id) => `/charts/${encodeURIComponent(id)}`;

export const charts = {
  all: () => all("charts"),
  read: async (id) => (await call(path(id))).answer,
  withdraw: async (id) => (await send("DELETE", path(id))).answer,
  features: async (id, { box, edition, limit }, signal) => (await call(`${path(id)}/features?box=${box.map((one) => one.toFixed(6)).join(",")}&limit=${limit}${edition ? `&edition=${edition}` : ""}`, { signal })).answer,
};

const importPath = (id) => `/charts/imports/${encodeURIComponent(id)}`;

export const imports = {
  begin: async (files) => {
    const body = new FormData();
    files.forEach((file) => body.append("file", file, file.name));
    return (await call("/charts/imports", { method: "POST", body })).answer;
  },
  look: async (id) => (await call(importPath(id))).answer,
  stop: async (id) => (await send("DELETE", importPath(id))).answer,
};

export const coastIndex = async () => (await call("/coastline/index")).answer;
