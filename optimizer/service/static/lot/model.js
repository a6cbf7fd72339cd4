// The drawing as a frozen record, with undo. A feature: {id, role, name, shape, points: [[x, y], …], holes: [[…]], props: {…}}.
// `survey`, where the lot was taped: how the tapes fit, as the service solved it. Every change makes a new drawing; `History` keeps the old ones.

import { startProps } from "./roles.js";

const FRESH_SITE = { name: "My garden", height_limit_m: 9, itu_region: 1, currency: "EUR", setback_m: 0, soil: "average", wind_m_per_s: 25 };

export const emptyDrawing = () => ({ site: { ...FRESH_SITE }, origin: null, features: [], tapes: [] });

let made = 0;
export const newId = () => `f${Date.now().toString(36)}${(++made).toString(36)}`;

export const find = (drawing, id) => drawing.features.find((f) => f.id === id);
export const lotOf = (drawing) => drawing.features.find((f) => f.role === "lot");

export function added(drawing, role, shape, points, more = {}) {
  const others = role === "lot" || role === "radio" ? drawing.features.filter((f) => f.role !== role) : drawing.features;
  const feature = { id: newId(), role, name: "", shape, points, holes: [], props: startProps(role), ...more };
  return [{ ...drawing, features: [...others, feature] }, feature.id];
}

export const removed = (drawing, id) => ({ ...drawing, features: drawing.features.filter((f) => f.id !== id) });

export const changed = (drawing, id, part) => ({ ...drawing, features: drawing.features.map((f) => (f.id === id ? { ...f, ...part } : f)) });

export const withProp = (drawing, id, key, value) => {
  const props = { ...find(drawing, id).props };
  if (value === null || value === undefined) delete props[key];
  else props[key] = value;
  return changed(drawing, id, { props });
};

export const movedCorner = (drawing, id, index, to) =>
  changed(drawing, id, { points: find(drawing, id).points.map((p, i) => (i === index ? to : p)) });

export function movedWhole(drawing, id, by) {
  const shift = (p) => [p[0] + by[0], p[1] + by[1]];
  const feature = find(drawing, id);
  return changed(drawing, id, { points: feature.points.map(shift), holes: feature.holes.map((hole) => hole.map(shift)) });
}

export const withCorner = (drawing, id, after, at) => {
  const points = [...find(drawing, id).points];
  points.splice(after + 1, 0, at);
  return changed(drawing, id, { points });
};

/** Least corners a shape can do with. */
const LEAST = { Point: 1, LineString: 2, Polygon: 3 };

export function withoutCorner(drawing, id, index) {
  const feature = find(drawing, id);
  if (feature.points.length <= LEAST[feature.shape]) return removed(drawing, id);
  return changed(drawing, id, { points: feature.points.filter((_, i) => i !== index) });
}

/** A side given a length: its far corner moves along the side. Where the shape is square there, the next side moves with it, so that a rectangle stays one. */
export function withSideLength(drawing, id, side, length) {
  const feature = find(drawing, id),
    { points } = feature,
    n = points.length,
    far = (side + 1) % n;
  const a = points[side],
    b = points[far],
    now = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (!(length > 0) || !(now > 0)) return drawing;
  const by = [0, 1].map((i) => ((b[i] - a[i]) * (length - now)) / now);
  const moved = feature.shape === "Polygon" && n >= 4 && isSquare(points, side) ? [far, (side + 2) % n] : [far];
  return changed(drawing, id, { points: points.map((p, i) => (moved.includes(i) ? p.map((c, k) => Number((c + by[k]).toFixed(3))) : p)) });
}

/** Is the side after this one square to it, and the one after that along it again? */
function isSquare(points, side) {
  const at = (k) => points[(side + k) % points.length];
  const way = (p, q) => Math.atan2(q[1] - p[1], q[0] - p[0]);
  const first = way(at(0), at(1)),
    off = (angle) => Math.abs(angle - Math.PI * Math.round(angle / Math.PI));
  return off(way(at(1), at(2)) - first - Math.PI / 2) < 0.01 && off(way(at(2), at(3)) - first) < 0.01;
}

export const withSite = (drawing, part) => ({ ...drawing, site: { ...drawing.site, ...part } });

/** Past, present and future of a drawing. */
export class History {
  constructor(drawing, onChange) {
    Object.assign(this, { past: [], now: drawing, future: [], onChange, held: null });
  }
  /** A finished change. */
  set(drawing) {
    if (drawing === this.now) return;
    this.past.push(this.held ?? this.now);
    this.past.splice(0, Math.max(0, this.past.length - 200));
    this.held = null;
    this.future = [];
    this.now = drawing;
    this.onChange();
  }
  /** A change on its way (a drag): shown, but undone as one step. */
  show(drawing) {
    this.held ??= this.now;
    this.now = drawing;
    this.onChange(true);
  }
  /** The end of a drag. */
  settle() {
    if (this.held === null) return;
    const to = this.now;
    this.now = this.held;
    this.held = null;
    this.set(to);
  }
  undo() {
    if (!this.past.length) return;
    this.future.push(this.now);
    this.now = this.past.pop();
    this.onChange();
  }
  redo() {
    if (!this.future.length) return;
    this.past.push(this.now);
    this.now = this.future.pop();
    this.onChange();
  }
}
