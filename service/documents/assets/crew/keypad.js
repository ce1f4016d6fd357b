// A large keypad for a gloved thumb: a number is typed, stepped up or down, and shown large.

import { h, read } from "./page.js";
import { words } from "./words.js";

/** A field for a number; `onchange` is told the number, or null where there is none. Nothing is filled in before. */
export function numberField(label, { step = 1, name, unit = "", onchange = () => {} }) {
  const input = h("input", {
    id: name, name, inputmode: "decimal", autocomplete: "off", oninput: () => onchange(read(input.value)),
  });
  const change = (by) => {
    const next = Math.max(0, (read(input.value) ?? 0) + by);
    input.value = String(Math.round(next * 100) / 100);
    onchange(next);
  };
  return h("div", { class: "number" },
    h("label", { for: name }, unit ? `${label} (${unit})` : label),
    h("div", { class: "row" },
      h("button", { type: "button", class: "step", "aria-label": `${label}: ${words("minus")}`, onclick: () => change(-step) }, "−"),
      input,
      h("button", { type: "button", class: "step", "aria-label": `${label}: ${words("plus")}`, onclick: () => change(step) }, "+")),
    keys(input, onchange));
}

function keys(input, onchange) {
  const press = (key) => () => {
    input.value = key === "⌫" ? input.value.slice(0, -1) : input.value + key;
    onchange(read(input.value));
  };
  return h("div", { class: "keys" }, ["1", "2", "3", "4", "5", "6", "7", "8", "9", ",", "0", "⌫"].map((key) =>
    h("button", { type: "button", "aria-label": key === "⌫" ? words("delete") : null, onclick: press(key) }, key)));
}

/** Buttons of which one is chosen; nothing is chosen before. */
export function choice(label, options, onchange) {
  const group = h("fieldset", { class: "choice" }, h("legend", {}, label));
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
