/** Talks to the service. Every failure becomes a ServiceError that can be shown as it is. */

const BASE = "/api/v1";
const HEADERS = { "X-Wheelover": "1" };

export class ServiceError extends Error {
  constructor({ title, detail, status = null, errors = [], unreachable = false }) {
    super(detail || title);
    Object.assign(this, { title, detail, status, errors, unreachable });
  }
}

/** What to do when the server was reached or not; set by main, so that this file draws nothing. */
export const contact = { reached() {}, lost() {} };

/** Fetches, telling apart "no answer" and "an answer we asked to stop waiting for". */
async function ask(path, options) {
  try {
    const response = await fetch(path, { ...options, headers: { ...HEADERS, ...options.headers } });
    const text = await response.text();
    contact.reached();
    return { response, text };
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
  return new ServiceError({
    title: problem.title || `The server answered ${response.status}`,
    detail: [problem.detail, wait && `Try again after ${wait} s.`].filter(Boolean).join(" ") || "No reason was given.",
    status: response.status,
    errors: Array.isArray(problem.errors) ? problem.errors : [],
  });
}

/** Asks and returns {answer, text}; throws on anything that is not a JSON answer. */
async function call(path, options = {}) {
  const { response, text } = await ask(BASE + path, options);
  if (!response.ok) throw refusal(response, text);
  const answer = parsed(text);
  if (answer === null) throw new ServiceError({ title: "Unreadable answer", detail: "The answer of the server is not JSON. Nothing from it is shown.", status: response.status });
  return { answer, text };
}

export async function readRoute(blob, fileName) {
  const body = new FormData();
  body.append("file", blob, fileName);
  return (await call("/routes/read", { method: "POST", body })).answer;
}

export async function demonstration() {
  return (await call("/demonstration")).answer;
}

/**
 * The request as JSON. The dangers go in as the text of their file: written anew from a parsed copy, a
 * member that stands there twice would be lost before the service could refuse it.
 */
function planBody(request, hazardsText) {
  if (!hazardsText) return JSON.stringify(request);
  const { hazards, ...rest } = request;
  return `${JSON.stringify(rest).slice(0, -1)},"hazards":${hazardsText}}`;
}

export function computePlan(request, hazardsText, signal) {
  return call("/plan", {
    method: "POST",
    body: planBody(request, hazardsText),
    headers: { "Content-Type": "application/json" },
    signal,
  });
}

/** Whether the server answers at all; any answer counts. */
export async function ping() {
  try {
    await fetch("/healthz", { headers: HEADERS, cache: "no-store" });
    contact.reached();
  } catch {
    contact.lost();
  }
}
