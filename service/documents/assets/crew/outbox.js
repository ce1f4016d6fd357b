// Batches of entries, and photos, that wait for the network. Each is sent in the order it was made, under its
// own idempotency key, until there is an answer; what is refused is set aside with its reason, and the rest goes on.

import { uuid7 } from "./page.js";
import * as server from "./server.js";
import * as store from "./store.js";

// An act can be undone for so long before it is sent.
export const UNDO_MS = 6000;
const RETRY_MS = [2000, 5000, 15000, 30000];
const NOT_NOW = [408, 425, 429, 500, 502, 503, 504];

let running = false;
let failures = 0;
let timer = null;
let told = () => {};

/** Say what changed to whoever shows it. */
export function listen(listener) {
  told = listener;
  addEventListener("online", () => soon(0));
}

/**
 * Keep a batch of entries of a job, or something else that the service is asked for under the job's address with a
 * `body`; it is sent by itself. Returns what undoes it.
 */
export async function add(job, asked) {
  const batch = { ...asked, key: uuid7(server.now()), job, until: Date.now() + UNDO_MS, state: "waiting" };
  const order = await store.put("batches", batch);
  told();
  soon(UNDO_MS);
  return async () => {
    // In one step, so that what is being sent is not taken back, and what was taken back is not sent.
    const undone = await store.change("batches", order, (kept) => (mine(kept) ? store.REMOVED : null));
    told();
    return undone === store.REMOVED;
  };
}

const mine = (batch) => batch.state === "waiting" && !batch.sending;

/** Keep a photo under an id of its own; it is sent by itself. */
export async function addPhoto(job, blob, query = {}) {
  const id = uuid7(server.now());
  await store.put("photos", { id, job, blob, query, state: "waiting" });
  told();
  soon(0);
  return id;
}

export const waiting = async () =>
  [...(await store.all("batches")), ...(await store.all("photos"))].filter((each) => each.state !== "sent");

export function soon(milliseconds) {
  clearTimeout(timer);
  timer = setTimeout(send, milliseconds);
}

/** Send what waits; one sender at a time, also where the page is open twice. */
export async function send() {
  if (running) return;
  running = true;
  try {
    if (navigator.locks) await navigator.locks.request("baywright-send", { ifAvailable: true }, (lock) => lock && sendAll());
    else await sendAll();
  } finally {
    running = false;
  }
  const rest = (await waiting()).filter((each) => each.state === "waiting");
  if (rest.length) soon(RETRY_MS[Math.min(failures, RETRY_MS.length - 1)]);
}

/** Whether an act can still be undone; a clock that was put back in between makes nothing wait longer. */
const waits = (until) => until > Date.now() && until - Date.now() <= UNDO_MS;

async function sendAll() {
  for (const batch of await store.all("batches")) {
    if (batch.state !== "waiting" || waits(batch.until)) continue;
    const taken = await store.change("batches", batch.order, (kept) => (kept.state === "waiting" ? { ...kept, sending: true } : null));
    if (taken === null) continue;
    const answer = await server.call(
      "POST", `/v1/jobs/${batch.job}/${batch.path ?? "entries"}`, batch.body ?? { entries: batch.entries }, { "Idempotency-Key": batch.key });
    if (!(await settled("batches", { ...batch, sending: false }, batch.order, answer))) return;
  }
  // A photo of a part that nobody planned comes after the part.
  const awaited = (await store.all("batches")).filter((each) => each.state === "waiting").flatMap((each) => each.body?.cavities ?? []);
  for (const photo of await store.all("photos")) {
    if (photo.state !== "waiting" || awaited.some((each) => each.label === photo.query.cavity)) continue;
    const query = new URLSearchParams(photo.query);
    const answer = await server.call(
      "PUT", `/v1/jobs/${photo.job}/photos/${photo.id}?${query}`, photo.blob, { "Content-Type": "image/jpeg" });
    if (!(await settled("photos", photo, photo.id, answer))) return;
  }
}

async function settled(name, thing, key, answer) {
  if (answer === null || NOT_NOW.includes(answer.status) || answer.status === 401) {
    failures += 1;
    if (name === "batches") await store.put(name, thing);
    told({ closed: answer?.status === 401, offline: answer === null });
    return false;
  }
  failures = 0;
  if (answer.status < 300) {
    // A batch is kept as sent until the ledger or the plan was read again with it in, so that it is never out of sight.
    if (name === "batches" && (!thing.path || thing.path === "supplements")) await store.put(name, { ...thing, state: "sent" });
    else await store.remove(name, key);
  } else {
    await store.put(name, { ...thing, state: "refused", problem: reason(answer) });
  }
  told({ sent: true });
  return true;
}

function reason(answer) {
  const problem = answer.body ?? {};
  const faults = (problem.errors ?? []).map((each) => each.detail);
  return { code: problem.code ?? null, words: faults.length ? faults : [problem.detail ?? String(answer.status)] };
}

/** Try a refused batch or photo once more. */
export async function again(name, key) {
  const thing = await store.get(name, key);
  // Under another idempotency key: the one it had is answered as it was.
  await store.put(name, { ...thing, key: uuid7(server.now()), state: "waiting", until: 0, problem: null });
  soon(0);
}

/** Everything unsent as one file, which the office can post: the entries of a job as `entries`, photos beside. */
export async function asFile() {
  const batches = (await store.all("batches")).filter((each) => each.state !== "sent");
  const photos = await Promise.all((await store.all("photos")).map(async (each) => ({
    job: each.job, id: each.id, ...each.query, content: await base64(each.blob),
  })));
  const jobs = {};
  const supplements = {};
  for (const batch of batches) {
    if (batch.path === "supplements") (supplements[batch.job] ??= []).push(batch.body);
    else if (batch.entries.length) (jobs[batch.job] ??= []).push(...batch.entries);
  }
  const content = { format: "baywright-entries-1", jobs, photos, supplements };
  return new Blob([JSON.stringify(content)], { type: "application/json" });
}

async function base64(blob) {
  const bytes = new Uint8Array(await blob.arrayBuffer());
  let text = "";
  for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
  return btoa(text);
}
