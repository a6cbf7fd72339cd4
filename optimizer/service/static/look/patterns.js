// Pencil patterns of the garden plan: kinds of ground differ by pattern as well as by colour.

import { s } from "../dom.js";

const tile = (id, size, ...inside) =>
  s(
    "pattern",
    { id: `p-${id}`, width: size, height: size, patternUnits: "userSpaceOnUse" },
    s("rect", { width: size, height: size, class: `wash-${id}` }),
    ...inside,
  );
const stroke = (d) => s("path", { d, class: "pencil" });
const dots = (...at) => at.map(([cx, cy]) => s("circle", { cx, cy, r: 1, class: "dot" }));

export const patterns = () =>
  s(
    "defs",
    {},
    tile("lot", 22, stroke("M4 10l1-4 1 4M15 19l1-4 1 4")),
    tile("hole", 5, stroke("M2.5 0V5")),
    tile("building", 8, stroke("M0 8L8 0")),
    tile("tree", 9, dots([3, 3], [7, 7])),
    tile("people", 8, s("path", { d: "M4 1v6M1 4h6", class: "pencil faint" })),
    tile("keep_out", 10, stroke("M0 3q2.5-3 5 0t5 0M0 8q2.5-3 5 0t5 0")),
    tile("mast_spot", 10, s("circle", { cx: 5, cy: 5, r: 2, class: "pencil" })),
  );

/** Symbols of places, about the origin. */
export const MARKS = {
  support: "M-5-5H5V5H-5Z",
  radio: "M-6 5V-4H6V5ZM-2-4L4-11",
  mast_spot: "M0-8A8 8 0 1 0 .01-8M-11 0H11M0-11V11",
  tree: "M0-3A3 3 0 1 0 .01-3",
};
