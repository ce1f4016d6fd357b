// The crew's page: what is assigned, what was recorded, and what waits; a client of the public API.

import { checksView } from "./checks.js";
import { bagsView, dayEndView, deliveryView, noteView, photoView } from "./day.js";
import { holeView } from "./hole.js";
import { correctView, ledgerView } from "./ledger.js";
import * as outbox from "./outbox.js";
import { h, stamp, uuid7 } from "./page.js";
import { differsView, fillView, partView, takenOutView } from "./part.js";
import { partsOf, standing } from "./plan.js";
import { coreView, foundView, openBlowView } from "./sample.js";
import * as server from "./server.js";
import * as store from "./store.js";
import { otherwiseView, supplementsView } from "./supplement.js";
import { jobView, readyView, todayView, unsentView, whoView } from "./views.js";
import { language, words } from "./words.js";

const state = {
  who: null, jobs: [], kept: new Map(), batches: [], photos: [], closed: false, online: navigator.onLine,
  persistent: true, started: false,
};

/** What every view is given: what is known, and what it can have done. */
const app = {
  state,
  job,
  proposals,
  ask,
  entries: (id) => standing(told(id)),
  record,
  recordPhoto,
  refresh,
  reload: async () => { await reload(); show(true); },
  go,
  notice,
  setWho,
};

const ROUTES = [
  [/^$/, todayView],
  [/^who$/, whoView],
  [/^unsent$/, unsentView],
  [/^job\/([\w-]+)$/, jobView],
  [/^job\/([\w-]+)\/ready$/, readyView],
  [/^job\/([\w-]+)\/checks\/(before|after)$/, checksView],
  [/^job\/([\w-]+)\/day$/, dayEndView],
  [/^job\/([\w-]+)\/delivery$/, deliveryView],
  [/^job\/([\w-]+)\/bags$/, bagsView],
  [/^job\/([\w-]+)\/ledger$/, ledgerView],
  [/^job\/([\w-]+)\/correct\/([\w-]+)$/, correctView],
  [/^job\/([\w-]+)\/note(?:\/(.+))?$/, noteView],
  [/^job\/([\w-]+)\/photo(?:\/(.+))?$/, photoView],
  [/^job\/([\w-]+)\/part\/([^/]+)$/, partView],
  [/^job\/([\w-]+)\/part\/([^/]+)\/core$/, coreView],
  [/^job\/([\w-]+)\/part\/([^/]+)\/differs$/, differsView],
  [/^job\/([\w-]+)\/part\/([^/]+)\/fill$/, fillView],
  [/^job\/([\w-]+)\/part\/([^/]+)\/out$/, takenOutView],
  [/^job\/([\w-]+)\/part\/([^/]+)\/hole$/, holeView],
  [/^job\/([\w-]+)\/part\/([^/]+)\/found$/, foundView],
  [/^job\/([\w-]+)\/part\/([^/]+)\/depths$/, openBlowView],
  [/^job\/([\w-]+)\/supplements$/, supplementsView],
  [/^job\/([\w-]+)\/part\/([^/]+)\/otherwise$/, otherwiseView],
];

/** A job as it is known, with the parts of proposals that its plan does not have yet. */
function job(id) {
  const kept = state.kept.get(id);
  const waiting = kept ? proposals(id).flatMap((each) => each.cavities ?? []) : [];
  return waiting.length ? { ...kept, plan: { ...kept.plan, waiting } } : kept;
}

/** What was proposed here and the service has not answered with yet. */
function proposals(id) {
  const there = new Set((state.kept.get(id)?.proposed ?? []).map((each) => each.id));
  return state.batches.filter((each) => each.job === id && each.path === "supplements" && each.state !== "refused" && !there.has(each.body.id))
    .map((each) => each.body);
}

/** Everything that was said of a job: what the server has, and what waits here. */
function told(id) {
  const known = state.kept.get(id)?.entries ?? [];
  const there = new Set(known.map((each) => each.id));
  const waiting = state.batches.filter((batch) => batch.job === id && batch.state !== "refused");
  return [...known, ...waiting.flatMap((batch) => batch.entries).filter((each) => !there.has(each.id))];
}

/** Record entries of a job in one batch, and offer to undo it. */
async function record(job, ...entries) {
  const common = { by: state.who, happened_at: stamp(server.now()) };
  if (server.clockOffset()) common.clock_offset_s = server.clockOffset();
  const made = entries.map((each) => ({ id: each.id ?? uuid7(server.now()), ...common, ...each }));
  await keep(job, { entries: made });
}

/** Ask the service for something beside entries, in one order with them; `said` tells it while it waits. */
async function ask(job, path, body, said) {
  await keep(job, { entries: [], path, body, said });
}

/** Keep something until it is sent, tell so, and offer to undo it. */
async function keep(job, asked) {
  const path = location.hash;
  // Whoever `go`es on first has another form before him when it is kept: what he types there is his.
  const stays = last !== null;
  const undo = await outbox.add(job, asked);
  await reload();
  notice(words("recorded"), async () => {
    const undone = await undo();
    await reload();
    notice(words(undone ? "undone" : "too_late"));
    show(true);
  });
  // Who has gone on to another view in between is not disturbed there.
  show(stays && location.hash === path);
}

async function recordPhoto(job, file, query = {}) {
  const id = await outbox.addPhoto(job, await smaller(file), {
    ...query, taken_at: new Date(file.lastModified).toISOString(),
  });
  await reload();
  return id;
}

/** The picture at 1,600 pixels at most, as JPEG: what waits on a phone must be small. */
async function smaller(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, 1600 / Math.max(picture.width, picture.height));
  const canvas = h("canvas", { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.82));
}

async function setWho(name) {
  state.who = name;
  await store.put("settings", name, "who");
  app.go("");
}

// --- what is known ---------------------------------------------------------------------------------

async function reload() {
  state.batches = await store.all("batches");
  state.photos = await store.all("photos");
  header();
}

/** Ask the server for the jobs of these days, their plans and what was recorded since. */
async function refresh() {
  const answer = await server.call("GET", "/v1/jobs");
  state.online = answer !== null;
  state.closed = answer?.status === 401;
  if (answer?.status === 200) {
    state.jobs = answer.body.items;
    await store.put("settings", state.jobs, "jobs");
    for (const head of state.jobs) await refreshJob(head);
    await forget();
  }
  await reload();
  show();
}

async function refreshJob(head) {
  const kept = state.kept.get(head.id) ?? { id: head.id, plan: null, entries: [], position: 0 };
  const changed = await readPlan(kept, head);
  if (!kept.plan) return;
  const more = await readLedger(kept);
  if (changed || more || !kept.conditions) {
    const found = await server.call("GET", `/v1/jobs/${head.id}/assessment`);
    kept.conditions = found?.status === 200 ? found.body.unmet : null;
  }
  state.kept.set(head.id, kept);
  await store.put("jobs", kept, head.id);
}

/** Supplements bring parts, and take some away: what the phone knows of the plan is asked for anew. */
async function readPlan(kept, head) {
  if (kept.plan && kept.supplements === head.supplements) return false;
  const proposed = head.supplements ? await server.call("GET", `/v1/jobs/${head.id}/supplements`) : null;
  const plan = await server.call("GET", `/v1/jobs/${head.id}/working`);
  if (plan?.status !== 200 || (head.supplements && proposed?.status !== 200)) return false;
  Object.assign(kept, { plan: plan.body, proposed: proposed?.body.items ?? [], supplements: head.supplements });
  return true;
}

/** Read what was committed after what is known; returns whether there was anything. */
async function readLedger(kept) {
  const answer = await server.call("GET", `/v1/jobs/${kept.id}/entries?after=${kept.position}`);
  if (answer?.status !== 200) return false;
  const known = new Map(kept.entries.map((each) => [each.id, each]));
  for (const { data, position, received_at, corrected_by, clock_doubtful, ...each } of answer.body.entries) {
    known.set(each.id, { ...data, ...each });
    kept.position = Math.max(kept.position, position);
  }
  kept.entries = [...known.values()];
  await settle(kept, known);
  return answer.body.entries.length > 0;
}

/** A batch that the ledger has is done with. */
async function settle(kept, known) {
  for (const batch of await store.all("batches")) {
    const mine = batch.job === kept.id && batch.state === "sent";
    const there = !batch.body || (kept.proposed ?? []).some((each) => each.id === batch.body.id);
    if (mine && there && batch.entries.every((each) => known.has(each.id))) await store.remove("batches", batch.order);
  }
}

/** What the phone knew of a client goes when the job is done and nothing of it waits. */
async function forget() {
  const waits = new Set([...(await store.all("batches")), ...(await store.all("photos"))].map((each) => each.job));
  const here = new Set(state.jobs.filter((each) => each.state !== "closed").map((each) => each.id));
  for (const id of state.kept.keys()) {
    if (here.has(id) || waits.has(id)) continue;
    state.kept.delete(id);
    await store.remove("jobs", id);
  }
}

// --- what is shown ---------------------------------------------------------------------------------

function header() {
  const waits = [...state.batches, ...state.photos].filter((each) => each.state !== "sent").length;
  const top = document.getElementById("top");
  top.replaceChildren(
    h("a", { href: "#/", class: "home" }, words("today")),
    h("span", { class: "who" }, state.who ?? ""),
    h("a", { href: "#/unsent", class: waits ? "waits some" : "waits" },
      waits ? words("unsent", { count: waits }) : words("all_sent")),
  );
  if (!state.online) top.append(h("p", { class: "state" }, words("offline")));
  if (state.closed) top.append(h("p", { class: "state" }, words("closed")));
}

let undoTimer = null;

function notice(text, undo) {
  const place = document.getElementById("notice");
  clearTimeout(undoTimer);
  place.replaceChildren(h("span", {}, text), undo ? h("button", { onclick: () => { clear(); undo(); } }, words("undo")) : "");
  place.className = "shown";
  undoTimer = setTimeout(clear, outbox.UNDO_MS - 500);
}

function clear() {
  const place = document.getElementById("notice");
  place.className = "";
  place.replaceChildren();
}

let last = null;
let typing = false;
let seen = null;

/** Go to another view. What this one's form holds is done with: who comes back at once finds it empty. */
function go(path) {
  last = null;
  typing = false;
  location.hash = `#/${path}`;
}

/** What a job's views depend on: a form is not made anew for an answer that says nothing new. */
const sightOf = (id) => (state.kept.has(id) ? `${told(id).length} ${state.kept.get(id).conditions?.length} ${state.kept.get(id).supplements} ${proposals(id).length}` : null);

/** Whether what is shown looks just so already: it is left alone then, for a thumb may be on its way to it. */
const seems = (view, made) => view.childNodes.length === made.length
  && made.every((each, place) => each.isEqualNode(view.childNodes[place]));

/** Show what the address asks for. What is being typed is not taken away by an answer that comes in between. */
function show(anew = false) {
  const path = location.hash.replace(/^#\/?/, "");
  const view = document.getElementById("view");
  // A link that was just opened is taken first.
  if (!state.started || server.isLink()) return;
  if (!state.who && path !== "who") return app.go("who");
  for (const [pattern, make] of ROUTES) {
    const match = pattern.exec(path);
    if (!match) continue;
    const parts = match.slice(1).map((each) => each && decodeURIComponent(each));
    if (parts[0] && path.startsWith("job/") && !state.kept.has(parts[0])) return app.go("");
    if (path.includes("/part/") && !partsOf(job(parts[0]).plan).some((each) => each.label === parts[1])) return app.go(`job/${parts[0]}`);
    const sight = sightOf(parts[0]);
    const same = last === path && sight === seen && view.querySelector("form");
    if (last === path && anew !== true && (typing || same)) return;
    typing = false;
    seen = sight;
    const made = [make(app, ...parts)].flat();
    if (last !== path || anew === true || !seems(view, made)) view.replaceChildren(...made);
    if (last !== path) {
      view.focus({ preventScroll: true });
      scrollTo(0, 0);
    }
    last = path;
    return;
  }
  app.go("");
}

// --- the beginning ---------------------------------------------------------------------------------

async function begin() {
  document.documentElement.lang = language;
  document.title = words("title");
  const linked = await server.begin();
  state.who = (await store.get("settings", "who")) ?? null;
  state.jobs = (await store.get("settings", "jobs")) ?? [];
  for (const kept of await store.all("jobs")) state.kept.set(kept.id, kept);
  state.persistent = await store.keep();
  state.started = true;
  state.closed = !linked;
  outbox.listen(async (change = {}) => {
    if (change.closed) state.closed = true;
    state.online = !change.offline;
    await reload();
    if (change.sent) refreshSoon();
    show();
  });
  for (const act of ["pointerdown", "keydown", "input"]) {
    document.getElementById("view").addEventListener(act, (event) => { if (event.target.closest("form, .point")) typing = true; });
  }
  addEventListener("hashchange", arrive);
  addEventListener("online", refresh);
  addEventListener("offline", () => { state.online = false; header(); show(); });
  if ("serviceWorker" in navigator) navigator.serviceWorker.register("worker.js").catch(() => {});
  await reload();
  show();
  if (linked) await refresh();
  outbox.soon(0);
  setInterval(() => document.visibilityState === "visible" && refresh(), 60000);
}

/** Another view; or another link, opened where the page was open already. */
async function arrive() {
  if (server.isLink()) {
    await server.begin();
    await refresh();
    outbox.soon(0);
  }
  show();
}

let soonTimer = null;

function refreshSoon() {
  clearTimeout(soonTimer);
  soonTimer = setTimeout(refresh, 1500);
}

begin();
