/** Talking with the server: every answer comes back as an object, nothing is thrown. */

import { say } from "./words.js";

const PATIENCE = 20_000;

/**
 * Read what the server said.
 *
 * `kind` is "ok", "refused" (a sentence for the person), "again" (worth trying later) or
 * "signed-out". The sentence of the server is preferred to any of ours.
 */
export function judge(status, data) {
  if (status >= 200 && status < 300 && data !== null) return { kind: "ok", status, data };
  const told = data && typeof data.error === "string" ? data.error : null;
  if (status === 401 || (status < 400 && data === null)) {
    return { kind: "signed-out", status, data, error: told ?? say("server.signed_out") };
  }
  if (status >= 500 || status === 408 || status === 429) {
    return { kind: "again", status, data, error: told ?? say("server.failed") };
  }
  return { kind: "refused", status, data, error: told ?? say("server.refused") };
}

/** Parse JSON, or answer null: a login page or a proxy's error page is not JSON. */
export function parse(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

async function ask(url, options) {
  let response;
  try {
    response = await fetch(url, { credentials: "same-origin", redirect: "manual", ...options });
  } catch {
    return { kind: "offline", status: 0, data: null, error: say("server.offline") };
  }
  let text = "";
  try {
    text = await response.text();
  } catch {
    return { kind: "offline", status: 0, data: null, error: say("server.offline") };
  }
  return judge(response.status, parse(text));
}

export function postJson(url, body, csrf) {
  const headers = {
    "Content-Type": "application/json",
    Accept: "application/json",
    "X-CSRFToken": csrf,
  };
  return ask(url, { method: "POST", headers, body: JSON.stringify(body) });
}

/** A form as a page would send it, answered in JSON; a network that hangs counts as away. */
export function postForm(url, fields, csrf) {
  const headers = { Accept: "application/json", "X-CSRFToken": csrf };
  const body = new URLSearchParams(fields);
  return ask(url, { method: "POST", headers, body, signal: AbortSignal.timeout?.(PATIENCE) });
}

export function getJson(url) {
  return ask(url, { headers: { Accept: "application/json" } });
}
