"""Plan geometry of placing, in compiled loops: inside tests, room along bearings, room for a leg, what a design runs into.

Arrays: an area is its edges, rows x1, y1, x2, y2 (holes included, even-odd rule); several areas are their edges one after the other, `first` holds where
each begins (one more than areas), with `kinds` CROWN, HOUSE or NO_WIRE, the heights `bottoms` to `tops` [m] where they bar a wire, and `discs` (x, y, radius) around them.
Polylines are points (N, 3) one after the other with their own `first`. `ways` (B, 2): unit vectors. `holds` (H, 2): supports in use; `counts`: bool for every
area, false for a crown that holds a wire. What is asked for at many places goes into `out`, made by the caller (see `physics.compiled`).
"""

from __future__ import annotations

import math

from numba import njit

from ..physics.compiled import INNER, JIT, greater, lesser
from ..site.kernels import edge_distance, inside

CROWN, HOUSE, NO_WIRE = 0, 1, 2
OK, REACH, HEIGHT, LOT = range(4)  # what `first_out` finds
STEP_M = 0.2  # between samples of a wire over an area
EXEMPT_M = 1.5  # building clearance is not applied this near to a support in use
LOOKED_AT_FROM = 0.35  # of a leg: there, at its end and between it is held against houses and crowns


@njit(**JIT)
def room(edges, x, y, dx, dy):
    """Distance along a unit vector to the next edge, and its index (inf, -1 where there is none)."""
    best, hit = math.inf, -1
    for i in range(len(edges)):
        ex, ey = edges[i, 2] - edges[i, 0], edges[i, 3] - edges[i, 1]
        cross = dx * ey - dy * ex
        if cross == 0.0:
            continue
        ax, ay = edges[i, 0] - x, edges[i, 1] - y
        t = (ax * ey - ay * ex) / cross
        if 1e-9 < t < best and -1e-9 <= (ax * dy - ay * dx) / cross <= 1 + 1e-9:
            best, hit = t, i
    return best, hit


@njit(**JIT)
def rooms(edges, x, y, ways, out):
    """Room along every one of `ways` into out (B,) [m]."""
    for i in range(len(ways)):
        out[i], _ = room(edges, x, y, ways[i, 0], ways[i, 1])


@njit(**INNER)
def _near_hold(x, y, holds):
    for i in range(len(holds)):
        if math.hypot(x - holds[i, 0], y - holds[i, 1]) <= EXEMPT_M:
            return True
    return False


@njit(**JIT)
def leg_missing(lot, blocked, areas, counts, x, y, z, end_m, least_run, line_m, ways, out):
    """Into out (B,) what a leg from (x, y, z) lacks along every way [m]; see `legs.missing`.

    least_run: plan room that it must find; line_m: plan run of wire and cord where there is room; areas: (edges, first, kinds, tops, discs).
    """
    edges, first, kinds, tops, discs = areas
    for i in range(len(ways)):
        dx, dy = ways[i, 0], ways[i, 1]
        free, _ = room(lot, x, y, dx, dy)
        free -= 0.05
        full = lesser(free, line_m)
        lack = least_run - free
        if inside(x + full * dx, y + full * dy, blocked):
            lack = greater(lack, edge_distance(x + full * dx, y + full * dy, blocked))
        for k in range(len(kinds)):
            if not counts[k] or kinds[k] == NO_WIRE or math.hypot(x - discs[k, 0], y - discs[k, 1]) > discs[k, 2] + line_m:
                continue
            mine = edges[first[k] : first[k + 1]]
            for n in range(3):
                t = LOOKED_AT_FROM + n * 0.5 * (1.0 - LOOKED_AT_FROM)
                run = t * full
                low = tops[k] - z - t * (end_m - z)
                if low > lack and run > EXEMPT_M and inside(x + run * dx, y + run * dy, mine):
                    lack = greater(lack, lesser(low, edge_distance(x + run * dx, y + run * dy, mine)))
        out[i] = lack


@njit(**INNER)
def _deepest(mine, bottom, top, points, i, holds, spared):
    """How deep the segment from point i runs into an area between its heights, the shortest way out counted up, down or sideways [m]; 0 where it does not.

    `spared`: not near a hold.
    """
    dx, dy, dz = points[i + 1, 0] - points[i, 0], points[i + 1, 1] - points[i, 1], points[i + 1, 2] - points[i, 2]
    count = math.floor(math.sqrt(dx * dx + dy * dy + dz * dz) / STEP_M) + 1
    deep = 0.0
    for n in range(count + 1):
        t = n / count
        x, y, z = points[i, 0] + t * dx, points[i, 1] + t * dy, points[i, 2] + t * dz
        if bottom <= z < top and inside(x, y, mine) and not (spared and _near_hold(x, y, holds)):
            out = lesser(top - z, edge_distance(x, y, mine))
            deep = greater(deep, lesser(out, z - bottom) if bottom > 0.0 else out)
    return deep


@njit(**JIT)
def area_met(points, begin, end, areas, bottoms, counts, holds, cord):
    """First area that the polyline of points begin .. end - 1 runs into: (index, how deep [m]); -1 where none. For cords only no-wire areas count."""
    edges, first, kinds, tops, discs = areas
    for k in range(len(kinds)):
        mine = edges[first[k] : first[k + 1]]
        if not counts[k] or (cord and kinds[k] != NO_WIRE):
            continue
        deep = 0.0
        for i in range(begin, end - 1):
            x, y = points[i, 0] - discs[k, 0], points[i, 1] - discs[k, 1]
            far = math.hypot(points[i + 1, 0] - points[i, 0], points[i + 1, 1] - points[i, 1]) + discs[k, 2]
            if x * x + y * y <= far * far:
                deep = greater(deep, _deepest(mine, bottoms[k], tops[k], points, i, holds, kinds[k] == HOUSE))
        if deep > 1e-9:
            return k, deep
    return -1, 0.0


@njit(**INNER)
def _outside_m(lot, points, i):
    """How far beyond the lot's edge the way from point i (inside) to the next goes on."""
    dx, dy = points[i + 1, 0] - points[i, 0], points[i + 1, 1] - points[i, 1]
    run = math.hypot(dx, dy)
    if run <= 1e-9:
        return 0.0
    free, _ = room(lot, points[i, 0], points[i, 1], dx / run, dy / run)
    return run - free


@njit(**INNER)
def _crossing_gap(points, i, j):
    """Vertical gap where the segments from points i and j cross in plan; inf where they do not, or meet at an end."""
    rx, ry, rz = points[i + 1, 0] - points[i, 0], points[i + 1, 1] - points[i, 1], points[i + 1, 2] - points[i, 2]
    sx, sy, sz = points[j + 1, 0] - points[j, 0], points[j + 1, 1] - points[j, 1], points[j + 1, 2] - points[j, 2]
    det = rx * sy - ry * sx
    if abs(det) < 1e-12:
        return math.inf
    qx, qy = points[j, 0] - points[i, 0], points[j, 1] - points[i, 1]
    t, u = (qx * sy - qy * sx) / det, (qx * ry - qy * rx) / det
    if not (0.0 <= t <= 1.0 and 0.0 <= u <= 1.0):
        return math.inf
    if (t < 1e-6 or t > 1.0 - 1e-6) and (u < 1e-6 or u > 1.0 - 1e-6):  # joined there, or one end straight above the other
        return math.inf
    return abs(points[i, 2] + t * rz - points[j, 2] - u * sz)


@njit(**JIT)
def first_out(points, first, reach_m, lying_m, limit_m, lot, cords):
    """First wire or cord (-1) that is within reach, too high or outside the lot: (what, wire, metres missing).

    Wires lower than `lying_m` are meant to lie; cords: points (2 C, 3) in pairs.
    """
    for w in range(len(first) - 1):
        low = high = points[first[w], 2]
        for i in range(first[w], first[w + 1]):
            low, high = lesser(low, points[i, 2]), greater(high, points[i, 2])
        if low > lying_m and reach_m - low > 1e-6:
            return REACH, w, reach_m - low
        if high - limit_m > 1e-9:
            return HEIGHT, w, high - limit_m
        for i in range(first[w], first[w + 1] - 1):
            out = _outside_m(lot, points, i)
            if out > 1e-6:
                return LOT, w, out
    for c in range(0, len(cords), 2):
        out = _outside_m(lot, cords, c)
        if out > 1e-6:
            return LOT, -1, out
    return OK, -1, 0.0


@njit(**JIT)
def first_crossing(points, first, gap_m):
    """First two wires that cross with less than `gap_m` of height between them: (wire, other, metres missing); -1 where none do."""
    count = len(first) - 1
    for w in range(count):
        for i in range(first[w], first[w + 1] - 1):
            for v in range(w, count):
                for j in range(greater(first[v], i + 1), first[v + 1] - 1):
                    gap = _crossing_gap(points, i, j)
                    if gap < gap_m:
                        return w, v, gap_m - gap
    return -1, -1, 0.0


@njit(**JIT)
def sag_at(pieces, x, y, z, hung, share, near_m, below_m):
    """How much lower than laid out a point hangs [m], see `sag`. `pieces`: rows start x, y, z, plan run, unit way x, y, rise over run."""
    most = 0.0
    for i in range(len(pieces)):
        run = pieces[i, 3]
        px, py = x - pieces[i, 0], y - pieces[i, 1]
        along = px * pieces[i, 4] + py * pieces[i, 5]
        if not 0.0 < along < run or abs(px * pieces[i, 5] - py * pieces[i, 4]) > near_m:
            continue
        lower = 4.0 * share * along * (1.0 - along / run)
        below = pieces[i, 2] + pieces[i, 6] * along - z - (lower if hung else 0.0)
        if lower > most and -near_m <= below <= below_m:
            most = lower
    return most
