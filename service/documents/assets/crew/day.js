// What is said of the whole job: what came, what was left, what was vacuumed up, hours, and notes.

import { at, back, button, clean, form, link, lotChoice, missing, missingLine, photoButton } from "./form.js";
import { choice, numberField, several } from "./keypad.js";
import { dayOf, h, stamp } from "./page.js";
import { severalForm } from "./sample.js";
import { saidOf, partsOf, spillMissing } from "./plan.js";
import * as server from "./server.js";
import { words } from "./words.js";

const textField = (id, label, attributes = {}) => [h("label", { for: id }, label), h("input", { id, autocomplete: "off", maxlength: 80, ...attributes })];

export function deliveryView(app, id) {
  const entry = { kind: "delivery", material: app.job(id).plan.material.code };
  const photos = [];
  const lot = textField("lot", words("lot_label"));
  const other = textField("other", words("other_material"));
  const from = textField("from_job", words("from_job"));
  const save = () => {
    const text = ([, input]) => input.value.trim() || null;
    // What another job left is counted in bags or weighed; what the maker sent is counted.
    if (!(entry.bags > 0 || (text(from) && entry.mass_kg > 0))) return missing("delivered");
    app.go(`job/${id}`);
    return app.record(id, clean({
      ...entry, material: text(other) ?? entry.material, lot: text(lot), from_job: text(from),
      mass_kg: text(from) ? entry.mass_kg : null, photos: photos.length ? photos : null,
    }));
  };
  return [
    h("h1", {}, words("delivery")),
    form(save,
      numberField(words("bags_came"), { name: "delivered", open: true, onchange: (value) => { entry.bags = value; } }),
      ...lot,
      h("details", {}, h("summary", {}, words("not_the_material", { material: app.job(id).plan.material.name })), ...other),
      h("details", {}, h("summary", {}, words("of_another_job")), ...from,
        numberField(words("kilograms"), { name: "came_kg", onchange: (value) => { entry.mass_kg = value; } })),
      photoButton(app, id, {}, (photo) => photos.push(photo)), missingLine(), button(words("save"))),
    link(`job/${id}/bags`, words("kind_bag_check")),
    back(`job/${id}`),
  ];
}

/** Bags weighed one by one, net: what a bag is short of its label is known then. */
export function bagsView(app, id) {
  const masses = [];
  const entry = { kind: "bag_check" };
  const lot = h("div", {}, lotChoice(app, id, entry));
  return [
    h("h1", {}, words("kind_bag_check")),
    h("p", {}, words("bags_hint")),
    severalForm("bag_kg", words("bag_kg"), masses, { most: 200, places: 2, more: [lot, missingLine()] }, () => {
      if (masses.length < 2) return missing("bag_kg");
      app.go(`job/${id}`);
      return app.record(id, { ...entry, masses_kg: masses });
    }),
    back(`job/${id}/delivery`),
  ];
}

export function dayEndView(app, id) {
  const said = { spill: null, left: null, returned: null, people: null, hours: null };
  const fell = new Set();
  const filled = partsOf(app.job(id).plan).filter((part) => { const its = saidOf(part, app.entries(id)); return its.done || its.fills.length; });
  const today = dayOf(server.now());
  const earlier = [...spillMissing(app.entries(id))].filter(([day]) => day < today);
  let when = null;
  const field = (name, label, step = 1, open = false) => numberField(label, { name, step, open, onchange: (value) => { said[name] = value; } });
  const spill = () => {
    const day = earlier.length && when !== today ? { happened_at: when } : {};
    return clean({ kind: "reclaimed", mass_kg: said.spill, cavities: fell.size ? [...fell] : null, ...day });
  };
  const save = () => {
    const entries = [];
    if (said.spill !== null && earlier.length && !when) return missing("spill_day");
    if (said.spill !== null) entries.push(spill());
    if (said.left !== null || said.returned !== null) entries.push(clean({ kind: "delivery", left_over: said.left, returned: said.returned }));
    if (said.people && said.hours) entries.push({ kind: "hours", people: said.people, hours: said.hours });
    if (!entries.length) return missing("spill");
    app.go(`job/${id}`);
    return app.record(id, ...entries);
  };
  return [
    h("h1", {}, words("day_end")),
    form(save,
      field("spill", words("spill"), 0.5, true), h("p", {}, words("spill_hint")),
      earlier.length ? choice(words("spill_day"), [...earlier.map(([day, last]) => [stamp(Date.parse(last)), day]), [today, words("today")]],
        (value) => { when = value; }, "spill_day") : null,
      filled.length > 1 ? h("details", {}, h("summary", {}, words("where_it_fell")),
        several(words("parts"), filled.map((part) => [part.label, part.label]), fell)) : null,
      field("people", words("people")), field("hours", words("hours"), 0.5),
      h("h2", {}, words("in_the_end")), field("left", words("left_over"), 0.5), field("returned", words("returned"), 1),
      missingLine(), button(words("save"))),
    back(`job/${id}`),
  ];
}

export function noteView(app, id, label) {
  const text = h("textarea", { id: "remark", rows: 4, maxlength: 1000 });
  const photos = [];
  const path = label ? at(id, label) : `job/${id}`;
  const save = () => {
    if (!text.value.trim()) return missing("remark");
    app.go(path);
    return app.record(id, clean({ kind: "note", cavity: label, remark: text.value.trim(), photos: photos.length ? photos : null }));
  };
  return [
    h("h1", {}, words("note")),
    form(save, h("label", { for: "remark" }, words("remark")), text,
      photoButton(app, id, {}, (photo) => photos.push(photo)), missingLine(), button(words("save"))),
    back(path),
  ];
}

/** A photo of a part, or of the job, and of no entry, with what it shows. */
export function photoView(app, id, label) {
  const [caption, shows] = textField("caption", words("caption"), { maxlength: 200, required: true });
  const input = h("input", { id: "picture", type: "file", accept: "image/*", capture: "environment" });
  const path = label ? at(id, label) : `job/${id}`;
  const save = async () => {
    if (!input.files.length || !shows.value.trim()) return missing(input.files.length ? "caption" : "picture");
    const here = location.hash;
    const kept = await app.recordPhoto(id, input.files[0], clean({ cavity: label, caption: shows.value.trim() })).catch(() => null);
    if (kept === null) return app.notice(words("no_picture"));
    return location.hash === here ? app.go(path) : undefined;
  };
  return [
    h("h1", {}, label ? `${label}: ${words("photo")}` : words("photo")),
    form(save, h("label", { for: "picture" }, words("photo")), input, caption, shows, missingLine(), button(words("save"))),
    back(path),
  ];
}
