// A part as it is seen from the side that it is filled from, with the numbered holes of its plan.

import { h } from "./page.js";

const WIDTH = 340;
const MOST_HEIGHT = 300;
// Two numbers side by side can be told apart, and touched, from here on; a wide part is drawn wider than the phone.
const APART = 26;

/** The drawing of a part; `hollow` holes are drawn so, `touched`, where they can be, is called with a hole's number. */
export function elevation(part, words, hollow, touched) {
  if (!part.holes.length && !part.outline.openings.length) return null;
  const { widthM, spanM, top, openings } = part.outline;
  const scale = Math.max(Math.min(WIDTH / widthM, MOST_HEIGHT / spanM), APART / leastGap(part.holes));
  const x = (m) => 1 + m * scale;
  const y = (m) => 1 + (spanM - m) * scale;
  const edge = [[0, 0], ...top, [widthM, 0]].map(([left, high]) => `${x(left)},${y(high)}`).join(" ");
  const name = words("drawing_of", { part: part.label, count: part.holes.length });
  return h("div", { class: "drawing", tabindex: 0, role: "group", "aria-label": name }, h("svg", {
    viewBox: `0 0 ${widthM * scale + 2} ${spanM * scale + 2}`, width: widthM * scale + 2, role: touched ? null : "img", class: "elevation",
    "aria-label": touched ? null : name,
  },
  h("polygon", { points: edge, class: "outline" }),
  openings.map((each) => h("rect", {
    x: x(each.left_m), y: y((each.sill_m ?? 0) + each.height_m), width: each.width_m * scale,
    height: each.height_m * scale, class: "opening",
  })),
  part.holes.map((hole) => holeAt(hole, x(hole.x_m), y(hole.height_m), hollow.has(hole.number), touched))));
}

/** The least distance in metres of two holes' middles; a bay at least where there is one alone. */
function leastGap(holes) {
  let least = 0.6;
  for (const [place, one] of holes.entries()) {
    for (const other of holes.slice(place + 1)) {
      const gap = Math.hypot(one.x_m - other.x_m, one.height_m - other.height_m);
      if (gap > 0) least = Math.min(least, gap);
    }
  }
  return Math.max(least, 0.1);
}

function holeAt(hole, x, y, hollow, touched) {
  const touch = touched && (() => touched(hole.number));
  const acts = touch && {
    onclick: touch, onkeydown: (event) => { if (event.key === " " || event.key === "Enter") { event.preventDefault(); touch(); } },
    tabindex: 0, role: "checkbox", "aria-checked": String(hollow), "aria-label": String(hole.number), "data-hole": hole.number,
  };
  return h("g", { class: hollow ? "hole omitted" : "hole", ...acts },
    touch ? h("circle", { cx: x, cy: y, r: 13, class: "target" }) : null,
    h("circle", { cx: x, cy: y, r: 9 }),
    h("text", { x, y: y + 3.5, "text-anchor": "middle" }, String(hole.number)));
}
