// The drawing as SVG, back to front. Pure: what is drawn follows from drawing, state and view.
// Everything that can be grasped carries data-grip (corner, side, add, body) with its feature id and index.

import { s } from "../dom.js";
import { MARKS } from "../look/patterns.js";
import { area, distance, labelPoint, middle, sides } from "./geometry.js";
import { ROLES, titleOf } from "./roles.js";

const ORDER = ["lot", "people", "keep_out", "mast_spot", "building", "tree", "overhead_line", "support", "radio"];
export const metres = (m) => `${m.toFixed(m < 100 ? 2 : 1)} m`;

export function scene(drawing, state, view) {
  const features = [...drawing.features].sort((a, b) => ORDER.indexOf(a.role) - ORDER.indexOf(b.role));
  const chosen = features.find((f) => f.id === state.selected?.id);
  return [
    s("g", { "aria-hidden": "true" }, grid(view)),
    ...features.map((f) => shape(f, view, f === chosen)),
    s("g", { class: "labels", "aria-hidden": "true" }, labels(features, view, chosen)),
    chosen ? handles(chosen, state, view) : null,
    state.draft?.length || state.cursor || state.box ? draft(state, view) : null,
    s("g", {}, state.faults.filter((f) => f.at && !f.hint).map((f) => flag(f, view))),
    scaleBar(view),
    north(view),
  ];
}

function grid(view) {
  const step = view.grid, lines = [];
  const [x0, y0] = view.metres([0, view.height]), [x1, y1] = view.metres([view.width, 0]);
  for (let x = Math.ceil(x0 / step) * step; x <= x1; x += step) lines.push(`M${view.at([x, 0])[0].toFixed(1)} 0V${view.height}`);
  for (let y = Math.ceil(y0 / step) * step; y <= y1; y += step) lines.push(`M0 ${view.at([0, y])[1].toFixed(1)}H${view.width}`);
  return s("path", { d: lines.join(""), class: "grid" });
}

const outline = (points, view, closed) => "M" + points.map((p) => view.at(p).map((c) => c.toFixed(1)).join(" ")).join("L") + (closed ? "Z" : "");

function shape(f, view, chosen) {
  const css = `thing role-${f.role}${chosen ? " chosen" : ""}${f.role === "overhead_line" && f.props.kind !== "telecom" ? " power" : ""}`;
  const grip = { data: { grip: "body", id: f.id }, class: css };
  if (f.shape === "Polygon")
    return s("path", { ...grip, d: [f.points, ...f.holes].map((p) => outline(p, view, true)).join(""), "fill-rule": "evenodd", fill: `url(#p-${f.role})` });
  if (f.shape === "LineString") return s("g", {}, s("path", { ...grip, class: "grasp", d: outline(f.points, view) }), s("path", { ...grip, d: outline(f.points, view) }));
  const [x, y] = view.at(f.points[0]);
  const crown = f.role === "tree" ? s("circle", { ...grip, cx: x, cy: y, r: Math.max(6, (f.props.crown_radius_m ?? 1) * view.scale), fill: "url(#p-tree)" }) : null;
  return s("g", {}, crown, s("circle", { cx: x, cy: y, r: 18, class: "grasp", data: { grip: "body", id: f.id } }), s("path", { ...grip, d: MARKS[f.role], transform: `translate(${x} ${y})` }));
}

/** Names, each at the first of a few places where it covers no other; what is crowded out is told by the list. */
function labels(features, view, chosen) {
  const taken = [], first = [...features].sort((a, b) => Number(b === chosen) - Number(a === chosen));
  return first.map((f) => label(f, view, taken, f === chosen));
}

function label(f, view, taken, must) {
  if (f.role === "lot") return null;
  const [x, y] = view.at(f.shape === "LineString" ? middle(f.points[0], f.points[1]) : labelPoint(f.points));
  const high = f.props.height_m && f.role !== "people" ? `, ${f.props.height_m} m` : "";
  const danger = f.role === "overhead_line" && f.props.kind !== "telecom" ? "⚡ " : "";
  const text = `${danger}${titleOf(f)}${high}`, wide = 6.4 * text.length + 4;
  const spots = f.shape === "Point" ? [[0, 24], [wide / 2 + 14, 4], [-wide / 2 - 14, 4], [0, -14], [0, 40]] : f.shape === "LineString" ? [[0, -8], [0, 18]] : [[0, 4], [0, 22], [0, -14]];
  const free = spots.find(([dx, dy]) => !taken.some((t) => Math.abs(t[0] - x - dx) < (t[2] + wide) / 2 && Math.abs(t[1] - y - dy) < 15)) ?? (must ? spots[0] : null);
  if (!free) return null;
  taken.push([x + free[0], y + free[1], wide]);
  return s("text", { x: x + free[0], y: y + free[1], "text-anchor": "middle", class: "label" }, text);
}

/** Corners, side lengths and the plus signs between, of the chosen feature. */
function handles(f, state, view) {
  const closed = f.shape === "Polygon", pairs = sides(f.points, closed);
  const lengths = f.shape === "Point" ? [] : pairs.map(([a, b], i) => sideLabel(f, i, a, b, view));
  const adds = f.shape === "Point" ? [] : pairs.map(([a, b], i) => addHandle(f, i, a, b, view));
  const corners = f.points.map((p, i) => corner(f, i, p, state.selected?.corner === i, view));
  const size = closed ? s("text", { ...place(view.at(labelPoint(f.points)), 0, f.role === "lot" ? 4 : 20), "text-anchor": "middle", class: "label size" }, `${area(f.points).toFixed(1)} m²`) : null;
  return s("g", { class: "handles" }, lengths, adds, size, corners);
}

const place = ([x, y], dx = 0, dy = 0) => ({ x: x + dx, y: y + dy });

function sideLabel(f, i, a, b, view) {
  if (distance(a, b) * view.scale < 46) return null;
  const [x, y] = view.at(middle(a, b)), text = metres(distance(a, b));
  const [nx, ny] = outward(a, b, f.points);
  return s("g", { class: "side", data: { grip: "side", id: f.id, index: i }, transform: `translate(${(x + 40 * nx).toFixed(1)} ${(y - 20 * ny).toFixed(1)})` },
    s("rect", { x: -29, y: -11, width: 58, height: 22, rx: 11 }), s("text", { "text-anchor": "middle", y: 4 }, text), s("title", {}, "Tap to type this length"));
}

/** Unit normal of a side that points away from the middle of the shape. */
function outward(a, b, points) {
  const long = distance(a, b) || 1, n = [(b[1] - a[1]) / long, -(b[0] - a[0]) / long];
  const mid = middle(a, b), heart = labelPoint(points);
  return (mid[0] - heart[0]) * n[0] + (mid[1] - heart[1]) * n[1] < 0 ? [-n[0], -n[1]] : n;
}

function addHandle(f, i, a, b, view) {
  if (distance(a, b) * view.scale < 60) return null;
  const [x, y] = view.at(middle(a, b));
  return s("g", { class: "add", data: { grip: "add", id: f.id, index: i }, transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` },
    s("circle", { r: 14, class: "grasp" }), s("circle", { r: 6 }), s("path", { d: "M-3 0H3M0-3V3" }), s("title", {}, "Add a corner here"));
}

function corner(f, i, p, chosen, view) {
  const [x, y] = view.at(p);
  const words = `${titleOf(f)}, corner ${i + 1} of ${f.points.length}: ${p[0].toFixed(2)} m east, ${p[1].toFixed(2)} m north`;
  return s("g", { class: `corner${chosen ? " chosen" : ""}`, tabindex: "0", role: "button", "aria-label": words, data: { grip: "corner", id: f.id, index: i }, transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` },
    s("circle", { r: 16, class: "grasp" }), s("circle", { r: chosen ? 8 : 6 }), f.role === "lot" ? s("text", { x: 10, y: -10, class: "label letter" }, letter(i)) : null);
}

export const letter = (i) => (i < 26 ? String.fromCharCode(65 + i) : `P${i + 1}`);

/** Corners tapped so far, with the piece that follows the pointer. */
function draft(state, view) {
  const points = state.draft ?? [], all = state.box ? [...state.box, state.box[0]] : state.cursor ? [...points, state.cursor] : points;
  const parts = [s("path", { d: all.length ? outline(all, view) : "", class: "draft" })];
  for (const [i, p] of points.entries()) {
    const [cx, cy] = view.at(p);
    parts.push(s("circle", { cx, cy, r: i === 0 && points.length > 2 ? 11 : 5, class: i === 0 && points.length > 2 ? "close" : "dot-strong" }));
  }
  for (const [a, b] of sides(all, false)) parts.push(s("text", { ...place(view.at(middle(a, b)), 0, -8), "text-anchor": "middle", class: "label" }, metres(distance(a, b))));
  if (state.cursor && !state.box) parts.push(s("path", { d: "M-9 0H9M0-9V9", class: "cross", transform: `translate(${view.at(state.cursor).join(" ")})` }));
  return s("g", { class: "drafting", "aria-hidden": "true" }, parts);
}

function flag(fault, view) {
  const [x, y] = view.at(fault.at);
  return s("g", { class: "flag", data: { grip: "fault", id: fault.id ?? "" }, transform: `translate(${x.toFixed(1)} ${(y - 20).toFixed(1)})` },
    s("path", { d: "M0-12L12 9H-12Z" }), s("text", { "text-anchor": "middle", y: 6 }, "!"), s("title", {}, fault.text));
}

function scaleBar(view) {
  const long = [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500].filter((m) => m * view.scale <= Math.max(60, view.width / 4)).pop() ?? 0.5;
  const y = view.height - 16, wide = long * view.scale;
  return s("g", { class: "bar", "aria-hidden": "true" }, s("path", { d: `M14 ${y - 5}V${y}H${14 + wide}V${y - 5}` }), s("text", { x: 20 + wide, y: y + 3, class: "label" }, `${long} m`));
}

const north = (view) =>
  s("g", { class: "north", "aria-hidden": "true", transform: `translate(${view.width - 24} 30)` }, s("path", { d: "M0-20L6 8L0 3L-6 8Z" }), s("text", { y: 22, "text-anchor": "middle", class: "label" }, "N"));

