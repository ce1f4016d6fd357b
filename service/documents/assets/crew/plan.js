// What the plan says of a part, what was said of it since, and the page's little arithmetic.

import { dayOf } from "./page.js";
import { theirs } from "./words.js";

const FIRST = 60; // letters that a point is known by

/** The density of a core in kg/m3: its grams over the volume that the tool cut. */
export function coreDensity(massG, diameterMm, lengthMm) {
  return massG / 1000 / ((Math.PI / 4) * diameterMm ** 2 * lengthMm) * 1e9;
}

/** Where a density lies against its window: `below`, `inside` or `above`. */
export function place(density, window) {
  if (density < window.lowest) return "below";
  return density > window.highest ? "above" : "inside";
}

/** The parts of a job, each with what a crew needs to know of it. */
export function partsOf(job) {
  return [...job.takeoff.cavities.map((planned, index) => partOf(job, planned, job.cavities[index])), ...awaitedOf(job)];
}

/** Parts that were proposed on this phone and are on no plan yet: what is known of them is what was proposed. */
function awaitedOf(job) {
  const there = new Set(job.takeoff.cavities.map((each) => each.label));
  return (job.waiting ?? []).flatMap(labelsOf).filter(([label]) => !there.has(label)).map(([label, surveyed]) => ({
    label, place: surveyed.place, element: surveyed.element, areaM2: surveyed.width_m * surveyed.span_m,
    depthMm: surveyed.layers.reduce((sum, each) => sum + each.depth_mm, 0), window: null, open: surveyed.fill === "open",
    bays: null, baysKnown: false, holes: [], order: [], sampleBays: [], samples: 0, gives: false, outline: outlineOf(surveyed),
    cautions: [], awaited: true, layersApart: apartOf(surveyed.layers),
  }));
}

const labelsOf = (surveyed) => (surveyed.count > 1
  ? Array.from({ length: surveyed.count }, (_, place) => [`${surveyed.label}.${place + 1}`, surveyed]) : [[surveyed.label, surveyed]]);

function partOf(job, planned, surveyed) {
  const plan = planned.fill_plan;
  const density = planned.density;
  return {
    label: planned.label,
    place: surveyed.place,
    element: planned.element,
    areaM2: planned.geometry.net_area_m2,
    depthMm: planned.geometry.depth_mm,
    layersApart: apartOf(surveyed.layers),
    volumeM3: planned.geometry.net_volume_m3,
    massKg: planned.mass_kg,
    bags: planned.mass_kg / job.material.bag_kg,
    window: density && {
      lowest: density.lowest_kg_m3.value, target: density.target_kg_m3.value, highest: density.highest_kg_m3.value,
    },
    open: planned.open_blow,
    method: plan.method,
    lance: plan.lance,
    settings: plan.settings,
    bays: planned.geometry.bays,
    baysKnown: planned.geometry.bays_known,
    holes: plan.hole_list,
    order: plan.sequence.map((step) => step.bay),
    sampleBays: plan.proof?.sampled_bays ?? [],
    samples: planned.samples,
    proof: plan.proof?.how?.text ?? null,
    gives: surveyed.facing === "membrane" || surveyed.facing === "netting",
    outline: outlineOf(surveyed),
    cautions: planned.cautions,
  };
}

/** The depths of the layers where a total depth says nothing of any: no single open one takes up a difference. */
function apartOf(layers) {
  const free = layers.filter((each) => !each.framing).length;
  return layers.length > 1 && free !== 1 ? layers.map((each) => each.depth_mm) : [];
}

function outlineOf(surveyed) {
  const top = surveyed.profile_m ?? [[0, surveyed.span_m], [surveyed.width_m, surveyed.span_m]];
  return {
    widthM: surveyed.width_m,
    spanM: surveyed.span_m,
    top,
    openings: (surveyed.openings ?? []).filter((each) => each.left_m !== undefined && each.left_m !== null),
  };
}

/** Every entry that stands: what was corrected is out, what takes its place is in. */
export function standing(entries) {
  const corrected = new Set(entries.filter((each) => each.kind === "correction").map((each) => each.entry));
  const replaced = entries
    .filter((each) => each.kind === "correction" && each.replacement && !corrected.has(each.id))
    .map((each) => ({ ...each.replacement, id: each.replacement.id ?? each.id, corrects: each.entry }));
  return [...entries.filter((each) => each.kind !== "correction" && !corrected.has(each.id)), ...replaced];
}

/** What was said of a part so far. */
export function saidOf(part, entries) {
  const mine = entries.filter((each) => each.cavity === part.label);
  const of = (...kinds) => mine.filter((each) => kinds.includes(each.kind));
  const tallies = of("tally");
  const fills = of("fill");
  // A part's total takes the place of what was emptied before it; what comes after counts again.
  const emptied = inOrder(of("tally", "fill"));
  const counted = emptied.slice(Math.max(emptied.map((each) => each.bags_are).lastIndexOf("total"), 0));
  return {
    bags: counted.reduce((sum, each) => sum + (each.bags ?? 0), 0),
    massKg: counted.reduce((sum, each) => sum + (each.mass_kg ?? 0), 0),
    fills,
    tallies,
    cores: of("core", "block"),
    found: of("found"),
    depths: of("depth_check"),
    done: tallies.length > 0,
    all: mine,
  };
}

/** The days of filling without a word of their spill, each with when it was filled last. */
export function spillMissing(entries) {
  const day = (entry) => dayOf(Date.parse(entry.happened_at));
  const filled = inOrder(entries).filter((each) => ["tally", "fill"].includes(each.kind) && (each.bags || each.mass_kg));
  const days = new Map(filled.map((each) => [day(each), each.happened_at]));
  const last = (swept) => (days.has(swept) ? swept : [...days.keys()].filter((each) => each < swept).pop());
  const told = new Set(entries.filter((each) => each.kind === "reclaimed").map((each) => last(day(each))));
  return new Map([...days].filter(([each]) => !told.has(each)));
}

/** The depth of a part in mm as it was found, the mean of its readings; null where nobody measured it. */
export function depthOf(part, said) {
  const measured = said.found.filter((each) => !each.layer).flatMap((each) => each.depth_mm ?? []);
  return measured.length ? measured.reduce((sum, each) => sum + each, 0) / measured.length : null;
}

/** The points of a stage, each with the answer that it has: the last one that was given. */
export function pointsOf(job, stage, entries) {
  const answers = new Map();
  for (const entry of inOrder(entries)) {
    if (entry.kind === "check") answers.set(`${entry.code} ${entry.cavity ?? ""}`, entry);
    // A check of no part, and a point among others, is about every part that it is asked of.
    if (entry.kind === "check" && !entry.cavity) answers.set(entry.code, entry);
    if (entry.kind === "checks") for (const point of entry.points) answers.set(point.code, { ...entry, ...point });
  }
  return job.takeoff.hold_points
    .filter((point) => point.stage === stage)
    .map((point) => ({
      ...point,
      general: !point.reading && !point.single,
      answered: answerOf(answers.get(`${point.code} ${point.cavity ?? ""}`), answers.get(point.code)),
    }))
    .map((point) => ({ ...point, open: isOpen(point) }));
}

/** Whether a point waits for an answer: for its first, for a better one than to stop, or for its reading. */
function isOpen({ reading, answered }) {
  if (!answered || answered.answer === "stopped") return true;
  return Boolean(reading) && needsReading(answered.answer) && (answered.reading === undefined || answered.reading === null);
}

/** Whether an answer to a point that asks for a reading is nothing without it. */
export const needsReading = (answer) => answer !== "not_applicable" && answer !== "stopped";

const inOrder = (entries) => [...entries].sort((one, other) => Date.parse(one.happened_at) - Date.parse(other.happened_at));

/** The part's own answer, else the job's; a later stop of the job goes before it. */
function answerOf(own, whole) {
  const stopped = own && whole?.answer === "stopped" && Date.parse(whole.happened_at) > Date.parse(own.happened_at);
  return (stopped ? whole : own ?? whole) ?? null;
}

/** The hold point of a code, if the plan has one. */
export const pointOf = (plan, code) => plan.takeoff.hold_points.find((each) => each.code === code);

/** The first words of a hold point, in the crew's language: its code says nothing to anybody. */
export function firstWords(point) {
  const sentence = theirs(point.text).split(". ")[0].replace(/\.$/, "");
  return sentence.length > FIRST ? `${sentence.slice(0, FIRST).replace(/\s+\S*$/, "")} …` : sentence;
}

/** Whether a reading is within what its point allows. */
export function allows(point, reading) {
  const { least, most } = point.reading;
  return (least === null || least === undefined || reading >= least)
    && (most === null || most === undefined || reading <= most);
}
