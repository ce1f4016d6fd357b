// A large keypad for a gloved thumb: a number is typed, stepped up or down, and shown large.

import { h, read } from "./page.js";
import { words } from "./words.js";

const KEYS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ",", "0", "⌫"];

/**
 * A field for a number; `onchange` is told the number, or null where there is none. Nothing is filled in before.
 * Its keypad shows while it is used, and from the start where it is `open`: one at a time.
 */
export function numberField(label, { step = 1, name, open = false, onchange = () => {} }) {
  const input = h("input", {
    id: name, name, inputmode: "none", autocomplete: "off", oninput: () => onchange(read(input.value)), onfocus: () => use(field),
  });
  const change = (by) => {
    const next = Math.max(0, Math.round(((read(input.value) ?? 0) + by) * 100) / 100);
    input.value = String(next);
    onchange(next);
  };
  const field = h("div", { class: open ? "number used" : "number" },
    h("label", { for: name }, label),
    h("div", { class: "row" },
      h("button", { type: "button", class: "step", "aria-label": `${label}: ${words("minus")}`, onclick: () => change(-step) }, "−"),
      input,
      h("button", { type: "button", class: "step", "aria-label": `${label}: ${words("plus")}`, onclick: () => change(step) }, "+")),
    keys(label, input, onchange));
  return field;
}

/** Show this field's keypad in the place of any other's. */
function use(field) {
  for (const other of document.querySelectorAll(".number.used")) other.classList.remove("used");
  field.classList.add("used");
}

function keys(label, input, onchange) {
  const press = (key) => () => {
    input.value = key === "⌫" ? input.value.slice(0, -1) : input.value + key;
    onchange(read(input.value));
  };
  return h("div", { class: "keys", role: "group", "aria-label": label }, KEYS.map((key) =>
    h("button", { type: "button", "aria-label": key === "⌫" ? words("delete") : null, onclick: press(key) }, key)));
}

/** Buttons of which one is chosen; nothing is chosen before. */
export function choice(label, options, onchange, id = null) {
  const group = h("fieldset", { class: "choice", id, tabindex: -1 }, h("legend", {}, label));
  for (const [value, text, planned] of options) {
    group.append(h("button", {
      type: "button", "aria-pressed": "false", class: planned ? "planned" : "",
      onclick: (event) => {
        for (const each of group.querySelectorAll("button")) each.setAttribute("aria-pressed", "false");
        event.currentTarget.setAttribute("aria-pressed", "true");
        onchange(value);
      },
    }, text));
  }
  return group;
}

/** Buttons of which any number is chosen; `chosen` holds their values. */
export function several(label, options, chosen) {
  return h("fieldset", { class: "choice" }, h("legend", {}, label), options.map(([value, text]) => h("button", {
    type: "button", "aria-pressed": String(chosen.has(value)),
    onclick: (event) => {
      chosen.has(value) ? chosen.delete(value) : chosen.add(value);
      event.currentTarget.setAttribute("aria-pressed", String(chosen.has(value)));
    },
  }, text)));
}
