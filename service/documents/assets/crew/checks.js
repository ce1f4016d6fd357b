// Hold points: the general ones signed together, those that ask for more one by one.

import { back, clean, form } from "./form.js";
import { numberField } from "./keypad.js";
import { h } from "./page.js";
import { allows, needsReading, pointsOf } from "./plan.js";
import { theirs, words } from "./words.js";

// What was ticked is kept while the page shows something else: it is nothing yet, and not to be ticked again.
const ticked = new Map();

export function checksView(app, id, stage) {
  const open = openOf(app, id, stage);
  const general = byCode(open.filter((point) => point.general));
  return [
    h("h1", {}, words(`checks_${stage}`)),
    open.length ? null : h("p", { class: "good" }, words("nothing_missing")),
    general.length ? generalForm(app, id, stage, general) : null,
    ...open.filter((point) => !point.general).map((point, place, all) => single(app, id, point, all[place - 1]?.code === point.code)),
    back(`job/${id}`),
  ].filter(Boolean);
}

const openOf = (app, id, stage) =>
  pointsOf(app.job(id).plan, stage, app.entries(id)).filter((point) => point.open);

/** Record an answer; after the last one of its stage the job is shown again, to who has not gone on already. */
async function answered(app, id, stage, entry) {
  const here = location.hash;
  await app.record(id, entry);
  if (!openOf(app, id, stage).length && location.hash === here) app.go(`job/${id}`);
}

/** Points that several parts share are one sentence; it names the parts. */
function byCode(points) {
  const found = new Map();
  for (const point of points) {
    const known = found.get(point.code);
    if (known) known.parts.push(point.cavity);
    else found.set(point.code, { ...point, parts: point.cavity ? [point.cavity] : [] });
  }
  return [...found.values()];
}

function generalForm(app, id, stage, points) {
  const key = `${id} ${stage}`;
  const ticks = ticked.get(key) ?? new Set();
  ticked.set(key, ticks);
  const sign = h("button", { class: "main", disabled: !ticks.size }, words("all_ticked", { count: ticks.size }));
  const tick = (code) => (event) => {
    event.target.checked ? ticks.add(code) : ticks.delete(code);
    sign.disabled = !ticks.size;
    sign.textContent = words("all_ticked", { count: ticks.size });
  };
  return form(() => {
    ticked.delete(key);
    return answered(app, id, stage, { kind: "checks", points: [...ticks].map((code) => ({ code, answer: "clear" })) });
  },
    h("p", {}, words("tick_each")),
    points.map((point) => h("div", { class: "point" },
      h("label", { class: "tick" }, h("input", { type: "checkbox", name: point.code, checked: ticks.has(point.code), onchange: tick(point.code) }),
        h("span", {}, point.parts.length ? h("strong", {}, `${point.parts.join(", ")}: `) : null, theirs(point.text))),
      h("details", {}, h("summary", {}, words("differs")), (point.parts.length ? point.parts : [null]).map((part) => [
        point.parts.length > 1 ? h("p", {}, part) : null,
        answers(app, id, { ...point, cavity: part }, () => null, ["dealt_with", "not_applicable", "stopped"])])))),
    sign);
}

/** A point by itself; what several parts are asked is written out for the first of them. */
function single(app, id, point, again) {
  let reading = null;
  const told = h("p", { class: "caution", role: "status" });
  const name = `reading-${point.code}-${point.cavity ?? ""}`;
  const field = point.reading && numberField(words("reading", { unit: point.reading.unit }), {
    name, onchange: (value) => {
      reading = value;
      told.textContent = value !== null && !allows(point, value) ? words("beyond") : "";
    },
  });
  const need = () => { told.textContent = words("something_missing"); document.getElementById(name).focus(); };
  return h("section", { class: "point" },
    h("p", {}, point.cavity ? h("strong", {}, `${point.cavity}: `) : null, again ? words("the_same") : theirs(point.text)),
    field, point.reading ? limitOf(point.reading) : null, point.reading ? told : null,
    answers(app, id, point, () => reading, ["clear", "dealt_with", "not_applicable", "stopped"], need));
}

function limitOf({ unit, least, most }) {
  const said = [
    least === undefined || least === null ? null : words("limit_least", { least, unit }),
    most === undefined || most === null ? null : words("limit", { most, unit }),
  ].filter(Boolean);
  return said.length ? h("p", { class: "limit" }, said.join(", ")) : null;
}

function answers(app, id, point, reading, offered, need = () => {}) {
  const answer = (said) => () => {
    const value = reading();
    if (point.reading && needsReading(said) && value === null) return need();
    if (point.reading && ["clear", "not_applicable"].includes(said) && value !== null && !allows(point, value)) return undefined;
    return answered(app, id, point.stage, clean({ kind: "check", code: point.code, cavity: point.cavity, answer: said, reading: value }));
  };
  return h("div", { class: "answers" }, offered.map((said) =>
    h("button", { type: "button", class: said === "stopped" ? "stop" : "", onclick: answer(said) }, words(said))));
}
