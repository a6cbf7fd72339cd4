"""Distances between segments, polygons and prisms, in compiled loops [m].

Arrays: a plan segment is a row x1, y1, x2, y2; a segment in space x1, y1, z1, x2, y2, z2; polygons are given by all
their edges (holes included) and tested by the even-odd rule. Everything is exact save `convex_gap`, whose search
over directions stops at 1e-9 rad. All functions are called from one place, `clearance`.
Kept in one file, because the compiler's cache watches only the file that holds the function.
Sources: closest points of two segments: Ericson, Real-Time Collision Detection (2005), section 5.1.9; distance of
convex sets as
the largest gap between supporting lines: Boyd and Vandenberghe, Convex Optimization (2004), section 8.1.3 (both from
memory).
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

FAR_M = 1e9
TINY_M = 1e-9
_JIT = dict(cache=True, error_model="numpy", no_cfunc_wrapper=True)
_INNER = dict(error_model="numpy", no_cfunc_wrapper=True, no_cpython_wrapper=True)  # called from compiled code only: a third less to compile
GOLDEN = 0.5 * (math.sqrt(5.0) - 1.0)


@njit(**_INNER)
def _clamp(t):
    return min(1.0, max(0.0, t))


@njit(**_INNER)
def _point_edge(x, y, e):
    """Plan distance of a point from an edge."""
    ux, uy = e[2] - e[0], e[3] - e[1]
    size = ux * ux + uy * uy
    t = _clamp(((x - e[0]) * ux + (y - e[1]) * uy) / size) if size > 0.0 else 0.0
    return math.hypot(x - e[0] - t * ux, y - e[1] - t * uy)


@njit(**_INNER)
def _segments_apart(ax, ay, az, bx, by, bz, cx, cy, cz, dx, dy, dz):
    """Distance of segment a-b from segment c-d in space."""
    ux, uy, uz = bx - ax, by - ay, bz - az
    vx, vy, vz = dx - cx, dy - cy, dz - cz
    rx, ry, rz = ax - cx, ay - cy, az - cz
    uu, vv = ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz
    vr = vx * rx + vy * ry + vz * rz
    if uu < 1e-18 and vv < 1e-18:
        s = t = 0.0
    elif uu < 1e-18:
        s, t = 0.0, _clamp(vr / vv)
    else:
        ur = ux * rx + uy * ry + uz * rz
        if vv < 1e-18:
            s, t = _clamp(-ur / uu), 0.0
        else:
            uv = ux * vx + uy * vy + uz * vz
            det = uu * vv - uv * uv
            s = _clamp((uv * vr - ur * vv) / det) if det > 1e-14 * uu * vv else 0.0
            t = (uv * s + vr) / vv
            if t < 0.0:
                s, t = _clamp(-ur / uu), 0.0
            elif t > 1.0:
                s, t = _clamp((uv - ur) / uu), 1.0
    gx, gy, gz = rx + s * ux - t * vx, ry + s * uy - t * vy, rz + s * uz - t * vz
    return math.sqrt(gx * gx + gy * gy + gz * gz)


@njit(**_JIT)
def inside(x, y, edges):
    """Even-odd rule; on the edge either answer."""
    odd = False
    for i in range(len(edges)):
        x1, y1, x2, y2 = edges[i, 0], edges[i, 1], edges[i, 2], edges[i, 3]
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            odd = not odd
    return odd


@njit(**_JIT)
def edge_distance(x, y, edges):
    """Plan distance of a point from the nearest edge."""
    least = FAR_M
    for i in range(len(edges)):
        e = edges[i]
        if min(e[0], e[2]) - x < least and x - max(e[0], e[2]) < least:
            if min(e[1], e[3]) - y < least and y - max(e[1], e[3]) < least:
                least = min(least, _point_edge(x, y, e))
    return least


@njit(**_INNER)
def _crossings(ax, ay, bx, by, edges):
    """Sorted places (0..1) at which a plan segment meets edges, with 0 and 1."""
    cuts = np.empty(2 * len(edges) + 2)
    cuts[0], cuts[1], count = 0.0, 1.0, 2
    ux, uy = bx - ax, by - ay
    for i in range(len(edges)):
        e = edges[i]
        vx, vy = e[2] - e[0], e[3] - e[1]
        det = ux * vy - uy * vx
        if abs(det) > 1e-15:
            rx, ry = e[0] - ax, e[1] - ay
            s, t = (rx * vy - ry * vx) / det, (rx * uy - ry * ux) / det
            if 0.0 < s < 1.0 and -1e-12 <= t <= 1.0 + 1e-12:
                cuts[count] = s
                count += 1
        else:
            size = ux * ux + uy * uy
            if size > 0.0:
                for k in range(2):
                    s = ((e[2 * k] - ax) * ux + (e[2 * k + 1] - ay) * uy) / size
                    if 0.0 < s < 1.0:
                        cuts[count] = s
                        count += 1
    return _sorted(cuts[:count])


@njit(**_INNER)
def _sorted(values):
    """In place, by insertion: a handful of values."""
    for i in range(1, len(values)):
        v, j = values[i], i
        while j > 0 and values[j - 1] > v:
            values[j] = values[j - 1]
            j -= 1
        values[j] = v
    return values


@njit(**_INNER)
def _nearest_edge(ax, ay, bx, by, edges, least):
    """The lesser of `least` and the plan distance of a segment from all edges; boxes apart are passed over."""
    for i in range(len(edges)):
        e = edges[i]
        if min(e[0], e[2]) - max(ax, bx) < least and min(ax, bx) - max(e[0], e[2]) < least:
            if min(e[1], e[3]) - max(ay, by) < least and min(ay, by) - max(e[1], e[3]) < least:
                least = min(least, _segments_apart(ax, ay, 0.0, bx, by, 0.0, e[0], e[1], 0.0, e[2], e[3], 0.0))
    return least


@njit(**_INNER)
def _length_outside(ax, ay, bx, by, edges):
    """Plan length of a segment outside the area."""
    cuts = _crossings(ax, ay, bx, by, edges)
    length, outside = math.hypot(bx - ax, by - ay), 0.0
    for k in range(len(cuts) - 1):
        mid = 0.5 * (cuts[k] + cuts[k + 1])
        x, y = ax + mid * (bx - ax), ay + mid * (by - ay)
        if not inside(x, y, edges) and edge_distance(x, y, edges) > TINY_M:
            outside += (cuts[k + 1] - cuts[k]) * length
    return outside


@njit(**_JIT)
def area_margin(segments, edges):
    """Least plan distance to the edge of an area; below zero: farthest reach out plus length outside.

    segments : (S, 4) plan pieces; a point is a piece of no length
    edges    : (E, 4) of the area
    """
    least, reach, outside = FAR_M, 0.0, 0.0
    for i in range(len(segments)):
        ax, ay, bx, by = segments[i, 0], segments[i, 1], segments[i, 2], segments[i, 3]
        near = _nearest_edge(ax, ay, bx, by, edges, max(least, 1e-3))
        least = min(least, near)
        out_a, out_b = not inside(ax, ay, edges), not inside(bx, by, edges)
        if out_a:
            reach = max(reach, edge_distance(ax, ay, edges))
        if out_b:
            reach = max(reach, edge_distance(bx, by, edges))
        if out_a or out_b or near <= TINY_M:
            outside += _length_outside(ax, ay, bx, by, edges)
    if reach > TINY_M or outside > TINY_M:
        return -(reach + outside)
    return least


@njit(**_INNER)
def _piece_prism(ax, ay, az, bx, by, bz, edges, low, high):
    """Signed distance of a piece, wholly below, within or above a prism's heights, from the prism."""
    middle = 0.5 * (az + bz)
    if middle > high or middle < low:
        level, sign = (high, 1.0) if middle > high else (low, -1.0)
        gap = FAR_M
        for i in range(len(edges)):
            e = edges[i]
            gap = min(gap, _segments_apart(ax, ay, az, bx, by, bz, e[0], e[1], level, e[2], e[3], level))
        if inside(ax, ay, edges):
            gap = min(gap, sign * (az - level))
        if inside(bx, by, edges):
            gap = min(gap, sign * (bz - level))
        return max(gap, 0.0)
    gap = _nearest_edge(ax, ay, bx, by, edges, FAR_M)
    if gap > TINY_M and not inside(ax, ay, edges):
        return gap
    cuts = _crossings(ax, ay, bx, by, edges)
    length = math.sqrt((bx - ax) ** 2 + (by - ay) ** 2 + (bz - az) ** 2)
    within = 0.0
    for k in range(len(cuts) - 1):
        mid = 0.5 * (cuts[k] + cuts[k + 1])
        x, y = ax + mid * (bx - ax), ay + mid * (by - ay)
        if inside(x, y, edges):
            depth = edge_distance(x, y, edges)
            if depth > TINY_M:
                within += (cuts[k + 1] - cuts[k]) * length + depth
    return -within if within > 0.0 else gap


@njit(**_JIT)
def prism_gap(segments, edges, low, high):
    """Least distance of segments (S, 6) from an upright prism low..high; below zero: length inside plus depth."""
    gap, within = FAR_M, 0.0
    for i in range(len(segments)):
        s = segments[i]
        dz = s[5] - s[2]
        first = second = 0.0
        if dz != 0.0:
            first, second = _clamp((low - s[2]) / dz), _clamp((high - s[2]) / dz)
            if first > second:
                first, second = second, first
        for k in range(3):
            t = 0.0 if k == 0 else first if k == 1 else second
            u = first if k == 0 else second if k == 1 else 1.0
            if u == t and not (dz == 0.0 and k == 2):
                continue
            ax, ay, az = s[0] + t * (s[3] - s[0]), s[1] + t * (s[4] - s[1]), s[2] + t * dz
            bx, by, bz = s[0] + u * (s[3] - s[0]), s[1] + u * (s[4] - s[1]), s[2] + u * dz
            d = _piece_prism(ax, ay, az, bx, by, bz, edges, low, high)
            if d < 0.0:
                within -= d
            else:
                gap = min(gap, d)
    return -within if within > 0.0 else gap


@njit(**_JIT)
def outside_circle(segments, x, y, radius):
    """The parts of segments (S, 6) whose plan lies outside a circle."""
    parts = np.empty((2 * len(segments), 6))
    count = 0
    for i in range(len(segments)):
        s = segments[i]
        ux, uy, rx, ry = s[3] - s[0], s[4] - s[1], s[0] - x, s[1] - y
        a, b, c = ux * ux + uy * uy, ux * rx + uy * ry, rx * rx + ry * ry - radius * radius
        first, second = 0.0, 0.0 if c > 0.0 else 1.0  # the circle holds first..second of the segment
        if a > 1e-18:
            root = math.sqrt(max(b * b - a * c, 0.0))
            first, second = _clamp((-b - root) / a), _clamp((-b + root) / a)
        for k in range(2):
            t, u = (0.0, first) if k == 0 else (second, 1.0)
            if u > t:
                for c in range(3):
                    parts[count, c] = s[c] + t * (s[3 + c] - s[c])
                    parts[count, 3 + c] = s[c] + u * (s[3 + c] - s[c])
                count += 1
    return parts[:count]


@njit(**_JIT)
def farthest_from_run(points, run):
    """Greatest distance of points (N, 3) from the polyline through `run` (H, 3)."""
    farthest = 0.0
    for i in range(len(points)):
        p, near = points[i], FAR_M
        for k in range(len(run) - 1):
            a, b = run[k], run[k + 1]
            near = min(near, _segments_apart(p[0], p[1], p[2], p[0], p[1], p[2], a[0], a[1], a[2], b[0], b[1], b[2]))
        farthest = max(farthest, near)
    return farthest


@njit(**_INNER)
def _cylinder_at(s, t, x, y, radius, height):
    """Signed distance of a point of a segment from an upright cylinder that stands on the ground."""
    px, py, pz = s[0] + t * (s[3] - s[0]), s[1] + t * (s[4] - s[1]), s[2] + t * (s[5] - s[2])
    out, up = math.hypot(px - x, py - y) - radius, pz - height
    if out <= 0.0 and up <= 0.0:
        return max(out, up)
    return math.hypot(max(out, 0.0), max(up, 0.0))


@njit(**_JIT)
def cylinder_gap(segments, x, y, radius, height):
    """Least signed distance of segments (S, 6) from a cylinder; convex along a segment: a section search."""
    gap = FAR_M
    for i in range(len(segments)):
        s = segments[i]
        aside = max(min(s[0], s[3]) - x, x - max(s[0], s[3]), min(s[1], s[4]) - y, y - max(s[1], s[4])) - radius
        if aside > gap:
            continue
        low, high = 0.0, 1.0
        for _ in range(40):
            a, b = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
            if _cylinder_at(segments[i], a, x, y, radius, height) < _cylinder_at(segments[i], b, x, y, radius, height):
                high = b
            else:
                low = a
        for t in (0.0, 0.5 * (low + high), 1.0):
            gap = min(gap, _cylinder_at(segments[i], t, x, y, radius, height))
    return gap


@njit(**_JIT)
def level_line_gap(segments, edges, heights, clearances):
    """Least of (distance in space - clearance) between segments (S, 6) and level lines (E, 4)."""
    gap = FAR_M
    for i in range(len(segments)):
        s = segments[i]
        for j in range(len(edges)):
            e, z = edges[j], heights[j]
            d = _segments_apart(s[0], s[1], s[2], s[3], s[4], s[5], e[0], e[1], z, e[2], e[3], z)
            gap = min(gap, d - clearances[j])
    return gap


@njit(**_JIT)
def disc_gap(discs, edges, clearances):
    """Least of (plan distance of discs (D, 3: x, y, radius) from lines (E, 4) - clearance)."""
    gap = FAR_M
    for i in range(len(discs)):
        for j in range(len(edges)):
            d = _point_edge(discs[i, 0], discs[i, 1], edges[j]) - discs[i, 2]
            gap = min(gap, d - clearances[j])
    return gap


@njit(**_INNER)
def _apart_along(angle, e, cx, cy, turn, major, minor):
    """Gap between an ellipse and a segment as seen along one direction."""
    ux, uy = math.cos(angle), math.sin(angle)
    nearest = min(ux * (e[0] - cx) + uy * (e[1] - cy), ux * (e[2] - cx) + uy * (e[3] - cy))
    return nearest - math.hypot(major * math.cos(angle - turn), minor * math.sin(angle - turn))


@njit(**_JIT)
def convex_gap(e, cx, cy, turn, major, minor):
    """Signed plan distance of a segment from an ellipse of half axes `major`, `minor`, turned by `turn`."""
    best, at, step = -FAR_M, 0.0, 2.0 * math.pi / 48.0
    for k in range(48):
        g = _apart_along(k * step, e, cx, cy, turn, major, minor)
        if g > best:
            best, at = g, k * step
    low, high = at - step, at + step
    for _ in range(45):
        a, b = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
        if _apart_along(a, e, cx, cy, turn, major, minor) > _apart_along(b, e, cx, cy, turn, major, minor):
            high = b
        else:
            low = a
    return max(best, _apart_along(0.5 * (low + high), e, cx, cy, turn, major, minor))


@njit(**_JIT)
def ellipse_gap(ellipses, edges, clearances):
    """Least of (plan distance of ellipses (K, 5: two foci, sum of distances) from lines (E, 4) - clearance)."""
    gap = FAR_M
    for i in range(len(ellipses)):
        x1, y1, x2, y2, total = ellipses[i]
        half = 0.5 * math.hypot(x2 - x1, y2 - y1)
        major = max(0.5 * total, half)
        minor = math.sqrt(max(major * major - half * half, 0.0))
        cx, cy, turn = 0.5 * (x1 + x2), 0.5 * (y1 + y2), math.atan2(y2 - y1, x2 - x1)
        for j in range(len(edges)):
            if _point_edge(cx, cy, edges[j]) - major - clearances[j] < gap:
                gap = min(gap, convex_gap(edges[j], cx, cy, turn, major, minor) - clearances[j])
    return gap
