// What is measured of a part: its depth, its bays as they were met, cores, and thicknesses as blown.

import { at, back, bayChoice, button, clean, form, missing, missingLine, partOf, photoButton } from "./form.js";
import { choice, numberField } from "./keypad.js";
import { h, shown } from "./page.js";
import { coreDensity, depthOf, place, saidOf } from "./plan.js";
import { words } from "./words.js";

export function coreView(app, id, label) {
  const part = partOf(app, id, label);
  const said = saidOf(part, app.entries(id));
  const length = depthOf(part, said);
  const diameter = app.job(id).plan.core_diameter_mm ?? null;
  const entry = { kind: "core", cavity: label, bay: part.bays === 1 ? 1 : null };
  const result = h("output", { class: "result", "aria-live": "polite" });
  const tell = () => result.replaceChildren(...verdictOf(part, entry, diameter, entry.length_mm ?? length));
  const number = (name, label_, open) => numberField(label_, {
    name, open, onchange: (value) => { entry[name] = value; tell(); },
  });
  return [
    h("h1", {}, `${label}: ${words("core")}`),
    form((closed) => {
      const lacks = lacking(entry, length, diameter);
      if (lacks) return missing(lacks);
      app.go(at(id, label));
      return app.record(id, clean({ ...entry, patched: { closed: true, open: false }[closed] }));
    },
      number("mass_g", words("core_mass"), true), result,
      diameter === null ? number("diameter_mm", words("core_diameter"), false) : null,
      length === null ? number("length_mm", words("core_length"), false) : null,
      bayChoice(part, (bay) => { entry.bay = bay; }, { planned: part.sampleBays }),
      choice(words("feel"), [["firm", words("firm")], ["gives_way", words("gives_way")]], (feel) => { entry.feel = feel; }, "feel"),
      missingLine(),
      // A tally closes what was made before it; a core that comes after it says itself what became of its hole.
      said.done ? [button(words("save_closed"), "closed"), button(words("save_open"), "open", "other")] : button(words("save"))),
    back(at(id, label)),
  ];
}

function lacking(entry, length, diameter) {
  if (!(entry.mass_g > 0)) return "mass_g";
  if (diameter === null && !(entry.diameter_mm > 0)) return "diameter_mm";
  if (length === null && !(entry.length_mm > 0)) return "length_mm";
  if (!entry.bay) return "bay";
  return entry.feel ? null : "feel";
}

function verdictOf(part, entry, diameter, length) {
  const across = entry.diameter_mm ?? diameter;
  if (!entry.mass_g || !part.window || across === null) return [];
  if (length === null || length === undefined) return [words("no_depth")];
  const density = coreDensity(entry.mass_g, across, length);
  const where = place(density, part.window);
  const limits = { low: shown(part.window.lowest), high: shown(part.window.highest) };
  return [h("strong", { class: where }, words("density", { density: shown(density, 1) })), ` ${words(where, limits)}`];
}

// --- as found --------------------------------------------------------------------------------------

export function foundView(app, id, label) {
  const part = partOf(app, id, label);
  const depths = [];
  const bay = { kind: "found", cavity: label, bay: part.bays === 1 ? 1 : null };
  const photos = [];
  const depth = { kind: "found", cavity: label, depth_mm: depths };
  const layer = part.layersApart.length
    ? choice(words("which_layer"), part.layersApart.map((mm, place) => [place + 1, `${place + 1}: ${shown(mm)} mm`]), (chosen) => { depth.layer = chosen; }, "layer") : null;
  const record = (entry) => { app.go(at(id, label)); app.record(id, clean({ ...entry, photos: photos.length ? photos : null })); };
  return [
    h("h1", {}, `${label}: ${words("found")}`),
    part.open ? null : severalForm("depth", words("depth_found"), depths, { most: 10, more: layer ? [layer, missingLine()] : [] },
      () => (layer && !depth.layer ? missing("layer") : record(depth))),
    form(() => {
      if (!bay.bay || !bay.state) return missing(bay.bay ? "state" : "bay");
      return record(bay);
    },
      h("h2", {}, words("a_bay")),
      bayChoice(part, (chosen) => { bay.bay = chosen; }),
      choice(words("bay_state"), ["full", "blocked", "absent"].map((state) => [state, words(state)]), (state) => { bay.state = state; }, "state"),
      missingLine(), button(words("save"))),
    photoButton(app, id, {}, (photo) => photos.push(photo)),
    back(at(id, label)),
  ].filter(Boolean);
}

/** One reading or several: what stands in the field when it is saved is a reading too. */
export function severalForm(name, label, readings, { most, places = 0, more = [] }, save) {
  const list = h("p", { "aria-live": "polite", class: "numbers" });
  let typed = null;
  const take = () => {
    if (!(typed > 0) || readings.length >= most) return;
    readings.push(typed);
    typed = null;
    document.getElementById(name).value = "";
    list.textContent = readings.map((each) => shown(each, places)).join(", ");
  };
  return form(() => { take(); return readings.length ? save() : missing(name); },
    numberField(label, { name, open: true, onchange: (value) => { typed = value; } }), list,
    h("button", { type: "button", class: "other", onclick: take }, words("add_depth")), ...more, button(words("save")));
}

export function openBlowView(app, id, label) {
  const depths = [];
  const entry = { kind: "depth_check", cavity: label, markers: null };
  const markers = numberField(words("markers"), { name: "markers", onchange: (value) => { entry.markers = value; } });
  return [
    h("h1", {}, `${label}: ${words("depths")}`),
    severalForm("thickness", words("depths"), depths, { most: 500, more: [markers, missingLine()] }, () => {
      if (entry.markers === null) return missing("markers");
      app.go(at(id, label));
      return app.record(id, { ...entry, depths_mm: depths });
    }),
    back(at(id, label)),
  ];
}
