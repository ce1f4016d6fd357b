// Where a crew says what it did: a part, a core, what differs, checks, deliveries and the end of a day.

import { elevation } from "./drawing.js";
import { choice, numberField } from "./keypad.js";
import { h, shown } from "./page.js";
import { allows, coreDensity, depthOf, isGeneral, partsOf, place, pointsOf, saidOf } from "./plan.js";
import { link } from "./views.js";
import { theirs, words } from "./words.js";

const partOf = (app, id, label) => partsOf(app.job(id).plan).find((part) => part.label === label);
const at = (id, label, more = "") => `job/${id}/part/${encodeURIComponent(label)}${more}`;

function form(save, ...children) {
  return h("form", { novalidate: true, onsubmit: (event) => { event.preventDefault(); save(event.currentTarget); } }, ...children);
}

// --- a part ----------------------------------------------------------------------------------------

export function partView(app, id, label) {
  const part = partOf(app, id, label);
  const said = saidOf(part, app.entries(id));
  return [
    h("h1", {}, part.label),
    h("p", { class: "figures" }, [
      words(`element_${part.element}`), words("area", { area: shown(part.areaM2, 1) }),
      words("depth_mm", { depth: shown(part.depthMm) }), words("planned_bags", { bags: shown(part.bags, 1) }),
      words(`method_${part.method}`) + (part.lance ? ` ${part.lance}` : ""),
    ].join(" · ")),
    part.settings ? h("p", {}, theirs(part.settings)) : null,
    part.holes.length ? elevation(part, words, new Set(), () => {}) : null,
    part.samples ? h("p", {}, words("sample_bays", { bays: part.sampleBays.join(", ") || "–" })) : null,
    recordedOf(app, id, part, said),
    part.open ? link(at(id, label, "/depths"), words("depths")) : link(at(id, label, "/core"), words("core")),
    doneForm(app, id, part, said),
    h("nav", { class: "acts" },
      link(at(id, label, "/differs"), words("differs")), link(at(id, label, "/found"), words("found")),
      link(`job/${id}/note/${encodeURIComponent(label)}`, words("note")), photoButton(app, id, { cavity: label })),
    link(`job/${id}`, words("back"), "quiet"),
  ].filter(Boolean);
}

function recordedOf(app, id, part, said) {
  if (!said.all.length) return null;
  return h("ul", { class: "recorded" }, said.all.map((each) => h("li", {},
    `${each.happened_at.slice(11, 16)} ${words("was", { what: summary(each) })} `, correctButton(app, id, each))));
}

function summary(entry) {
  const said = [entry.kind];
  if (entry.bags) said.push(`${shown(entry.bags, 2)} ${words("bags").toLowerCase()}`);
  if (entry.mass_kg) said.push(`${shown(entry.mass_kg, 1)} kg`);
  if (entry.mass_g) said.push(`${shown(entry.mass_g)} g`);
  if (entry.bay) said.push(`${words("core_bay")} ${entry.bay}`);
  if (entry.depth_mm) said.push(`${entry.depth_mm} mm`);
  return said.join(", ");
}

/** What was recorded is never changed: it is taken back with a reason, and recorded again as it was. */
function correctButton(app, id, entry) {
  return h("button", {
    class: "small", onclick: () => {
      const reason = prompt(words("reason"));
      if (reason?.trim()) app.record(id, { kind: "correction", entry: entry.id, reason: reason.trim() });
    },
  }, words("correct"));
}

/** The two taps of a part done as planned: it was opened, and this is the second one. */
function doneForm(app, id, part, said) {
  const entry = { kind: "tally", cavity: part.label, holes: "as_planned", patched: "all" };
  return form(() => tallied(app, id, part, said, entry),
    said.done ? h("p", { class: "caution" }, words("several_tallies")) : null,
    ...amountFields(entry, part, said),
    h("p", {}, words("as_planned_says", { holes: part.holes.length })),
    h("button", { class: "main" }, words("done_as_planned")));
}

function amountFields(entry, part, said) {
  const before = said.fills.length > 0;
  return [
    numberField(words("bags"), { name: "bags", step: 0.5, onchange: (value) => { entry.bags = value; } }),
    before ? choice("", [["total", words("total")], ["besides", words("besides", { bags: shown(said.bags, 1) })]],
      (value) => { entry.bags_are = value; }) : null,
    h("label", { class: "tick" }, h("input", {
      type: "checkbox", name: "run_empty", onchange: (event) => { entry.run_empty = event.target.checked; },
    }), words("run_empty")),
    part.samples ? lastBay(entry, part) : null,
  ];
}

/** The bay that was filled last: the plan's unless somebody says another, for it is told as "as planned". */
function lastBay(entry, part) {
  entry.last_bay = part.order.at(-1);
  const select = h("select", { name: "last_bay", id: "last_bay", onchange: () => { entry.last_bay = Number(select.value); } },
    Array.from({ length: part.bays }, (_, bay) => h("option", { value: bay + 1, selected: bay + 1 === entry.last_bay }, String(bay + 1))));
  return h("div", {}, h("label", { for: "last_bay" }, words("last_bay")), select);
}

function tallied(app, id, part, said, entry) {
  if (!(entry.bags > 0)) return document.getElementById("bags").focus();
  if (said.fills.length && !entry.bags_are) return undefined;
  app.go(`job/${id}`);
  return app.record(id, clean(entry));
}

/** The entry without what nobody said. */
function clean(entry) {
  return Object.fromEntries(Object.entries(entry).filter(([, value]) => value !== null && value !== undefined && value !== false));
}

function photoButton(app, id, query, named = () => {}) {
  const input = h("input", {
    type: "file", accept: "image/*", capture: "environment", class: "file", name: "photo",
    onchange: async () => { for (const file of input.files) named(await app.recordPhoto(id, file, query)); },
  });
  return h("label", { class: "act" }, words("photo"), input);
}

// --- what differs ----------------------------------------------------------------------------------

export function differsView(app, id, label) {
  const part = partOf(app, id, label);
  const said = saidOf(part, app.entries(id));
  const omitted = new Set();
  const added = [];
  const entry = { kind: "tally", cavity: label };
  const redraw = () => place_.replaceChildren(elevation(part, words, omitted, touch));
  const touch = (number) => { omitted.has(number) ? omitted.delete(number) : omitted.add(number); redraw(); };
  const place_ = h("div", {});
  redraw();
  const open = h("input", { id: "still_open", inputmode: "text", autocomplete: "off" });
  const save = () => tallied(app, id, part, said, {
    ...entry,
    holes: omitted.size || added.length ? clean({ omitted: omitted.size ? [...omitted] : null, added: added.length ? added : null }) : "as_planned",
    patched: stillOpen(open.value),
  });
  return [
    h("h1", {}, `${label}: ${words("differs")}`),
    form(save,
      h("p", {}, words("omitted_holes")), place_, addedHoles(part, added),
      h("label", { for: "still_open" }, words("still_open")), open,
      part.gives ? numberField(words("bulge"), { name: "bulge", step: 5, onchange: (value) => { entry.bulge_mm = value; } }) : null,
      ...amountFields(entry, part, said),
      h("button", { class: "main" }, words("done_sign"))),
    link(at(id, label), words("back"), "quiet"),
  ];
}

function stillOpen(text) {
  const numbers = (text.match(/\d+/g) ?? []).map(Number);
  return numbers.length ? { all_but: numbers } : "all";
}

function addedHoles(part, added) {
  const list = h("p", { "aria-live": "polite" });
  return h("div", {}, choice(words("added_hole"),
    Array.from({ length: part.bays }, (_, bay) => [bay + 1, String(bay + 1)]), (bay) => {
      added.push({ bay });
      list.textContent = `${words("added_hole")}: ${added.map((each) => each.bay).join(", ")}`;
    }), list);
}

// --- a core ----------------------------------------------------------------------------------------

export function coreView(app, id, label) {
  const part = partOf(app, id, label);
  const said = saidOf(part, app.entries(id));
  const length = depthOf(part, said);
  const diameter = app.job(id).plan.core_diameter_mm ?? null;
  const entry = { kind: "core", cavity: label, bay: part.bays === 1 ? 1 : null, patched: said.done || null };
  const result = h("output", { class: "result", "aria-live": "polite" });
  const tell = () => result.replaceChildren(...verdictOf(part, entry.mass_g, diameter, entry.length_mm ?? length));
  const planned = new Set(part.sampleBays);
  return [
    h("h1", {}, `${label}: ${words("core")}`),
    form(() => entry.mass_g > 0 && entry.feel && entry.bay && (app.go(at(id, label)), app.record(id, clean(entry))),
      numberField(words("core_mass"), { name: "grams", step: 1, onchange: (value) => { entry.mass_g = value; tell(); } }),
      length === null ? numberField(words("depth_found"), { name: "length", onchange: (value) => { entry.length_mm = value; tell(); } }) : null,
      result,
      part.bays > 1 ? choice(words("core_bay"), Array.from({ length: part.bays }, (_, bay) =>
        [bay + 1, String(bay + 1), planned.has(bay + 1)]), (bay) => { entry.bay = bay; }) : null,
      choice("", [["firm", words("firm")], ["gives_way", words("gives_way")]], (feel) => { entry.feel = feel; }),
      h("button", { class: "main" }, words("save"))),
    link(at(id, label), words("back"), "quiet"),
  ];
}

function verdictOf(part, grams, diameter, length) {
  if (!grams || !part.window || diameter === null) return [];
  if (length === null || length === undefined) return [words("no_depth")];
  const density = coreDensity(grams, diameter, length);
  const where = place(density, part.window);
  const limits = { low: shown(part.window.lowest), high: shown(part.window.highest) };
  return [h("strong", { class: where }, words("density", { density: shown(density, 1) })), ` ${words(where, limits)}`];
}

// --- found, open blow, note ------------------------------------------------------------------------

export function foundView(app, id, label) {
  const part = partOf(app, id, label);
  const depth = { kind: "found", cavity: label };
  const bay = { kind: "found", cavity: label, bay: part.bays === 1 ? 1 : null };
  const photos = [];
  const save = (entry, enough) => () => enough() && (app.go(at(id, label)), app.record(id, clean({ ...entry, photos: photos.length ? photos : null })));
  return [
    h("h1", {}, `${label}: ${words("found")}`),
    form(save(depth, () => depth.depth_mm),
      numberField(words("depth_found"), { name: "depth", onchange: (value) => { depth.depth_mm = value && [value]; } }),
      h("button", { class: "main" }, words("save"))),
    form(save(bay, () => bay.bay && bay.state),
      part.bays > 1 ? choice(words("core_bay"), Array.from({ length: part.bays }, (_, each) => [each + 1, String(each + 1)]), (value) => { bay.bay = value; }) : null,
      choice(words("bay_state"), ["full", "blocked", "absent"].map((state) => [state, words(state)]), (state) => { bay.state = state; }),
      h("button", { class: "main" }, words("save"))),
    photoButton(app, id, {}, (photo) => photos.push(photo)),
    link(at(id, label), words("back"), "quiet"),
  ];
}

export function openBlowView(app, id, label) {
  const depths = [];
  const entry = { kind: "depth_check", cavity: label };
  const list = h("p", { "aria-live": "polite" });
  let typed = null;
  const add = () => { if (typed > 0) { depths.push(typed); list.textContent = depths.map((each) => shown(each)).join(", "); document.getElementById("thickness").value = ""; typed = null; } };
  return [
    h("h1", {}, `${label}: ${words("depths")}`),
    form(() => depths.length && entry.markers !== undefined && (app.go(at(id, label)), app.record(id, { ...entry, depths_mm: depths })),
      numberField(words("depths"), { name: "thickness", onchange: (value) => { typed = value; } }),
      h("button", { type: "button", onclick: add }, words("add_depth")), list,
      numberField(words("markers"), { name: "markers", onchange: (value) => { entry.markers = value ?? undefined; } }),
      h("button", { class: "main" }, words("save"))),
    link(at(id, label), words("back"), "quiet"),
  ];
}

export function noteView(app, id, label) {
  const text = h("textarea", { id: "remark", rows: 4, maxlength: 1000 });
  const photos = [];
  const back = label ? at(id, label) : `job/${id}`;
  return [
    h("h1", {}, words("note")),
    form(() => text.value.trim() && (app.go(back), app.record(id, clean({ kind: "note", cavity: label, remark: text.value.trim(), photos: photos.length ? photos : null }))),
      h("label", { for: "remark" }, words("remark")), text,
      photoButton(app, id, {}, (photo) => photos.push(photo)),
      h("button", { class: "main" }, words("save"))),
    link(back, words("back"), "quiet"),
  ];
}

// --- checks ----------------------------------------------------------------------------------------

export function checksView(app, id, stage) {
  const open = pointsOf(app.job(id).plan, stage, app.entries(id)).filter((point) => !point.answered || point.answered.answer === "stopped");
  const general = open.filter(isGeneral);
  return [
    h("h1", {}, words(`checks_${stage}`)),
    open.length ? null : h("p", { class: "good" }, words("nothing_missing")),
    general.length ? generalForm(app, id, general) : null,
    ...open.filter((point) => !isGeneral(point)).map((point) => singleForm(app, id, point)),
    link(`job/${id}`, words("back"), "quiet"),
  ].filter(Boolean);
}

function generalForm(app, id, points) {
  const answers = new Map();
  const button = h("button", { class: "main", disabled: true }, words("all_ticked", { count: 0 }));
  const changed = () => { button.disabled = !answers.size; button.textContent = words("all_ticked", { count: answers.size }); };
  return form(() => app.record(id, { kind: "checks", points: [...answers].map(([code, answer]) => ({ code, answer })) }),
    h("p", {}, words("tick_each")),
    points.map((point) => h("div", { class: "point" },
      h("label", { class: "tick" }, h("input", {
        type: "checkbox", name: point.code,
        onchange: (event) => { event.target.checked ? answers.set(point.code, "clear") : answers.delete(point.code); changed(); },
      }), theirs(point.text)),
      h("details", {}, h("summary", {}, words("differs")), answerButtons(app, id, point, () => null)))),
    button);
}

function singleForm(app, id, point) {
  let reading = null;
  const told = h("p", { class: "caution", "aria-live": "polite" });
  const field = point.reading && numberField(words("reading", { unit: point.reading.unit }), {
    name: `reading-${point.code}-${point.cavity ?? ""}`, onchange: (value) => {
      reading = value;
      told.textContent = value !== null && !allows(point, value) ? words("beyond") : "";
    },
  });
  return h("section", { class: "point" },
    h("p", {}, point.cavity ? h("strong", {}, `${point.cavity}: `) : "", theirs(point.text)),
    field, point.reading ? told : null,
    answerButtons(app, id, point, () => reading));
}

function answerButtons(app, id, point, reading) {
  const answer = (said) => () => {
    if (point.reading && said === "clear" && (reading() === null || !allows(point, reading()))) return;
    app.record(id, clean({ kind: "check", code: point.code, cavity: point.cavity, answer: said, reading: reading() }));
  };
  return h("div", { class: "answers" }, ["clear", "dealt_with", "not_applicable", "stopped"].map((said) =>
    h("button", { type: "button", class: said === "stopped" ? "stop" : "", onclick: answer(said) }, words(said))));
}

// --- deliveries and the end of a day -----------------------------------------------------------------

export function deliveryView(app, id) {
  const entry = { kind: "delivery", material: app.job(id).plan.material.code };
  const photos = [];
  const lot = h("input", { id: "lot", autocomplete: "off", maxlength: 80 });
  return [
    h("h1", {}, words("delivery")),
    form(() => entry.bags > 0 && (app.go(`job/${id}`), app.record(id, clean({ ...entry, lot: lot.value.trim() || null, photos: photos.length ? photos : null }))),
      numberField(words("bags_came"), { name: "delivered", onchange: (value) => { entry.bags = value; } }),
      h("label", { for: "lot" }, words("lot")), lot,
      photoButton(app, id, {}, (photo) => photos.push(photo)),
      h("button", { class: "main" }, words("save"))),
    link(`job/${id}`, words("back"), "quiet"),
  ];
}

export function dayEndView(app, id) {
  const said = { spill: null, left: null, people: null, hours: null };
  const field = (name, label, step = 1) => numberField(label, { name, step, onchange: (value) => { said[name] = value; } });
  const save = () => {
    const entries = [];
    if (said.spill !== null) entries.push({ kind: "reclaimed", mass_kg: said.spill });
    if (said.left !== null) entries.push({ kind: "delivery", left_over: said.left });
    if (said.people && said.hours) entries.push({ kind: "hours", people: said.people, hours: said.hours });
    if (entries.length) { app.go(`job/${id}`); app.record(id, ...entries); }
  };
  return [
    h("h1", {}, words("day_end")),
    form(save,
      field("spill", words("spill"), 0.5), h("p", {}, words("spill_hint")),
      field("left", words("left_over"), 0.5), field("people", words("people")), field("hours", words("hours"), 0.5),
      h("button", { class: "main" }, words("save"))),
    link(`job/${id}`, words("back"), "quiet"),
  ];
}
