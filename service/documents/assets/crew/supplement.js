// What nobody planned: proposed from the phone as what it is like, without a price, and what became of it.

import { at, back, button, clean, form, link, missing, missingLine, partOf } from "./form.js";
import { choice, numberField } from "./keypad.js";
import { h, shown, uuid7 } from "./page.js";
import { saidOf } from "./plan.js";
import * as server from "./server.js";
import { words } from "./words.js";

const textField = (id, label, most, onchange) => [
  h("label", { for: id }, label),
  h("input", { id, autocomplete: "off", maxlength: most, oninput: (event) => onchange(event.target.value.trim() || null) }),
];

/** What was proposed for a job, how far it has come and what that means; and what else can be proposed. */
export function supplementsView(app, id) {
  const known = app.job(id).proposed ?? [];
  return [
    h("h1", {}, words("supplements")),
    h("p", {}, words("supplements_hint")),
    h("ul", { class: "conditions" },
      app.proposals(id).map((each) => h("li", {}, h("p", {}, told(each)), h("p", {}, words("sent_soon")))),
      known.map((each) => h("li", {}, standingOf(app, id, each)))),
    h("h2", {}, words("like_which")),
    h("div", { class: "acts" }, app.job(id).plan.cavities.map((each) => link(at(id, each.label, "/otherwise"), each.label))),
    h("h2", {}, words("something_else")),
    elseForm(app, id),
    back(`job/${id}`),
  ];
}

function standingOf(app, id, each) {
  return [
    h("p", {}, h("strong", {}, `${each.number}: ${words(`supplement_${stateOf(each)}`)}`), ` ${told(each)}`),
    h("p", {}, words(`means_${stateOf(each)}`), each.reason ? ` ${words("reason")}: ${each.reason}` : ""),
    each.state === "proposed" ? h("button", { type: "button", class: "stop", onclick: () => takeBack(app, id, each) }, words("withdraw")) : null,
  ];
}

function takeBack(app, id, each) {
  return app.ask(id, `supplements/${each.id}/withdrawal`, {}, `${each.number}: ${words("withdraw")}`);
}

const stateOf = (each) => (each.agreed && each.state !== "accepted" ? "taken_over" : each.state);

/** What a proposal says, in few words. */
function told(each) {
  const added = each.parts ?? (each.cavities ?? []).map((cavity) => cavity.label);
  const gone = each.dropped ?? (each.counts ?? []).filter((count) => count.count === 0).map((count) => count.cavity);
  return [
    added.length ? words("adds_parts", { parts: added.join(", ") }) : null,
    gone.length ? words("leaves_out", { parts: gone.join(", ") }) : null,
    ...(each.lines ?? []).map((line) => `${line.text}: ${shown(line.quantity, 2)} ${line.unit}`),
    each.remark ? `(${each.remark})` : null,
  ].filter(Boolean).join("; ");
}

/** Of a part: that a supplement brings it, or leaves it out, and what that means as long as nobody accepted it. */
export function supplementOf(app, id, label) {
  const known = app.job(id).proposed ?? [];
  const its = (each) => each.parts.includes(label) || (each.dropped.includes(label) && each.state !== "withdrawn");
  return known.filter(its).map((each) => h("p", { class: each.agreed ? "good" : "caution" },
    `${each.number}: ${words(`supplement_${stateOf(each)}`)}. `,
    each.dropped.includes(label) ? words("leaves_out", { parts: label }) : words(`means_${stateOf(each)}`)));
}

function propose(app, id, body) {
  const said = { id: uuid7(server.now()), by: app.state.who, ...clean(body) };
  return app.ask(id, "supplements", said, `${words("supplement")}: ${told(said)}`);
}

function elseForm(app, id) {
  const line = { text: null, quantity: null, unit: null };
  const save = () => {
    const lacks = [["else_text", line.text], ["quantity", line.quantity], ["else_unit", line.unit]].find(([, value]) => !value);
    if (lacks) return missing(lacks[0]);
    app.go(`job/${id}/supplements`);
    return propose(app, id, { lines: [line] });
  };
  return form(save,
    ...textField("else_text", words("else_text"), 200, (text) => { line.text = text; }),
    numberField(words("quantity"), { name: "quantity", onchange: (value) => { line.quantity = value; } }),
    ...textField("else_unit", words("unit"), 20, (text) => { line.unit = text; }),
    missingLine(), button(words("propose")));
}

// --- a part that is like another one ---------------------------------------------------------------

/** Another part like this one, this one otherwise than it was planned, or this one not there at all. */
export function otherwiseView(app, id, label) {
  const part = partOf(app, id, label);
  const pattern = app.job(id).plan.cavities.find((each) => each.label === label);
  // What was only found there was not begun: it may be why the part is left out.
  const begun = !pattern || saidOf(part, app.entries(id)).all.some((each) => each.kind !== "found");
  const said = { what: null, name: null, place: null, count: null, openings: null, remark: null, sizes: {} };
  const sizes = h("div", { hidden: true }, pattern ? sizeFields(pattern, said) : null);
  const chosen = (what) => { said.what = what; sizes.hidden = what === "absent"; };
  const save = () => {
    const lacks = lacking(pattern, said);
    if (lacks) return missing(lacks);
    app.go(`job/${id}`);
    return propose(app, id, proposal(pattern, said));
  };
  return [
    h("h1", {}, `${label}: ${words("otherwise")}`),
    begun ? h("p", {}, words("begun_stays")) : null,
    pattern ? form(save,
      choice(words("what_is_so"), [["another", words("another_like")], ...(begun ? [] : [["instead", words("instead")], ["absent", words("not_there")]])], chosen, "what"),
      sizes, ...textField("why", words("to_office"), 1000, (text) => { said.remark = text; }),
      missingLine(), button(words("propose"))) : h("p", {}, words("plan_awaited")),
    back(at(id, label)),
  ].filter(Boolean);
}

const layersOf = (pattern) => pattern.layers.map((layer, place) => [`depth-${place + 1}`, layer.depth_mm]);

/** Each size is typed, or said to be the pattern's by a tap: none is taken for granted. */
function sizeFields(pattern, said) {
  const depths = layersOf(pattern);
  const same = (name, label, value, unit) => sizeField(pattern.label, said.sizes, name, label, value, unit);
  return [
    ...textField("name", words("its_name"), 80, (text) => { said.name = text; }),
    ...textField("place", words("its_place"), 80, (text) => { said.place = text; }),
    same("width", words("width_m"), pattern.width_m, "m"), same("height", words("height_m"), pattern.span_m, "m"),
    pattern.profile_m ? h("p", {}, words("rectangle", { part: pattern.label })) : null,
    depths.length > 1 ? layerFields(pattern.label, said.sizes, depths) : same(depths[0][0], words("depth_found"), depths[0][1], "mm"),
    pattern.openings?.length ? choice(words("openings"), [["same", words("openings_same", { part: pattern.label, count: openingsIn(pattern) })],
      ["none", words("openings_none")]], (value) => { said.openings = value; }, "openings") : null,
    numberField(words("how_many"), { name: "count", onchange: (value) => { said.count = value; } }),
  ];
}

const openingsIn = (pattern) => pattern.openings.reduce((sum, each) => sum + (each.count ?? 1), 0);

function sizeField(label, sizes, name, text, value, unit) {
  const same = sameButton(label, shown(value, 3), unit, () => { sizes[name] = value; field.querySelector("input").value = ""; });
  const field = sized(sizes, [name], name, text, unit, same);
  field.append(same);
  return field;
}

/** The layers of a depth: one touch says that all are the pattern's, else each is typed. */
function layerFields(label, sizes, depths) {
  const same = sameButton(label, depths.map(([, depth]) => shown(depth)).join(" + "), "mm", () => {
    for (const [name, depth] of depths) sizes[name] = depth;
    for (const input of group.querySelectorAll("input")) input.value = "";
  });
  const group = h("fieldset", { id: "depths", class: "sizes", tabindex: -1 }, h("legend", {}, words("depth_found")), same,
    depths.map(([name], place) => sized(sizes, depths.map(([each]) => each), name, words("layer_depth", { number: place + 1 }), "mm", same)));
  return group;
}

/** A field for a size; who types one says that it is not the pattern's, nor are `those` that were said with it. */
function sized(sizes, those, name, text, unit, same) {
  return numberField(text, { name, step: unit === "m" ? 0.1 : 5, onchange: (typed) => {
    if (same.getAttribute("aria-pressed") === "true") for (const each of those) sizes[each] = null;
    sizes[name] = typed;
    same.setAttribute("aria-pressed", "false");
  } });
}

function sameButton(part, value, unit, chosen) {
  const button = h("button", { type: "button", class: "same", "aria-pressed": "false", onclick: () => {
    chosen();
    button.setAttribute("aria-pressed", "true");
  } }, words("same_as", { part, value, unit }));
  return button;
}

function lacking(pattern, said) {
  if (!said.what) return "what";
  if (said.what === "absent") return null;
  if (!said.name) return "name";
  const size = ["width", "height", ...layersOf(pattern).map(([name]) => name)].find((name) => !(said.sizes[name] > 0));
  if (size) return size;
  return pattern.openings?.length && !said.openings ? "openings" : null;
}

function proposal(pattern, said) {
  const gone = said.what === "another" ? null : [{ cavity: pattern.label, count: 0 }];
  return { remark: said.remark, counts: gone, cavities: said.what === "absent" ? null : [likeIt(pattern, said)] };
}

/** A part made like the pattern, of these sizes: what the pattern was measured to be is left out where it was another. */
function likeIt(pattern, { name, place, count, openings, sizes }) {
  const resized = sizes.width !== pattern.width_m || sizes.height !== pattern.span_m;
  const layers = pattern.layers.map((layer, index) => ({
    ...layer, depth_mm: sizes[`depth-${index + 1}`], framing: layer.framing && framingOf(layer.framing, sizes.width !== pattern.width_m),
  }));
  const deeper = layers.some((layer, index) => layer.depth_mm !== pattern.layers[index].depth_mm);
  return without({
    ...pattern, label: name, place, count: count > 1 ? count : null, width_m: sizes.width, span_m: sizes.height, layers, surveyed: "drawn",
    profile_m: resized ? null : pattern.profile_m, displaced: null, label_r: deeper ? null : pattern.label_r,
    openings: openings === "same" ? pattern.openings.map((each) => (resized ? { ...each, left_m: null, sill_m: null } : each)) : null,
  });
}

/** Timber that was counted stands otherwise in another width: its spacing holds there. */
const framingOf = (framing, other) => (other && framing.spacing_mm ? { ...framing, members: null, members_at_m: null } : framing);

/** All of it without what nobody said. */
function without(value) {
  if (Array.isArray(value)) return value.map(without);
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(Object.entries(clean(value)).map(([name, each]) => [name, without(each)]));
}
