// What shows on the chosen thing and on one being drawn: corners, lengths, plus signs.

import { s } from "../dom.js";
import { distance, groundArea, labelPoint, middle, sides } from "./geometry.js";
import { letter, metres } from "./measures.js";
import { outline } from "./outline.js";
import { titleOf } from "./roles.js";

/** Corners, side lengths and the plus signs between, of the chosen feature. */
export function handles(f, state, view) {
  const closed = f.shape === "Polygon",
    pairs = sides(f.points, closed);
  const lengths = f.shape === "Point" ? [] : pairs.map(([a, b], i) => sideLabel(f, i, a, b, view));
  const adds = f.shape === "Point" ? [] : pairs.map(([a, b], i) => addHandle(f, i, a, b, view));
  const corners = f.points.map((p, i) => corner(f, i, p, state.selected?.corner === i, view));
  const size = closed
    ? s(
        "text",
        { ...place(view.at(labelPoint(f.points)), 0, f.role === "lot" ? 4 : 20), "text-anchor": "middle", class: "label size" },
        `${groundArea(f).toFixed(1)} m²`,
      )
    : null;
  return s("g", { class: "handles" }, lengths, adds, size, corners);
}

const place = ([x, y], dx = 0, dy = 0) => ({ x: x + dx, y: y + dy });

function sideLabel(f, i, a, b, view) {
  if (distance(a, b) * view.scale < 46) return null;
  const [x, y] = view.at(middle(a, b)),
    text = metres(distance(a, b));
  const [nx, ny] = outward(a, b, f.points);
  return s(
    "g",
    { class: "side", data: { grip: "side", id: f.id, index: i }, transform: `translate(${(x + 40 * nx).toFixed(1)} ${(y - 20 * ny).toFixed(1)})` },
    s("rect", { x: -29, y: -11, width: 58, height: 22, rx: 11 }),
    s("text", { "text-anchor": "middle", y: 4 }, text),
    s("title", {}, "Tap to type this length"),
  );
}

/** Unit normal of a side that points away from the middle of the shape. */
function outward(a, b, points) {
  const long = distance(a, b) || 1,
    n = [(b[1] - a[1]) / long, -(b[0] - a[0]) / long];
  const mid = middle(a, b),
    heart = labelPoint(points);
  return (mid[0] - heart[0]) * n[0] + (mid[1] - heart[1]) * n[1] < 0 ? [-n[0], -n[1]] : n;
}

function addHandle(f, i, a, b, view) {
  if (distance(a, b) * view.scale < 60) return null;
  const [x, y] = view.at(middle(a, b));
  return s(
    "g",
    { class: "add", data: { grip: "add", id: f.id, index: i }, transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` },
    s("circle", { r: 14, class: "grasp" }),
    s("circle", { r: 6 }),
    s("path", { d: "M-3 0H3M0-3V3" }),
    s("title", {}, "Add a corner here"),
  );
}

function corner(f, i, p, chosen, view) {
  const [x, y] = view.at(p);
  const words = `${titleOf(f)}, corner ${i + 1} of ${f.points.length}: ${p[0].toFixed(2)} m east, ${p[1].toFixed(2)} m north`;
  return s(
    "g",
    {
      class: `corner${chosen ? " chosen" : ""}`,
      tabindex: "0",
      role: "button",
      "aria-label": words,
      data: { grip: "corner", id: f.id, index: i },
      transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`,
    },
    s("circle", { r: 16, class: "grasp" }),
    s("circle", { r: chosen ? 8 : 6 }),
    f.role === "lot" ? s("text", { x: 10, y: -10, class: "label letter" }, letter(i)) : null,
  );
}

/** Corners tapped so far, with the piece that follows the pointer. */
export function draft(state, view) {
  const points = state.draft ?? [],
    all = state.box ? [...state.box, state.box[0]] : state.cursor ? [...points, state.cursor] : points;
  const parts = [s("path", { d: all.length ? outline(all, view) : "", class: "draft" })];
  for (const [i, p] of points.entries()) {
    const [cx, cy] = view.at(p);
    parts.push(s("circle", { cx, cy, r: i === 0 && points.length > 2 ? 11 : 5, class: i === 0 && points.length > 2 ? "close" : "dot-strong" }));
  }
  for (const [a, b] of sides(all, false))
    parts.push(s("text", { ...place(view.at(middle(a, b)), 0, -8), "text-anchor": "middle", class: "label" }, metres(distance(a, b))));
  if (state.cursor && !state.box)
    parts.push(s("path", { d: "M-9 0H9M0-9V9", class: "cross", transform: `translate(${view.at(state.cursor).join(" ")})` }));
  return s("g", { class: "drafting", "aria-hidden": "true" }, parts);
}
