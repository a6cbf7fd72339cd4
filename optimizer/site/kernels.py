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

from ..physics.compiled import INNER, JIT, greater, lesser

FAR_M = 1e9
TINY_M = 1e-9
GOLDEN = 0.5 * (math.sqrt(5.0) - 1.0)


@njit(**INNER)
def _clamp(t):
    return lesser(1.0, greater(0.0, t))


@njit(**INNER)
def _point_edge(x, y, e):
    """Plan distance of a point from an edge."""
    ux, uy = e[2] - e[0], e[3] - e[1]
    size = ux * ux + uy * uy
    t = _clamp(((x - e[0]) * ux + (y - e[1]) * uy) / size) if size > 0.0 else 0.0
    return math.hypot(x - e[0] - t * ux, y - e[1] - t * uy)


@njit(**INNER)
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


@njit(**JIT)
def inside(x, y, edges):
    """Even-odd rule; on the edge either answer."""
    odd = False
    for i in range(len(edges)):
        x1, y1, x2, y2 = edges[i, 0], edges[i, 1], edges[i, 2], edges[i, 3]
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            odd = not odd
    return odd


@njit(**JIT)
def _mask_inside(edges, points, out):
    for i in range(len(points)):
        out[i] = inside(points[i, 0], points[i, 1], edges)


def mask_inside(edges, points):
    """`inside` for points (N, 2 or more): bool (N,)."""
    out = np.zeros(len(points), bool)
    _mask_inside(edges, points, out)
    return out


@njit(**JIT)
def edge_distance(x, y, edges):
    """Plan distance of a point from the nearest edge."""
    least = FAR_M
    for i in range(len(edges)):
        least = lesser(least, _point_edge(x, y, edges[i]))
    return least


@njit(**INNER)
def _from_outline(ax, ay, az, bx, by, bz, edges, level, least):
    """The lesser of `least` and the distance of segment a-b from all edges at a level."""
    for i in range(len(edges)):
        least = lesser(least, _segments_apart(ax, ay, az, bx, by, bz, edges[i, 0], edges[i, 1], level, edges[i, 2], edges[i, 3], level))
    return least


@njit(**JIT)
def prism_gap(segments, edges, low, high):
    """Least distance of segments (S, 6) from an upright prism low..high, either of them infinite; -1 where one goes in.

    The nearest place of the prism is on a wall (beside the part of the segment between the heights), on an edge of its top or
    bottom, or straight above or below an end of the segment.
    """
    gap = FAR_M
    for i in range(len(segments)):
        ax, ay, az = segments[i, 0], segments[i, 1], segments[i, 2]
        bx, by, bz = segments[i, 3], segments[i, 4], segments[i, 5]
        rise = bz - az
        first, second = 0.0, 1.0 if low <= az <= high else -1.0  # the part between the heights
        if rise != 0.0:
            first, second = _clamp((low - az) / rise), _clamp((high - az) / rise)
            if rise < 0.0:
                first, second = second, first
        if second > first:
            x, y = ax + first * (bx - ax), ay + first * (by - ay)
            gap = _from_outline(x, y, 0.0, ax + second * (bx - ax), ay + second * (by - ay), 0.0, edges, 0.0, gap)
            if gap <= TINY_M or inside(x, y, edges):
                return -1.0
        for side in range(2):
            level, up = (high, 1.0) if side == 0 else (low, -1.0)
            over_a, over_b = up * (az - level), up * (bz - level)
            if over_a > 0.0 or over_b > 0.0:
                gap = _from_outline(ax, ay, az, bx, by, bz, edges, level, gap)
                if 0.0 < over_a < gap and inside(ax, ay, edges):
                    gap = over_a
                if 0.0 < over_b < gap and inside(bx, by, edges):
                    gap = over_b
    return gap


@njit(**JIT)
def farthest_from_run(points, run):
    """Greatest distance of points (N, 3) from the polyline through `run` (H, 3)."""
    farthest = 0.0
    for i in range(len(points)):
        p, near = points[i], FAR_M
        for k in range(len(run) - 1):
            a, b = run[k], run[k + 1]
            near = lesser(near, _segments_apart(p[0], p[1], p[2], p[0], p[1], p[2], a[0], a[1], a[2], b[0], b[1], b[2]))
        farthest = greater(farthest, near)
    return farthest


@njit(**INNER)
def _cylinder_at(s, t, x, y, radius, height):
    """Signed distance of a point of a segment from an upright cylinder that stands on the ground."""
    px, py, pz = s[0] + t * (s[3] - s[0]), s[1] + t * (s[4] - s[1]), s[2] + t * (s[5] - s[2])
    out, up = math.hypot(px - x, py - y) - radius, pz - height
    if out <= 0.0 and up <= 0.0:
        return greater(out, up)
    return math.hypot(greater(out, 0.0), greater(up, 0.0))


@njit(**JIT)
def cylinder_gap(segments, x, y, radius, height):
    """Least signed distance of segments (S, 6) from a cylinder; convex along a segment: a section search."""
    gap = FAR_M
    for i in range(len(segments)):
        s = segments[i]
        aside = greater(greater(lesser(s[0], s[3]) - x, x - greater(s[0], s[3])), greater(lesser(s[1], s[4]) - y, y - greater(s[1], s[4]))) - radius
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
            gap = lesser(gap, _cylinder_at(segments[i], t, x, y, radius, height))
    return gap


@njit(**JIT)
def level_line_gap(segments, edges, heights, clearances):
    """Least of (distance in space - clearance) between segments (S, 6) and level lines (E, 4)."""
    gap = FAR_M
    for i in range(len(segments)):
        s = segments[i]
        for j in range(len(edges)):
            e, z = edges[j], heights[j]
            d = _segments_apart(s[0], s[1], s[2], s[3], s[4], s[5], e[0], e[1], z, e[2], e[3], z)
            gap = lesser(gap, d - clearances[j])
    return gap


@njit(**JIT)
def disc_gap(discs, edges, clearances):
    """Least of (plan distance of discs (D, 3: x, y, radius) from lines (E, 4) - clearance)."""
    gap = FAR_M
    for i in range(len(discs)):
        for j in range(len(edges)):
            d = _point_edge(discs[i, 0], discs[i, 1], edges[j]) - discs[i, 2]
            gap = lesser(gap, d - clearances[j])
    return gap


@njit(**INNER)
def _apart_along(angle, e, cx, cy, turn, major, minor):
    """Gap between an ellipse and a segment as seen along one direction."""
    ux, uy = math.cos(angle), math.sin(angle)
    nearest = lesser(ux * (e[0] - cx) + uy * (e[1] - cy), ux * (e[2] - cx) + uy * (e[3] - cy))
    return nearest - math.hypot(major * math.cos(angle - turn), minor * math.sin(angle - turn))


@njit(**JIT)
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
    return greater(best, _apart_along(0.5 * (low + high), e, cx, cy, turn, major, minor))


@njit(**JIT)
def ellipse_gap(ellipses, edges, clearances):
    """Least of (plan distance of ellipses (K, 5: two foci, sum of distances) from lines (E, 4) - clearance)."""
    gap = FAR_M
    for i in range(len(ellipses)):
        x1, y1, x2, y2, total = ellipses[i]
        half = 0.5 * math.hypot(x2 - x1, y2 - y1)
        major = greater(0.5 * total, half)
        minor = math.sqrt(greater(major * major - half * half, 0.0))
        cx, cy, turn = 0.5 * (x1 + x2), 0.5 * (y1 + y2), math.atan2(y2 - y1, x2 - x1)
        for j in range(len(edges)):
            if _point_edge(cx, cy, edges[j]) - major - clearances[j] < gap:
                gap = lesser(gap, convex_gap(edges[j], cx, cy, turn, major, minor) - clearances[j])
    return gap
