// Where a crew looks around: its jobs, a job's parts, what still stands in the way, and what waits.

import { at, back, link } from "./form.js";
import { summary } from "./ledger.js";
import * as outbox from "./outbox.js";
import { dayOf, h, shown } from "./page.js";
import { firstWords, partsOf, pointOf, pointsOf, saidOf, spillMissing } from "./plan.js";
import * as server from "./server.js";
import * as store from "./store.js";
import { words } from "./words.js";

export function whoView(app) {
  const input = h("input", { id: "who", name: "who", autocomplete: "off", required: true, maxlength: 80, value: app.state.who ?? "" });
  return h("form", { onsubmit: (event) => { event.preventDefault(); if (input.value.trim()) app.setWho(input.value.trim()); } },
    h("h1", {}, words("who")), h("label", { for: "who" }, words("who_hint")), input,
    h("button", { class: "main" }, words("start")));
}

export function todayView(app) {
  const { jobs, persistent } = app.state;
  return [
    h("h1", {}, words("today")),
    isSecureContext ? null : h("p", { class: "caution" }, words("insecure")),
    persistent ? null : h("p", { class: "caution" }, words("not_persistent")),
    jobs.length ? null : h("p", {}, words("no_jobs")),
    h("ul", { class: "cards" }, jobs.map((job) => h("li", {}, cardOf(app, job)))),
    link("who", words("change_who"), "quiet"),
  ].filter(Boolean);
}

function cardOf(app, job) {
  const kept = app.job(job.id);
  const done = kept ? partsOf(kept.plan).filter((part) => saidOf(part, app.entries(job.id)).done).length : job.parts_done;
  const days = job.days.map((each) => `${each.day} ${each.name}`).join(", ");
  return [
    h("h2", {}, kept ? link(`job/${job.id}`, `${job.number} ${job.reference}`, "title") : `${job.number} ${job.reference}`),
    h("p", {}, days),
    h("p", {}, h("a", { href: `geo:0,0?q=${encodeURIComponent(job.address)}` }, `${job.address}`)),
    h("p", { class: "phones" },
      job.client_phone ? h("a", { href: `tel:${job.client_phone}` }, words("call_client")) : null,
      job.office_phone ? h("a", { href: `tel:${job.office_phone}` }, words("call_office")) : null),
    beforeStart(job),
    h("p", {}, `${words("bags_to_load", { bags: job.bags })} · ${words("parts_done", { done, parts: job.parts })}`),
  ];
}

/** What is missing before a start, and whom to call: the office sees to it. */
function beforeStart(job) {
  const missing = job?.before_start ?? [];
  if (!missing.length) return null;
  return h("div", { class: "caution" }, h("p", {}, words("before_start")),
    h("ul", {}, missing.map((each) => h("li", {}, textOf(each.detail)))),
    h("a", { href: `tel:${missing[0].call}`, class: "act" }, words("call_office")));
}

/** How many points of a stage wait for an answer, as sentences: one that several parts share is one. */
function openPoints(plan, stage, entries) {
  const open = pointsOf(plan, stage, entries).filter((point) => point.open);
  return new Set(open.map((point) => (point.general ? point.code : `${point.code} ${point.cavity}`))).size;
}

export function jobView(app, id) {
  const job = app.job(id);
  const entries = app.entries(id);
  const open = (stage) => openPoints(job.plan, stage, entries);
  return [
    h("h1", {}, `${job.plan.number} ${job.plan.reference}`),
    beforeStart(app.state.jobs.find((each) => each.id === id)),
    h("nav", { class: "acts" },
      link(`job/${id}/checks/before`, `${words("checks_before")} (${open("before")})`),
      link(`job/${id}/delivery`, words("delivery")),
      link(`job/${id}/day`, words("day_end")),
      link(`job/${id}/checks/after`, `${words("checks_after")} (${open("after")})`),
      link(`job/${id}/note`, words("note")),
      link(`job/${id}/photo`, words("photo_shows")),
      link(`job/${id}/ledger`, words("ledger")),
      link(`job/${id}/supplements`, words("supplements")),
      link(`job/${id}/ready`, words("ready"), "wide")),
    h("h2", {}, words("parts")),
    h("ul", { class: "rows" }, partsOf(job.plan).map((part) => h("li", {}, rowOf(app, id, part, saidOf(part, entries))))),
  ].filter(Boolean);
}

function rowOf(app, id, part, said) {
  if (part.awaited) return awaitedRow(id, part);
  const mine = (app.job(id).proposed ?? []).find((each) => each.parts.includes(part.label) && !each.agreed);
  const share = Math.min(1, said.bags / Math.max(part.bags, 0.1));
  return h("a", { href: `#/${at(id, part.label)}`, class: said.done ? "part done" : "part" },
    h("span", { class: "name" }, part.label, part.place ? h("span", { class: "place" }, ` ${part.place}`) : null),
    h("span", { class: "how" }, `${words(`method_${part.method}`)}${part.lance ? ` ${part.lance}` : ""}`),
    h("span", { class: "figures" },
      `${words("planned_bags", { bags: shown(part.bags, 1) })} · ${words("emptied_bags", { bags: shown(said.bags, 1) })}`),
    mine ? h("span", { class: "figures" }, words("not_accepted", { number: mine.number })) : null,
    h("progress", { max: 1, value: share, "aria-hidden": "true" }),
    h("span", { class: "sign" }, said.done ? `✓ ${words("done")}` : words("open")));
}

const awaitedRow = (id, part) => h("a", { href: `#/${at(id, part.label)}`, class: "part" },
  h("span", { class: "name" }, part.label), h("span", { class: "figures" }, words("plan_awaited")));

export function readyView(app, id) {
  const job = app.job(id);
  const todo = todoOf(app, id, job);
  const seen = job.conditions ?? [];
  return [
    h("h1", {}, words("ready")),
    todo.length || seen.length ? null : h("p", { class: "good" }, words("nothing_missing")),
    todo.length ? h("h2", {}, words("missing_here")) : null,
    h("ul", { class: "rows" }, todo.map(([path, text]) => h("li", {}, link(path, text)))),
    app.state.online ? null : h("p", {}, words("needs_network")),
    seen.length ? h("h2", {}, words("seen_there")) : null,
    h("ul", { class: "conditions" }, seen.map((each) => h("li", {},
      h("p", {}, named(each) ? null : h("strong", {}, `${each.cavity}: `), inWords(job, each, each.detail)),
      h("p", {}, inWords(job, each, each.remedy)),
      mending(id, job, each)))),
    h("button", { class: "main", onclick: app.refresh }, words("refresh")),
    back(`job/${id}`),
  ].filter(Boolean);
}

/** Whether a sentence begins with its part, or is of none: then it is not told twice. */
const named = ({ cavity, detail }) => !cavity || [":", "/"].some((mark) => textOf(detail).startsWith(cavity + mark));

const asked = (job, { code, subject }) => (/^(hold_point|check|reading)_/.test(code) ? pointOf(job.plan, subject) : undefined);

/** A sentence of a hold point with the point's own first words in the place of its code. */
function inWords(job, condition, said) {
  const point = asked(job, condition);
  return point ? textOf(said).replaceAll(condition.subject, `“${firstWords(point)}”`) : textOf(said);
}

/** The tap that mends what the service sees, where the crew can. */
function mending(id, job, condition) {
  const { code, cavity } = condition;
  const stage = asked(job, condition)?.stage ?? "before";
  const checks = [`checks/${stage}`, `checks_${stage}`];
  const [path, name] = {
    hold_point_open: checks, check_stopped: checks, reading_missing: checks, hold_point_late: ["ledger", "ledger"],
    counted_twice: ["ledger", "ledger"], spill_missing: ["day", "day_end"],
    stock_unreconciled: ["day", "day_end"], lot_missing: ["ledger", "ledger"], material_not_offered: ["ledger", "ledger"],
  }[code] ?? [];
  if (path) return link(`job/${id}/${path}`, words(name));
  if (code === "part_not_accepted") return link(`job/${id}/supplements`, words("supplements"));
  return cavity ? link(at(id, cavity), cavity) : null;
}

const textOf = (said) => (typeof said === "string" ? said : said?.text ?? "");

/** What this phone knows to be missing, each with the tap that mends it. */
function todoOf(app, id, job) {
  const entries = app.entries(id);
  const todo = [];
  for (const stage of ["before", "after"]) {
    const count = openPoints(job.plan, stage, entries);
    if (count) todo.push([`job/${id}/checks/${stage}`, words(stage === "before" ? "todo_checks" : "todo_after", { count })]);
  }
  for (const part of partsOf(job.plan)) {
    const said = saidOf(part, entries);
    const path = at(id, part.label);
    if (!said.done) todo.push([path, words("todo_part", { part: part.label })]);
    const missing = part.samples - said.cores.length;
    if (missing > 0) todo.push([path, words("todo_cores", { part: part.label, missing })]);
  }
  if (spillMissing(entries).size) todo.push([`job/${id}/day`, words("todo_spill")]);
  const deliveries = entries.filter((each) => each.kind === "delivery");
  if (!deliveries.some((each) => each.bags || each.mass_kg)) todo.push([`job/${id}/delivery`, words("todo_delivery")]);
  if (!deliveries.some((each) => each.left_over !== undefined && each.left_over !== null)) todo.push([`job/${id}/day`, words("todo_left")]);
  return todo;
}

export function unsentView(app) {
  const things = [
    ...app.state.batches.map((each) => ({ ...each, name: "batches", at: each.order })),
    ...app.state.photos.map((each) => ({ ...each, name: "photos", at: each.id, entries: [{ kind: "photo" }] })),
  ].filter((each) => each.state !== "sent");
  return [
    h("h1", {}, words("unsent_title")),
    things.length ? null : h("p", {}, words("all_sent")),
    h("ul", { class: "conditions" }, things.map((each) => h("li", {},
      each.said ?? each.entries.map((entry) => [entry.cavity, summary(entry)].filter(Boolean).join(": ")).join("; "), " ",
      each.state === "refused" ? refusedOf(app, each) : words("sent_soon")))),
    things.length ? h("button", { class: "main", onclick: save }, words("save_file")) : null,
  ].filter(Boolean);
}

function refusedOf(app, thing) {
  const after = async (work) => { await work; await app.reload(); };
  return h("div", {},
    h("p", { class: "caution" }, words("refused", { reason: thing.problem.words.join(" ") })),
    h("div", { class: "answers" },
      h("button", { type: "button", onclick: () => after(outbox.again(thing.name, thing.at)) }, words("try_again")),
      h("button", { type: "button", class: "stop", onclick: () => after(store.remove(thing.name, thing.at)) }, words("drop"))));
}

async function save() {
  const address = URL.createObjectURL(await outbox.asFile());
  h("a", { href: address, download: `baywright-${dayOf(server.now())}.json` }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}
