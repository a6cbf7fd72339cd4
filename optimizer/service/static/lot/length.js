// Typing the length of a side on the plan, at the side.

import { clear, h } from "../dom.js";
import { distance, middle, sides } from "./geometry.js";
import { find, withSideLength } from "./model.js";

/** A box over the plan and the function that opens it for a side. */
export function lengthEntry(editor, svg) {
  const box = h("div", { class: "typing", hidden: true });
  function ask(id, side) {
    const feature = find(editor.drawing, id),
      [a, b] = sides(feature.points, feature.shape === "Polygon")[side];
    const entry = h("input", {
      type: "number",
      step: "any",
      min: 0,
      value: distance(a, b).toFixed(2),
      "aria-label": "length of this side in metres",
    });
    const done = (keep) => {
      if (box.hidden) return;
      box.hidden = true;
      if (keep && Number(entry.value) > 0) editor.set(withSideLength(editor.drawing, id, side, Number(entry.value)));
      svg.focus({ preventScroll: true });
    };
    entry.addEventListener("keydown", (e) => {
      if (e.key === "Enter") done(true);
      if (e.key === "Escape") done(false);
    });
    entry.addEventListener("blur", () => done(true));
    clear(box, h("label", {}, "this side ", entry, " m"));
    const [x, y] = editor.view.at(middle(a, b));
    box.style.left = `${Math.max(4, Math.min(x - 60, editor.view.width - 150))}px`;
    box.style.top = `${Math.max(4, y - 22)}px`;
    box.hidden = false;
    entry.select();
  }
  return { box, ask };
}
