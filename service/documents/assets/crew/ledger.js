// What was recorded: shown, and corrected. Nothing is changed or deleted; a correction says why.

import { at, back, clean, form, link, lotChoice, lotsOf, missing, missingLine } from "./form.js";
import { choice, numberField } from "./keypad.js";
import { h, shown, stamp } from "./page.js";
import { firstWords, pointOf } from "./plan.js";
import { words } from "./words.js";

// The figure of each kind that a slip of the thumb gets wrong; the first one that was said is offered anew.
const FIGURES = {
  tally: ["bags", "mass_kg"], fill: ["removed_kg", "bags", "mass_kg"], core: ["mass_g"], found: ["depth_mm"], reclaimed: ["mass_kg", "bags"],
  delivery: ["bags", "left_over", "returned", "mass_kg"], check: ["reading"], hours: ["hours"], depth_check: ["markers"],
};
const UNITS = { mass_kg: "kg", removed_kg: "kg", mass_g: "g", depth_mm: "mm", depths_mm: "mm" };
const SERVERS = ["id", "position", "received_at", "clock_doubtful", "corrected_by", "corrects"];

export function recordedList(app, id, entries) {
  if (!entries.length) return null;
  return h("ul", { class: "recorded" }, entries.map((each) => h("li", {},
    h("span", {}, `${clock(each)} ${each.by}: ${summary(each, app.job(id).plan)}`),
    link(`job/${id}/correct/${each.id}`, words("correct"), "small"))));
}

/** When it happened, by the phone's own clock. */
const clock = (entry) => stamp(Date.parse(entry.happened_at)).slice(11, 16);

/** What an entry says, in a line; a hold point by its first words, where the plan is known. */
export function summary(entry, plan = null) {
  const said = [words(`kind_${entry.kind}`)];
  const figure = (name, text) => { if (entry[name] !== undefined && entry[name] !== null) said.push(text(entry[name])); };
  figure("bay", (bay) => `${words("core_bay")} ${bay}`);
  figure("bags", (bags) => `${shown(bags, 2)} ${words("bags_short")}`);
  if (entry.removed_kg) said.push(`${words("taken_out")} ${shown(entry.removed_kg, 1)} kg`);
  else figure("mass_kg", (mass) => `${shown(mass, 1)} kg`);
  figure("masses_kg", (masses) => `${masses.map((mass) => shown(mass, 2)).join(", ")} kg`);
  figure("mass_g", (mass) => `${shown(mass, 1)} g`);
  figure("depth_mm", (depths) => `${[depths].flat().map((each) => shown(each)).join(", ")} mm`);
  figure("depths_mm", (depths) => `${depths.map((each) => shown(each)).join(", ")} mm`);
  figure("number", (number) => String(number));
  figure("purpose", (purpose) => (entry.tag ? words(`purpose_${purpose}`) : ""));
  figure("tag", (tag) => tag);
  figure("state", (state) => words(state));
  figure("lot", (lot) => `${words("lot")} ${lot}`);
  figure("feel", (feel) => words(feel));
  figure("left_over", (bags) => `${words("left_over")}: ${shown(bags, 1)}`);
  figure("returned", (bags) => `${words("returned")}: ${shown(bags, 1)}`);
  figure("points", (points) => String(points.length));
  figure("code", (code) => (plan && pointOf(plan, code) ? firstWords(pointOf(plan, code)) : code.replaceAll("_", " ")));
  figure("answer", (answer) => words(answer));
  figure("reading", (reading) => shown(reading, 1));
  figure("people", (people) => `${shown(people)} × ${shown(entry.hours, 2)} h`);
  figure("remark", (remark) => remark);
  return said.filter(Boolean).join(", ").replace(/,? *$/, "");
}

export function ledgerView(app, id) {
  const entries = app.entries(id);
  const groups = Map.groupBy ? Map.groupBy(entries, (each) => each.cavity ?? "") : grouped(entries);
  return [
    h("h1", {}, words("ledger")),
    entries.length ? null : h("p", {}, words("nothing_recorded")),
    ...[...groups].map(([part, mine]) => [part ? h("h2", {}, part) : null, recordedList(app, id, mine)]).flat(),
    back(`job/${id}`),
  ].filter(Boolean);
}

function grouped(entries) {
  const groups = new Map();
  for (const each of entries) groups.set(each.cavity ?? "", [...(groups.get(each.cavity ?? "") ?? []), each]);
  return groups;
}

/** A correction: another figure in the wrong one's place, or nothing; both are told with their reason. */
export function correctView(app, id, name) {
  const entry = app.entries(id).find((each) => each.id === name);
  const path = entry?.cavity ? at(id, entry.cavity) : `job/${id}/ledger`;
  if (!entry) return [h("h1", {}, words("correct")), h("p", {}, words("corrected_before")), back(`job/${id}/ledger`)];
  // Nothing taken out is no figure.
  const figure = (FIGURES[entry.kind] ?? []).find((each) => (each === "removed_kg" ? entry[each] : entry[each] !== undefined && entry[each] !== null));
  const reason = h("input", { id: "reason", maxlength: 1000, autocomplete: "off" });
  const emptied = ["tally", "fill"].includes(entry.kind) && lotsOf(app, id).length > 1;
  const changed = {};
  const before = stamp(Date.parse(entry.happened_at)).slice(0, 16);
  const when = h("input", { id: "when", type: "datetime-local", value: before });
  // A label is read, not measured: what was read before stands there.
  const lot = entry.kind === "delivery" ? h("input", { id: "lot", maxlength: 80, autocomplete: "off", value: entry.lot ?? "" }) : null;
  let right = null;
  const save = (how) => {
    if (lot && lot.value.trim() && lot.value.trim() !== entry.lot) changed.lot = lot.value.trim();
    if (!reason.value.trim()) return missing("reason");
    const moved = when.value && when.value !== before ? { happened_at: stamp(Date.parse(when.value)), clock_offset_s: null } : {};
    if (how === "right" && right === null && !changed.lot && !moved.happened_at) return missing("right", "when");
    app.go(path);
    const figures = right === null ? {} : { [figure]: figure === "depth_mm" ? [right] : right };
    const replacement = how === "right" ? clean({ ...stated(entry), ...figures, ...changed, ...moved }) : null;
    return app.record(id, clean({ kind: "correction", entry: entry.id, reason: reason.value.trim(), replacement }));
  };
  return [
    h("h1", {}, words("correct")),
    h("p", {}, `${entry.cavity ?? ""} ${summary(entry, app.job(id).plan)}`),
    form(save,
      choice(words("reason"), ["reason_typed", "reason_counted", "reason_part", "reason_twice"].map((each) => [words(each), words(each)]),
        (text) => { reason.value = text; }),
      h("label", { for: "reason" }, words("reason_else")), reason,
      figure ? numberField(words("right_is", { unit: UNITS[figure] ?? words(figure === "hours" ? "hours" : figure === "reading" ? "value" : "bags_short") }),
        { name: "right", open: true, onchange: (value) => { right = value; } }) : null,
      emptied ? lotChoice(app, id, changed) : null,
      lot ? [h("label", { for: "lot" }, words("lot_label")), lot] : null,
      h("label", { for: "when" }, words("when")), when,
      missingLine(),
      h("button", { class: "main", value: "right" }, words("put_right")),
      h("button", { class: "stop", value: "" }, words("take_back"))),
    back(path),
  ];
}

/** What an entry states, without what the server or the phone adds. */
function stated(entry) {
  const said = Object.entries(entry).filter(([name]) => !SERVERS.includes(name));
  return { ...clean(Object.fromEntries(said)), happened_at: stamp(Date.parse(entry.happened_at)) };
}
