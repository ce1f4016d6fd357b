// A part: what is planned, what was recorded, and that it is done, as planned or otherwise.

import { elevation } from "./drawing.js";
import { amount, at, back, bayChoice, button, clean, form, link, lotChoice, missing, missingLine, partOf, photoButton, tick } from "./form.js";
import { choice, numberField } from "./keypad.js";
import { h, shown } from "./page.js";
import { partsOf, saidOf } from "./plan.js";
import { recordedList } from "./ledger.js";
import { supplementOf } from "./supplement.js";
import { theirs, words } from "./words.js";

export function partView(app, id, label) {
  const part = partOf(app, id, label);
  const said = saidOf(part, app.entries(id));
  if (part.awaited) return awaitedView(app, id, part, said);
  return [
    h("h1", {}, part.label),
    ...supplementOf(app, id, label),
    part.place ? h("p", { class: "place" }, part.place) : null,
    h("p", { class: "figures" }, [
      words(`element_${part.element}`), words("area", { area: shown(part.areaM2, 1) }),
      words("depth_mm", { depth: shown(part.depthMm) }), words("planned_bags", { bags: shown(part.bags, 1) }),
      words(`method_${part.method}`) + (part.lance ? ` ${part.lance}` : ""),
    ].join(" · ")),
    part.settings ? h("p", {}, theirs(part.settings)) : null,
    elevation(part, words, new Set(), null),
    part.sampleBays.length ? h("p", {}, words("sample_bays", { bays: part.sampleBays.join(", ") })) : null,
    part.proof ? h("p", {}, part.proof) : null,
    said.done ? h("p", { class: "good" }, words("done")) : null,
    closing(app, id, part, said),
    part.open ? link(at(id, label, "/depths"), words("depths")) : samplesNav(id, part, said),
    said.done ? h("details", {}, h("summary", {}, words("several_tallies")), doneForm(app, id, part, said)) : doneForm(app, id, part, said),
    h("nav", { class: "acts" },
      link(at(id, label, "/differs"), words("differs")), link(at(id, label, "/fill"), words("partly")),
      said.done ? link(at(id, label, "/found"), words("found")) : null,
      said.done || said.fills.length ? link(at(id, label, "/out"), words("taken_out")) : null,
      link(at(id, label, "/hole"), words("another_hole")),
      link(at(id, label, "/otherwise"), words("otherwise")),
      link(`job/${id}/note/${encodeURIComponent(label)}`, words("note")),
      photoButton(app, id, { cavity: label }), link(`job/${id}/photo/${encodeURIComponent(label)}`, words("photo_shows"))),
    part.cautions.length ? h("details", {}, h("summary", {}, words("cautions")), part.cautions.map((each) => h("p", {}, each.text ?? ""))) : null,
    recordedList(app, id, said.all),
    nextOf(app, id, label), back(`job/${id}`),
  ].filter(Boolean);
}

/** A part that was proposed here and waits for its plan: what is done of it is told as it is done. */
function awaitedView(app, id, part, said) {
  const { label } = part;
  return [
    h("h1", {}, label),
    part.place ? h("p", { class: "place" }, part.place) : null,
    h("p", { class: "figures" }, [words(`element_${part.element}`), words("area", { area: shown(part.areaM2, 1) }),
      words("depth_mm", { depth: shown(part.depthMm) })].join(" · ")),
    h("p", { class: "caution" }, words("plan_awaited")),
    h("nav", { class: "acts" },
      link(at(id, label, "/found"), words("found")), link(at(id, label, "/fill"), words("partly")),
      link(`job/${id}/note/${encodeURIComponent(label)}`, words("note")), photoButton(app, id, { cavity: label })),
    recordedList(app, id, said.all), back(`job/${id}`),
  ].filter(Boolean);
}

/** The part after this one in the order of the plan: it need not be looked for. */
function nextOf(app, id, label) {
  const parts = partsOf(app.job(id).plan);
  const next = parts[parts.findIndex((each) => each.label === label) + 1];
  return next ? link(at(id, next.label), words("next_part", { part: next.label }), "next") : null;
}

/** What was told to be open still: one touch says that it is closed now. */
function closing(app, id, part, said) {
  const open = openOf(said);
  if (!open.length) return null;
  const patches = open.map((each) => ({ kind: "patch", cavity: part.label, ...each.hole }));
  return h("div", { class: "caution" }, h("p", {}, words("open_holes", { holes: open.map((each) => each.text).join(", ") })),
    h("button", { type: "button", onclick: () => app.record(id, ...patches) }, words("closed_now")));
}

function openOf(said) {
  const numbers = said.tallies.flatMap((each) => each.patched?.all_but ?? []).map((number) => ({ text: String(number), hole: { number } }));
  const cores = said.cores.filter((each) => each.patched === false)
    .map((each) => ({ text: `${words("core")} ${each.bay ?? ""}`.trim(), hole: { tag: each.id } }));
  // A tally closes what was made before it.
  const closing = said.tallies.filter((each) => each.patched).map((each) => Date.parse(each.happened_at));
  const holes = said.all.filter((each) => each.kind === "hole" && each.tag && !closing.some((when) => when >= Date.parse(each.happened_at)))
    .map((each) => ({ text: each.tag, hole: { tag: each.tag } }));
  const closed = said.all.filter((each) => each.kind === "patch").map((each) => each.number ?? each.tag);
  return [...numbers, ...cores, ...holes].filter((each) => !closed.includes(each.hole.number ?? each.hole.tag));
}

/** Before the fill its depth is measured, after it its cores are taken. */
function samplesNav(id, part, said) {
  return h("div", { class: "acts" },
    said.done ? null : link(at(id, part.label, "/found"), words("found")),
    link(at(id, part.label, "/core"), words("core")));
}

const asPlanned = (part) => (part.holes.length ? { holes: "as_planned", patched: "all" } : {});

/** The two taps of a part done as planned: it was opened, and this is the second one. */
function doneForm(app, id, part, said) {
  const entry = { kind: "tally", cavity: part.label, ...asPlanned(part), ...lastBay(part) };
  return form(() => tallied(app, id, part, said, entry),
    ...amountFields(app, id, entry, said),
    h("p", {}, [
      part.holes.length ? words("as_planned_says", { holes: part.holes.length }) : "",
      entry.last_bay ? words("last_bay_says", { bay: entry.last_bay }) : "",
    ].join(" ")),
    missingLine(), button(words("done_as_planned")));
}

/** The bay that was filled last is the plan's where all was as planned: it is told so, and said so. */
const lastBay = (part) => (part.samples && part.baysKnown && part.bays > 1 ? { last_bay: part.order.at(-1) } : {});

function amountFields(app, id, entry, said, options) {
  const before = said.fills.length > 0;
  return [
    ...amount(entry, options),
    before ? choice(words("bags_are"), [["total", words("total")], ["besides", words("besides", { bags: amountOf(said) })]],
      (value) => { entry.bags_are = value; }, "bags_are") : null,
    lotChoice(app, id, entry),
    tick(entry, "run_empty"),
  ];
}

const amountOf = (said) => [
  said.bags ? `${shown(said.bags, 1)} ${words("bags_short")}` : null, said.massKg ? `${shown(said.massKg, 1)} kg` : null,
].filter(Boolean).join(", ");

function tallied(app, id, part, said, entry) {
  if (!(entry.bags > 0 || entry.mass_kg > 0)) return missing("bags");
  if (said.fills.length && !entry.bags_are) return missing("bags_are");
  if (document.getElementById("lot") && !entry.lot) return missing("lot");
  app.go(`job/${id}`);
  return app.record(id, clean(entry));
}

// --- what differs ----------------------------------------------------------------------------------

export function differsView(app, id, label) {
  const part = partOf(app, id, label);
  const said = saidOf(part, app.entries(id));
  const omitted = new Set();
  const open = new Set();
  const added = [];
  const entry = { kind: "tally", cavity: label, ...lastBay(part) };
  const save = () => tallied(app, id, part, said, {
    ...entry,
    holes: omitted.size || added.length
      ? clean({ omitted: omitted.size ? sorted(omitted) : null, added: added.length ? added : null }) : "as_planned",
    patched: open.size ? { all_but: sorted(open) } : "all",
  });
  return [
    h("h1", {}, `${label}: ${words("differs")}`),
    form(save,
      touchable(part, words("omitted_holes"), omitted), addedHoles(part, added),
      touchable(part, words("still_open"), open),
      part.gives ? numberField(words("bulge"), { name: "bulge", step: 5, onchange: (value) => { entry.bulge_mm = value; } }) : null,
      entry.last_bay ? h("details", {}, h("summary", {}, words("last_bay_says", { bay: entry.last_bay })),
        bayChoice(part, (bay) => { entry.last_bay = bay; }, { id: "last_bay", label: words("last_bay") })) : null,
      ...amountFields(app, id, entry, said, { kilograms: true }),
      missingLine(), button(words("done_sign"))),
    back(at(id, label)),
  ];
}

const sorted = (numbers) => [...numbers].sort((a, b) => a - b);

/** A drawing whose holes can be touched; which were is written below it, for who cannot see it. */
function touchable(part, text, touched) {
  if (!part.holes.length) return null;
  const place = h("div", {});
  const told = h("p", { "aria-live": "polite", class: "numbers" });
  const touch = (number) => { touched.has(number) ? touched.delete(number) : touched.add(number); draw(); };
  const draw = () => {
    place.replaceChildren(elevation(part, words, touched, touch));
    told.textContent = sorted(touched).join(", ");
  };
  draw();
  return h("section", {}, h("p", {}, text), place, told);
}

function addedHoles(part, added) {
  const list = h("p", { "aria-live": "polite" });
  const add = (bay) => {
    if (!bay) return;
    added.push({ bay });
    list.textContent = words("added_in", { bays: added.map((each) => each.bay).join(", ") });
  };
  if (part.bays === 1) return h("div", {}, h("button", { type: "button", onclick: () => add(1) }, words("added_hole")), list);
  return h("div", {}, bayChoice({ ...part, baysKnown: true }, add, { id: "added", label: words("added_hole") }), list);
}

// --- a part of it ----------------------------------------------------------------------------------

export function fillView(app, id, label) {
  const part = partOf(app, id, label);
  const entry = { kind: "fill", cavity: label };
  const save = () => {
    if (entry.from_spill && !(entry.mass_kg > 0)) return missing("mass_kg");
    if (!(entry.bags > 0 || entry.mass_kg > 0)) return missing("bags");
    if (document.getElementById("lot") && !entry.lot) return missing("lot");
    app.go(at(id, label));
    return app.record(id, clean(entry));
  };
  return [
    h("h1", {}, `${label}: ${words("partly")}`),
    h("p", {}, words("partly_hint")),
    form(save, ...amount(entry, { kilograms: true }),
      bayChoice(part, (bay) => { entry.bay = bay; }, { label: words("bay_or_none") }), lotChoice(app, id, entry),
      part.gives ? numberField(words("bulge"), { name: "bulge", step: 5, onchange: (value) => { entry.bulge_mm = value; } }) : null,
      tick(entry, "run_empty"), tick(entry, "from_spill"),
      missingLine(), button(words("save"))),
    back(at(id, label)),
  ];
}

/** What was dug out of a filled part again: weighed, for it is in no wall any more. */
export function takenOutView(app, id, label) {
  const part = partOf(app, id, label);
  const entry = { kind: "fill", cavity: label, mass_kg: 0, bay: part.bays === 1 ? 1 : null };
  const save = () => {
    if (!(entry.removed_kg > 0)) return missing("removed_kg");
    app.go(at(id, label));
    return app.record(id, clean(entry));
  };
  return [
    h("h1", {}, `${label}: ${words("taken_out")}`),
    h("p", {}, words("taken_out_hint")),
    form(save,
      numberField(words("kilograms"), { name: "removed_kg", step: 0.5, open: true, onchange: (value) => { entry.removed_kg = value; } }),
      bayChoice(part, (bay) => { entry.bay = bay; }, { label: words("bay_or_none") }),
      missingLine(), button(words("save"))),
    back(at(id, label)),
  ];
}
