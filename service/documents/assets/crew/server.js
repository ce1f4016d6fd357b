// The public API, by the crew's link. The token travels in a header, never in an address.

import * as store from "./store.js";

const STOPS_AFTER_MS = 20000;
let offset = 0;

/** Take the token from the address, where a link was opened, else the one that is kept. */
export async function begin() {
  // Taken before anything is waited for: whatever is shown meanwhile has an address of its own.
  const token = isLink() ? location.hash.slice(1) : null;
  if (token) history.replaceState(null, "", location.pathname);
  offset = (await store.get("settings", "clock")) ?? 0;
  if (token) await store.put("settings", token, "token");
  return (await store.get("settings", "token")) !== undefined;
}

/** Whether the address is a crew's link, as it came in a message. */
export const isLink = () => /^#bw_[\w-]+$/.test(location.hash);

/** Now, by the server's clock as far as it is known; and what the phone's clock was put right by, in seconds. */
export const now = () => Date.now() + offset * 1000;
export const clockOffset = () => offset;

/** An answer, or null without a network: `{status, body}`. */
export async function call(method, path, body, headers = {}) {
  const stop = AbortSignal.timeout(STOPS_AFTER_MS);
  // Read each time: another tab may have been given a newer link.
  const token = await store.get("settings", "token");
  const sent = { Authorization: `Bearer ${token}`, ...headers };
  if (body !== undefined && !(body instanceof Blob)) {
    sent["Content-Type"] = "application/json";
    body = JSON.stringify(body);
  }
  let response;
  try {
    response = await fetch(path, { method, body, headers: sent, signal: stop, cache: "no-store", credentials: "omit" });
    await learnClock(response);
    const json = (response.headers.get("Content-Type") ?? "").includes("json");
    return { status: response.status, body: json ? await response.json() : null };
  } catch {
    return null;
  }
}

async function learnClock(response) {
  // A proxy may have added a date of its own: the first one is the service's.
  const [first] = /\w{3}, \d{2} \w{3} \d{4} [\d:]{8} GMT/.exec(response.headers.get("Date") ?? "") ?? [""];
  const said = Date.parse(first);
  if (Number.isNaN(said)) return;
  const seconds = Math.floor((said - Date.now()) / 1000);
  // Two seconds are the way that the answer took, and what a header in whole seconds leaves out.
  const learned = Math.abs(seconds) <= 2 ? 0 : seconds;
  if (learned !== offset) {
    offset = learned;
    await store.put("settings", offset, "clock");
  }
}
