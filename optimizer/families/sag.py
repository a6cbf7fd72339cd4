"""Hung wires as they hang: every wire that lies in a span is lowered by the span's parabola.

A point at the share t of a span of plan run L hangs 4 d t (1 - t) lower, d = `SAG_SHARE` of L (the sag that wires are hung with,
see `parts.loads`); what hangs up to `BELOW_M` straight below a span (a parallel pair on spreaders) goes down with it.
Straight pieces get a point or two between, so that the solved wire is low where the real one is. The real wire is
8/3 `SAG_SHARE`^2 (0.1 %) longer than the straight one. Source: parabola of a light cord, dip = w L^2 / (8 T).
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from ..parts.loads import SAG_SHARE
from ..wires.model import Load, Point3, Port, Wire

NEAR_M = 0.02  # a point this near a span's line, in plan, hangs in it
BELOW_M = 1.2
LYING_BELOW_M = 0.5
ONE_MORE_M, TWO_MORE_M = 3.0, 8.0  # plan length of a piece from which it gets one or two points between


def sagged(wires, lines) -> tuple[Wire, ...]:
    """The wires with all their points lowered, and points between. `lines`: holding points of every hung run, in order."""
    pieces = [_Piece(a, b) for holds in lines for a, b in pairwise(holds) if _hangs(a, b)]
    return tuple(_sagged(wire, pieces) for wire in wires)


def moved_along(item: Port | Load, before: Wire, after: Wire):
    """A port or load where it was between the vertices it lay between, at its place along the longer wire."""
    left, new = item.at_m, 0.0
    done = iter(after.points_m)
    last = next(done)
    for a, b in pairwise(before.points_m):
        straight = math.dist(a, b)
        count = _between(a, b) + 1
        points = [last, *(next(done) for _ in range(count))]
        hung = sum(math.dist(p, q) for p, q in pairwise(points))
        if left <= straight + 1e-9:
            return replace(item, at_m=new + hung * min(1.0, left / straight))
        left, new, last = left - straight, new + hung, points[-1]
    return replace(item, at_m=new)


def _hangs(a, b) -> bool:
    """Neither upright nor lying on the ground."""
    return math.dist(a[:2], b[:2]) > 1.0 and max(a[2], b[2]) > LYING_BELOW_M


class _Piece:
    """One span between two holds."""

    def __init__(self, a: Point3, b: Point3):
        self.a = a
        self.run = math.dist(a[:2], b[:2])
        self.way = (b[0] - a[0]) / self.run, (b[1] - a[1]) / self.run
        self.rise = (b[2] - a[2]) / self.run

    def lower_m(self, point) -> float:
        """How much lower a point hangs; 0 where it does not lie in this span."""
        x, y = point[0] - self.a[0], point[1] - self.a[1]
        along = x * self.way[0] + y * self.way[1]
        if not 0.0 < along < self.run or abs(x * self.way[1] - y * self.way[0]) > NEAR_M:
            return 0.0
        if not -NEAR_M <= self.a[2] + self.rise * along - point[2] <= BELOW_M:
            return 0.0
        t = along / self.run
        return 4.0 * SAG_SHARE * self.run * t * (1.0 - t)


def _between(a, b) -> int:
    run = math.hypot(b[0] - a[0], b[1] - a[1])
    return 0 if run < ONE_MORE_M else 1 if run < TWO_MORE_M else 2


def _sagged(wire: Wire, pieces) -> Wire:
    points = [wire.points_m[0]]
    for a, b in pairwise(wire.points_m):
        count = _between(a, b) + 1
        points += [tuple(p + i / count * (q - p) for p, q in zip(a, b)) for i in range(1, count)] + [b]
    return replace(wire, points_m=tuple(_hung(p, pieces) for p in points))


def _hung(point, pieces) -> Point3:
    lower = max((piece.lower_m(point) for piece in pieces), default=0.0)
    return (*point[:2], point[2] - lower) if lower else tuple(point)
