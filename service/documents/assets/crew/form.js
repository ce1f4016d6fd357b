// What every form of the page has: what is sent, what is left out, a photo beside it, and the way back.

import { choice, numberField } from "./keypad.js";
import { h } from "./page.js";
import { partsOf } from "./plan.js";
import { words } from "./words.js";

export const partOf = (app, id, label) => partsOf(app.job(id).plan).find((part) => part.label === label);
export const at = (id, label, more = "") => `job/${id}/part/${encodeURIComponent(label)}${more}`;
export const link = (path, text, kind = "") => h("a", { href: `#/${path}`, class: `act ${kind}` }, text);
export const back = (path) => link(path, words("back"), "quiet");

/** A form that `save`s; which of its buttons was used is told by the button's value. */
export function form(save, ...children) {
  return h("form", {
    novalidate: true,
    onsubmit: (event) => { event.preventDefault(); save(event.submitter?.value ?? ""); },
  }, ...children);
}

export const button = (text, value = "", kind = "main") => h("button", { class: kind, value }, text);

/** The entry without what nobody said. */
export function clean(entry) {
  return Object.fromEntries(Object.entries(entry).filter(([, value]) => value !== null && value !== undefined));
}

/** Take the eye to what is missing, instead of sending nothing without a word. */
export function missing(...names) {
  const field = names.map((name) => document.getElementById(name)).find(Boolean);
  field?.focus();
  field?.scrollIntoView({ block: "center" });
  const told = document.getElementById("missing");
  if (told) told.textContent = words("something_missing");
}

export const missingLine = () => h("p", { id: "missing", class: "caution", role: "status" });

export function photoButton(app, id, query, named = () => {}) {
  const count = h("output", { class: "count" });
  const taken = [];
  const input = h("input", {
    type: "file", accept: "image/*", capture: "environment", class: "file", name: "photo",
    onchange: async () => {
      for (const file of [...input.files]) {
        const photo = await app.recordPhoto(id, file, query).catch(() => null);
        if (photo === null) { count.textContent = words("no_picture"); continue; }
        taken.push(photo);
        named(photo);
        count.textContent = ` ${words("photos_kept", { count: taken.length })}`;
      }
      input.value = "";
    },
  });
  return h("label", { class: "act" }, words("photo"), input, count);
}

/** Which bay: by its button where the plan knows them, else by its number. */
export function bayChoice(part, onchosen, { id = "bay", planned = [], label = words("core_bay") } = {}) {
  if (part.bays === 1) return null;
  if (!part.baysKnown) return numberField(label, { name: id, onchange: onchosen });
  const marked = new Set(planned);
  const bays = part.order.length ? [...part.order].sort((a, b) => a - b) : Array.from({ length: part.bays }, (_, each) => each + 1);
  return choice(label, bays.map((bay) => [bay, String(bay), marked.has(bay)]), onchosen, id);
}

/** Bags, or kilograms where they were weighed; the amount goes into the entry under its own name. */
export function amount(entry, { kilograms = false } = {}) {
  const field = (name, label, step, open) => numberField(words(label), {
    name, step, open, onchange: (value) => { entry[name] = value; },
  });
  return [field("bags", "bags", 0.5, true), kilograms ? field("mass_kg", "kilograms", 1, false) : null];
}

export const lotsOf = (app, id) =>
  [...new Set(app.entries(id).filter((each) => each.kind === "delivery" && each.bags && each.lot).map((each) => each.lot))];

/** What is so or is not said: it goes into the entry under its own name. */
export const tick = (entry, name) => h("label", { class: "tick" }, h("input", {
  type: "checkbox", name, onchange: (event) => { entry[name] = event.target.checked || null; },
}), words(name));

/** The lot: told, and said, where there is one; asked for where more than one was delivered. */
export function lotChoice(app, id, entry) {
  const lots = lotsOf(app, id);
  if (lots.length === 1) {
    [entry.lot] = lots;
    return h("p", {}, words("lot_says", { lot: entry.lot }));
  }
  if (!lots.length) return null;
  return choice(words("lot"), lots.map((lot) => [lot, lot]), (lot) => { entry.lot = lot; }, "lot");
}
