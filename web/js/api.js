/** Talks to the service. Every failure becomes a ServiceError that can be shown as it is. */

const BASE = "/api/v1";
const HEADERS = { "X-Wheelover": "1" };

export class ServiceError extends Error {
  constructor({ title, detail, status = null, kind = null, errors = [], unreachable = false }) {
    super(detail || title);
    Object.assign(this, { title, detail, status, kind, errors, unreachable });
  }
}

/** What to do when the server was reached or not, or knows nobody; set by main, so that this file draws nothing. */
export const contact = { reached() {}, lost() {}, unknown() {} };

/** How long an answer is waited for, unless the caller can stop waiting; a large body gets the time of a slow link. */
const LIMIT_MS = 60_000;
const CHANGE_LIMIT_MS = 20_000;
const SLOW_LINK_BYTES_PER_MS = 4;
const PING_LIMIT_MS = 3000;

function limitFor({ method, body }) {
  if (body instanceof FormData) return LIMIT_MS * 5;
  return method === "PUT" ? CHANGE_LIMIT_MS + body.length / SLOW_LINK_BYTES_PER_MS : LIMIT_MS;
}

/** Fetches, telling apart "no answer" and "an answer we asked to stop waiting for". `as` is text or blob. */
async function ask(path, options, as = "text") {
  try {
    const signal = options.signal || AbortSignal.timeout(limitFor(options));
    const response = await fetch(path, { ...options, signal, headers: { ...HEADERS, ...options.headers } });
    const body = await response[as]();
    contact.reached();
    return { response, body };
  } catch (error) {
    if (error.name === "AbortError") throw error;
    contact.lost();
    throw new ServiceError({ title: "No answer from the server", detail: "The request did not reach the server, or the link broke.", unreachable: true });
  }
}

/** The body as an object, or null where it is not JSON. */
function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** Turns a refusal (problem+json or not) into an error with everything the service said. */
function refusal(response, text) {
  const problem = parsed(text) || {};
  const wait = response.headers.get("Retry-After");
  if (response.status === 401) contact.unknown();
  return new ServiceError({
    title: problem.title || `The server answered ${response.status}`,
    detail: [problem.detail, wait && `Try again after ${wait} s.`].filter(Boolean).join(" ") || "No reason was given.",
    status: response.status,
    kind: String(problem.type || "").replace("/problems/", ""),
    errors: Array.isArray(problem.errors) ? problem.errors : [],
  });
}

/** Asks and returns {answer, text, etag}, or null for "not modified"; throws on anything that is not a JSON answer. */
export async function call(path, options = {}) {
  const { response, body: text } = await ask(BASE + path, options);
  if (response.status === 304) return null;
  if (response.status === 204) return { answer: null, text: "", etag: null };
  if (!response.ok) throw refusal(response, text);
  const answer = parsed(text);
  if (answer === null) throw new ServiceError({ title: "Unreadable answer", detail: "The answer of the server is not JSON. Nothing from it is shown.", status: response.status });
  return { answer, text, etag: response.headers.get("ETag") };
}

/** Sends JSON; `body` may be text that is JSON already. `etag` says which state the change is a change of. */
export function send(method, path, body, { etag, signal } = {}) {
  return call(path, {
    method,
    signal,
    body: body === undefined ? undefined : typeof body === "string" ? body : JSON.stringify(body),
    headers: { ...(body !== undefined && { "Content-Type": "application/json" }), ...(etag && { "If-Match": etag }) },
  });
}

export const NEEDS_SERVER = "A position needs the server, which does not answer now. Nothing is lost; try again when it is back.";

/** Asks for something only the server can work out; without an answer, that is what is said. */
async function needing(request) {
  try {
    return (await request).answer;
  } catch (error) {
    if (error.unreachable) throw new ServiceError({ title: error.title, detail: NEEDS_SERVER, unreachable: true });
    throw error;
  }
}

const planPath = (id) => `/plans/${encodeURIComponent(id)}`;

export async function readRoute(blob, fileName) {
  const body = new FormData();
  body.append("file", blob, fileName);
  return (await call("/routes/read", { method: "POST", body })).answer;
}

export async function demonstration() {
  return (await call("/demonstration")).answer;
}

/** Computes a part of a route, storing nothing; for the waypoint being moved. */
export async function computePlan(request, signal) {
  return needing(send("POST", "/plan", request, { signal }));
}

/** What the legs and turns about a waypoint clear where it is moved to. */
export async function checkMoved(request, signal) {
  return (await send("POST", "/plan/moved", request, { signal })).answer;
}

export const plans = {
  list: async (cursor) => (await call(`/plans?limit=50${cursor ? `&cursor=${encodeURIComponent(cursor)}` : ""}`)).answer,
  inUse: async () => (await call("/plans?in_use=true")).answer.items,
  create: (inputs) => send("POST", "/plans", inputs),
  read: (id) => call(planPath(id)),
  newer: (id, etag) => call(planPath(id), { headers: { "If-None-Match": etag } }),
  put: (id, inputs, etag) => send("PUT", planPath(id), inputs, { etag }),
  undo: (id, etag) => send("POST", `${planPath(id)}/undo`, undefined, { etag }),
  redo: (id, etag) => send("POST", `${planPath(id)}/redo`, undefined, { etag }),
  computed: (id, signal) => call(`${planPath(id)}/computed`, { signal }),
  offer: (id, offer, etag) => send("POST", `${planPath(id)}/revisions`, offer, { etag }),
  sync: async (id) => (await call(`${planPath(id)}/sync`)).answer,
  settle: (id, conflict, pick) => send("POST", `${planPath(id)}/conflicts/${encodeURIComponent(conflict)}`, pick),
  amend: (id, amendment, etag) => send("POST", `${planPath(id)}/amendments`, amendment, { etag }),
};

/** The pen of a draft: who may edit it just now. */
export const pens = {
  look: async (id) => (await call(`${planPath(id)}/pen`)).answer,
  take: async (id) => (await send("POST", `${planPath(id)}/pen`, { take: true })).answer,
  ask: async (id, note) => (await send("POST", `${planPath(id)}/pen`, { ask: note })).answer,
  layDown: async (id) => (await send("DELETE", `${planPath(id)}/pen`)).answer,
};

const revisionPath = (id, number) => `${planPath(id)}/revisions/${number}`;

/** A frozen revision, and what is recorded beside it; each act answers with the whole record. */
export const revisions = {
  read: (id, number) => call(revisionPath(id, number)),
  record: (id, number, etag = null) => call(`${revisionPath(id, number)}/record`, etag ? { headers: { "If-None-Match": etag } } : {}),
  recomputed: async (id, number) => (await call(`${revisionPath(id, number)}/recomputed`)).answer,
  decide: (id, number, decision, etag) => send("POST", `${revisionPath(id, number)}/decisions`, decision, { etag }),
  keep: (id, number, kind, body) => send("POST", `${revisionPath(id, number)}/${kind}`, body),
};

/** Review: what differs between two revisions. */
export const review = {
  difference: (id, was, now) => call(`${planPath(id)}/differences?was=${was}&now=${now}`),
};

/** Threads. A note carries an id of its own, so that the same one may be sent again. */
export const threads = {
  list: async (id) => (await call(`${planPath(id)}/threads`)).answer,
  send: ({ plan_id: id, thread_id: thread, kind }, body) => send("POST", `${planPath(id)}/threads${kind === "thread" ? "" : `/${encodeURIComponent(thread)}/${{ note: "notes", resolve: "resolve", reopen: "reopen" }[kind]}`}`, body),
};

/** Why findings stand as they are, and what the master says to it. */
export const explanations = {
  list: async (id) => (await call(`${planPath(id)}/explanations`)).answer.items,
  create: (id, body) => send("POST", `${planPath(id)}/explanations`, body),
  answer: (id, one, body) => send("POST", `${planPath(id)}/explanations/${encodeURIComponent(one)}/answers`, body),
};

/** This installation and those it is paired with. */
export const peers = {
  self: async () => (await call("/peers/self")).answer,
  name: async (given) => (await send("PUT", "/peers/self", given)).answer,
  list: async () => (await call("/peers")).answer.items,
  read: async (id) => (await call(`/peers/${encodeURIComponent(id)}`)).answer,
  pair: async (given) => (await send("POST", "/peers", given)).answer,
  revoke: async (id) => (await send("DELETE", `/peers/${encodeURIComponent(id)}`)).answer,
  make: async (id, given) => (await send("POST", `/peers/${encodeURIComponent(id)}/parcels`, given)).answer,
};

const PARCEL = "application/vnd.wheelover.parcel";
const bring = async (method, path, body, more = {}) => (await call(path, { method, body, headers: { "Content-Type": PARCEL, ...more }, signal: AbortSignal.timeout(LIMIT_MS * 5) })).answer;

/** Parcels that come, whole or in chunks. */
export const parcels = {
  take: (bytes) => bring("POST", "/parcels", bytes),
  begin: async (upload) => (await send("POST", "/parcels/uploads", upload)).answer,
  chunk: (id, number, bytes, digest) => bring("PUT", `/parcels/uploads/${id}/chunks/${number}`, bytes, { "Content-Digest": `sha-256=:${digest}:` }),
  finish: async (id) => (await send("POST", `/parcels/uploads/${id}/finish`)).answer,
};

/** Where a file of the draft at an edit, or of a frozen revision, is saved from. */
export function exportAddress(id, format, { edit, revision }) {
  return `${BASE}${planPath(id)}${revision ? `/revisions/${revision}` : ""}/export/${format}${revision ? "" : `?edit=${edit}`}`;
}

/** A file with its name, and what the service says could not be put into it. */
export async function fetchFile(address, signal) {
  const { response, body } = await ask(address, signal ? { signal } : {}, "blob");
  if (!response.ok) throw refusal(response, await body.text());
  const name = /filename\*=UTF-8''([^;]+)/.exec(response.headers.get("Content-Disposition") || "");
  return { body, name: name ? decodeURIComponent(name[1]) : null, warnings: decodeURIComponent(response.headers.get("X-Wheelover-Warnings") || "") };
}

/** How far a file is that is being made for whoever waits with that word. */
export const exportProgress = async (word) => (await call(`/exports/${encodeURIComponent(word)}`)).answer;

/** Every item of a list, page by page. */
export async function all(place) {
  const items = [];
  let cursor = null;
  do {
    const { answer } = await call(`/${place}?limit=100${cursor ? `&cursor=${encodeURIComponent(cursor)}` : ""}`);
    items.push(...answer.items);
    cursor = answer.next_cursor;
  } while (cursor);
  return items;
}

export const ships = {
  all: () => all("ships"),
  create: (ship) => send("POST", "/ships", ship),
  read: (id) => call(`/ships/${encodeURIComponent(id)}`),
  edition: (id, number) => call(`/ships/${encodeURIComponent(id)}/editions/${number}`),
  put: (id, ship, etag) => send("PUT", `/ships/${encodeURIComponent(id)}`, ship, { etag }),
};

export const shipPapers = {
  fit: (papers, signal) => send("POST", "/ships/fit", papers, { signal }),
  read: async (blob, fileName) => {
    const body = new FormData();
    body.append("file", blob, fileName);
    return (await call("/ships/fit/read", { method: "POST", body })).answer;
  },
};

/**
 * The dangers go in as the text of their file: written anew from a parsed copy, a member that stands
 * there twice would be lost before the service could refuse it.
 */
const namedStart = (name) => `{"name":${JSON.stringify(name)},"hazards":`;

/** Columns on the first line are those of the file, not of what stands before it; the service counts bytes. */
async function inFile(name, request) {
  try {
    return await request;
  } catch (error) {
    const before = new TextEncoder().encode(namedStart(name)).length;
    const shifted = (line, column) => (Number(line) === 1 && column > before ? column - before : column);
    error.errors?.forEach((one) => { if (one.column) one.column = shifted(one.line, one.column); });
    error.detail = error.detail?.replace(/\bline (\d+) column (\d+)/, (_, line, column) => `line ${line} column ${shifted(line, Number(column))}`);
    throw error;
  }
}

const sendNamed = (method, path, name, text, etag) => inFile(name, send(method, path, `${namedStart(name)}${text}}`, { etag }));

export const hazardSets = {
  all: () => all("hazard-sets"),
  create: (name, text) => sendNamed("POST", "/hazard-sets", name, text),
  read: (id) => call(`/hazard-sets/${encodeURIComponent(id)}`),
  edition: (id, number) => call(`/hazard-sets/${encodeURIComponent(id)}${number ? `/editions/${number}` : ""}`),
  put: (id, name, text, etag) => sendNamed("PUT", `/hazard-sets/${encodeURIComponent(id)}`, name, text, etag),
};

export const positions = {
  read: (text) => needing(send("POST", "/positions/read", { text })),
  offset: ({ lat_deg, lon_deg }, bearing_deg, distance_nm) => needing(send("POST", "/positions/offset", { from: { lat_deg, lon_deg }, bearing_deg, distance_nm })),
};

const bare = ({ lat_deg, lon_deg }) => ({ lat_deg, lon_deg });

/** Waits until whoever asks gives up, and no longer than for any other answer. */
const within = (signal) => AbortSignal.any([signal, AbortSignal.timeout(LIMIT_MS)]);

/** A plan at other departures; at most as long as any other answer takes. */
export const departures = { move: async (request) => (await send("POST", "/plan/departures", request)).answer };

export const turns = {
  card: async (request, signal) => (await send("POST", "/turns/card", request, { signal: within(signal) })).answer,
  aboutMarkBetween: ({ mark, radius_nm, before, after }) =>
    needing(send("POST", "/turns/about-mark-between", { mark, radius_nm, before: bare(before), after: bare(after) })),
};

/** Who is signed in, and over which link. */
export const session = {
  look: async () => (await call("/session")).answer,
  signIn: async (given) => (await send("POST", "/session", given)).answer,
  enrol: async (given) => (await send("POST", "/session/enrolment", given)).answer,
  unlock: (password) => send("POST", "/session/unlock", { password }),
  signOut: () => send("DELETE", "/session"),
  /** Where the shore office signs in; afterwards the browser comes back to the page that is open, its card and all. */
  outside: ({ again = false } = {}) => `${BASE}/sign-in/outside?${again ? "again=true&" : ""}to=${encodeURIComponent(location.pathname + location.search + location.hash)}`,
};

/** Whether the server answers at all; any answer counts. */
export async function ping() {
  try {
    await fetch("/healthz", { headers: HEADERS, cache: "no-store", signal: AbortSignal.timeout(PING_LIMIT_MS) });
    contact.reached();
  } catch {
    contact.lost();
  }
}
