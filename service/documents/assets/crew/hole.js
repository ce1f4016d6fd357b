// A hole that the plan does not have: made by the crew, or a pipe, cable or duct that goes through; and whether it is closed.

import { at, back, bayChoice, button, clean, form, missing, missingLine, partOf, photoButton } from "./form.js";
import { choice, numberField } from "./keypad.js";
import { h } from "./page.js";
import { words } from "./words.js";

const PURPOSES = ["service", "inspection", "entry"];

export function holeView(app, id, label) {
  const part = partOf(app, id, label);
  const hole = { kind: "hole", cavity: label, bay: part.bays === 1 ? 1 : null };
  const photos = [];
  const name = h("input", { id: "tag", maxlength: 80, autocomplete: "off" });
  const size = (field) => numberField(words(field), { name: field, step: 5, onchange: (value) => { hole[field] = value; } });
  const save = (closed) => {
    const tag = name.value.trim();
    const lacks = !hole.purpose ? "purpose" : !tag ? "tag" : ["width_mm", "height_mm"].find((each) => !(hole[each] > 0));
    if (lacks) return missing(lacks);
    app.go(at(id, label));
    const entries = [{ ...hole, tag, photos: photos.length ? photos : null }];
    if (closed === "closed") entries.push({ kind: "patch", cavity: label, tag });
    return app.record(id, ...entries.map(clean));
  };
  return [
    h("h1", {}, `${label}: ${words("another_hole")}`),
    form(save,
      choice(words("hole_is"), PURPOSES.map((each) => [each, words(`purpose_${each}`)]), (purpose) => { hole.purpose = purpose; }, "purpose"),
      h("label", { for: "tag" }, words("hole_name")), name,
      size("width_mm"), size("height_mm"),
      bayChoice(part, (bay) => { hole.bay = bay; }, { label: words("bay_or_none") }),
      photoButton(app, id, {}, (photo) => photos.push(photo)), missingLine(),
      button(words("save_closed"), "closed"), button(words("save_open"), "open", "other")),
    back(at(id, label)),
  ];
}
