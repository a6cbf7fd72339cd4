// The drawing as SVG, back to front. Pure: what is drawn follows from drawing, state and view.
// Everything that can be grasped carries data-grip (corner, side, add, body) with its feature id and index.

import { s } from "../dom.js";
import { MARKS } from "../look/patterns.js";
import { labelPoint, middle } from "./geometry.js";
import { outline } from "./outline.js";
import { draft, handles } from "./handles.js";
import { titleOf } from "./roles.js";

const ORDER = ["lot", "people", "keep_out", "mast_spot", "building", "tree", "overhead_line", "support", "radio"];

export function scene(drawing, state, view) {
  const features = [...drawing.features].sort((a, b) => ORDER.indexOf(a.role) - ORDER.indexOf(b.role));
  const chosen = features.find((f) => f.id === state.selected?.id);
  return [
    s("g", { "aria-hidden": "true" }, grid(view)),
    ...features.map((f) => shape(f, view, f === chosen)),
    s("g", { class: "labels", "aria-hidden": "true" }, labels(features, view, chosen)),
    chosen ? handles(chosen, state, view) : null,
    state.draft?.length || state.cursor || state.box ? draft(state, view) : null,
    s(
      "g",
      {},
      state.faults.filter((f) => f.at && !f.hint).map((f) => flag(f, view)),
    ),
    scaleBar(view),
    north(view),
  ];
}

function grid(view) {
  const step = view.grid,
    lines = [];
  const [x0, y0] = view.metres([0, view.height]),
    [x1, y1] = view.metres([view.width, 0]);
  for (let x = Math.ceil(x0 / step) * step; x <= x1; x += step) lines.push(`M${view.at([x, 0])[0].toFixed(1)} 0V${view.height}`);
  for (let y = Math.ceil(y0 / step) * step; y <= y1; y += step) lines.push(`M0 ${view.at([0, y])[1].toFixed(1)}H${view.width}`);
  return s("path", { d: lines.join(""), class: "grid" });
}

function shape(f, view, chosen) {
  const css = `thing role-${f.role}${chosen ? " chosen" : ""}${f.role === "overhead_line" && f.props.kind !== "telecom" ? " power" : ""}`;
  const grip = { data: { grip: "body", id: f.id }, class: css };
  if (f.shape === "Polygon") {
    const d = [f.points, ...f.holes].map((p) => outline(p, view, true)).join("");
    const area = s("path", { ...grip, d, "fill-rule": "evenodd", fill: `url(#p-${f.role})` });
    if (f.role !== "lot" || !f.holes.length) return area;
    return s(
      "g",
      {},
      area,
      f.holes.map((p) => s("path", { d: outline(p, view, true), class: "not-yours", fill: "url(#p-hole)" }, s("title", {}, "not your ground"))),
    );
  }
  if (f.shape === "LineString")
    return s("g", {}, s("path", { ...grip, class: "grasp", d: outline(f.points, view) }), s("path", { ...grip, d: outline(f.points, view) }));
  const [x, y] = view.at(f.points[0]);
  const crown =
    f.role === "tree"
      ? s("circle", { ...grip, cx: x, cy: y, r: Math.max(6, (f.props.crown_radius_m ?? 1) * view.scale), fill: "url(#p-tree)" })
      : null;
  return s(
    "g",
    {},
    crown,
    s("circle", { cx: x, cy: y, r: 18, class: "grasp", data: { grip: "body", id: f.id } }),
    s("path", { ...grip, d: MARKS[f.role], transform: `translate(${x} ${y})` }),
  );
}

const KEYS_Y = [70, 90, 110, 130, 150, 170, 190]; // of the keys over the drawing's right edge [px]: no name under them

/** Names, each at the first of a few places where it covers no other; what is crowded out is told by the list. */
function labels(features, view, chosen) {
  const taken = KEYS_Y.map((y) => [view.width - 28, y, 40]),
    first = [...features].sort((a, b) => Number(b === chosen) - Number(a === chosen));
  return first.map((f) => label(f, view, taken, f === chosen));
}

function label(f, view, taken, must) {
  if (f.role === "lot") return null;
  const [x, y] = view.at(f.shape === "LineString" ? middle(f.points[0], f.points[1]) : labelPoint(f.points));
  const high = f.props.height_m && f.role !== "people" ? `, ${f.props.height_m} m` : "";
  const danger = f.role === "overhead_line" && f.props.kind !== "telecom" ? "⚡ " : "";
  const text = `${danger}${titleOf(f)}${high}`,
    wide = 6.4 * text.length + 4;
  const spots =
    f.shape === "Point"
      ? [
          [0, 24],
          [wide / 2 + 14, 4],
          [-wide / 2 - 14, 4],
          [0, -14],
          [0, 40],
        ]
      : f.shape === "LineString"
        ? [
            [0, -8],
            [0, 18],
          ]
        : [
            [0, 4],
            [0, 22],
            [0, -14],
          ];
  const free =
    spots.find(([dx, dy]) => !taken.some((t) => Math.abs(t[0] - x - dx) < (t[2] + wide) / 2 && Math.abs(t[1] - y - dy) < 15)) ??
    (must ? spots[0] : null);
  if (!free) return null;
  taken.push([x + free[0], y + free[1], wide]);
  return s("text", { x: x + free[0], y: y + free[1], "text-anchor": "middle", class: "label" }, text);
}

function flag(fault, view) {
  const [x, y] = view.at(fault.at);
  return s(
    "g",
    { class: "flag", data: { grip: "fault", id: fault.id ?? "" }, transform: `translate(${x.toFixed(1)} ${(y - 20).toFixed(1)})` },
    s("path", { d: "M0-12L12 9H-12Z" }),
    s("text", { "text-anchor": "middle", y: 6 }, "!"),
    s("title", {}, fault.text),
  );
}

function scaleBar(view) {
  const long = [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500].filter((m) => m * view.scale <= Math.max(60, view.width / 4)).pop() ?? 0.5;
  const y = view.height - 16,
    wide = long * view.scale;
  return s(
    "g",
    { class: "bar", "aria-hidden": "true" },
    s("path", { d: `M14 ${y - 5}V${y}H${14 + wide}V${y - 5}` }),
    s("text", { x: 20 + wide, y: y + 3, class: "label" }, `${long} m`),
  );
}

const north = (view) =>
  s(
    "g",
    { class: "north", "aria-hidden": "true", transform: `translate(${view.width - 24} 30)` },
    s("path", { d: "M0-20L6 8L0 3L-6 8Z" }),
    s("text", { y: 22, "text-anchor": "middle", class: "label" }, "N"),
  );
