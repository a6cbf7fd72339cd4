// Plane geometry of the lot: points are [x east, y north] in metres, areas are lists of corners without the closing one.

export const distance = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);
export const middle = (a, b) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
export const rounded = (p, step = 0.01) => p.map((c) => Math.round(c / step) * step).map((c) => Number(c.toFixed(3)));

/** Pairs of neighbouring corners; `closed` joins the last to the first. */
export function sides(points, closed) {
  const pairs = points.slice(1).map((p, i) => [points[i], p]);
  if (closed && points.length > 2) pairs.push([points.at(-1), points[0]]);
  return pairs;
}

/** Signed area by the shoelace rule [m2], positive anticlockwise. */
const signedArea = (points) => sides(points, true).reduce((sum, [a, b]) => sum + a[0] * b[1] - b[0] * a[1], 0) / 2;
export const area = (points) => Math.abs(signedArea(points));

/** Of a feature, less the holes in it [m2]. */
export const groundArea = ({ points, holes = [] }) => holes.reduce((left, hole) => left - area(hole), area(points));

/** Where the label of an area stands: the middle of its bounding box if inside, else the mean of the corners. */
export function labelPoint(points) {
  if (points.length < 3) return points[0];
  const box = bounds(points);
  const mid = middle(box.low, box.high);
  return inside(mid, points) ? mid : [0, 1].map((i) => points.reduce((t, p) => t + p[i], 0) / points.length);
}

export function bounds(points) {
  const xs = points.map((p) => p[0]),
    ys = points.map((p) => p[1]);
  return { low: [Math.min(...xs), Math.min(...ys)], high: [Math.max(...xs), Math.max(...ys)] };
}

/** Even-odd rule. */
export function inside(p, points) {
  let odd = false;
  for (const [a, b] of sides(points, true))
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < a[0] + ((p[1] - a[1]) * (b[0] - a[0])) / (b[1] - a[1])) odd = !odd;
  return odd;
}

/** The point where two segments cross, or null; touching at shared ends does not count. */
function crossing([a, b], [c, d]) {
  const r = [b[0] - a[0], b[1] - a[1]],
    q = [d[0] - c[0], d[1] - c[1]];
  const det = r[0] * q[1] - r[1] * q[0];
  if (Math.abs(det) < 1e-12) return null;
  const w = [c[0] - a[0], c[1] - a[1]];
  const t = (w[0] * q[1] - w[1] * q[0]) / det,
    u = (w[0] * r[1] - w[1] * r[0]) / det;
  const eps = 1e-9;
  return t > eps && t < 1 - eps && u > eps && u < 1 - eps ? [a[0] + t * r[0], a[1] + t * r[1]] : null;
}

/** All points where the edge of an area crosses itself. */
export function selfCrossings(points) {
  const edges = sides(points, true),
    found = [];
  for (let i = 0; i < edges.length; i++)
    for (let j = i + 2; j < edges.length; j++) {
      const at = crossing(edges[i], edges[j]);
      if (at) found.push(at);
    }
  return found;
}

/** Nearest point of a segment. */
export function nearestOn([a, b], p) {
  const u = [b[0] - a[0], b[1] - a[1]],
    size = u[0] ** 2 + u[1] ** 2;
  const t = size ? Math.max(0, Math.min(1, ((p[0] - a[0]) * u[0] + (p[1] - a[1]) * u[1]) / size)) : 0;
  return [a[0] + t * u[0], a[1] + t * u[1]];
}

/** Turned clockwise about a point by degrees. */
export function turned(p, about, deg) {
  const t = (-deg * Math.PI) / 180,
    c = Math.cos(t),
    n = Math.sin(t);
  const [x, y] = [p[0] - about[0], p[1] - about[1]];
  return [about[0] + c * x - n * y, about[1] + n * x + c * y];
}

/** Bearing from one point to another, degrees clockwise from north (y). */
export const bearing = (a, b) => ((Math.atan2(b[0] - a[0], b[1] - a[1]) * 180) / Math.PI + 360) % 360;
