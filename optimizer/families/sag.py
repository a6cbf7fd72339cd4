"""Hung wires as they hang: lowered by the parabola of the line they hang in, every stated length kept.

A point at the share t of a line of plan run L between two holds hangs 4 d t (1 - t) below the straight one, d = `SAG_SHARE` of L
(the sag that wires are hung with, see `parts.loads`); what hangs up to `BELOW_M` straight below (a parallel pair on
spreaders) goes down with it. Long pieces get a point or two between, so that the solved wire is low where the real one is.

Lengths are those of the conductor along the sagged wire: from where a wire is joined or fed to its loose end it is as long as it was
laid out, so its loose end comes to lie where that length ends. A wire joined at both ends goes from joint to joint.
Source: parabola of a light cord, dip = w L^2 / (8 T); it is 8/3 d^2 / L longer than the straight line.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from itertools import pairwise

import numpy as np

from ..parts.loads import SAG_SHARE
from ..wires.model import Load, Point3, Port, Wire
from .kernels import sag_at

NEAR_M = 0.02  # a point this near a line, in plan, hangs in it
BELOW_M = 1.2
LYING_BELOW_M = 0.5
ONE_MORE_M, TWO_MORE_M = 3.0, 8.0  # plan length of a piece from which it gets one or two points between
LONGER = 8.0 / 3.0 * SAG_SHARE**2  # slack of a sagging line over its plan run


class Sag:
    """How much lower what hangs between the holds of `lines` hangs. `lines`: holding points of every hung run, in order."""

    def __init__(self, lines):
        self.pieces = np.array([_piece(a, b) for holds in lines for a, b in pairwise(holds) if _hangs(a, b)], float).reshape(-1, 7)

    def at(self, point, *, hung: bool = False) -> float:
        """Lowering of a point of the straight layout, or (`hung`) of one that is lowered already [m]; 0 where nothing hangs."""
        x, y, z = point
        return sag_at(self.pieces, float(x), float(y), float(z), hung, SAG_SHARE, NEAR_M, BELOW_M)

    def lowered(self, point) -> Point3:
        lower = self.at(point)
        return (point[0], point[1], point[2] - lower) if lower else point

    def path(self, points) -> tuple[list[Point3], list[int]]:
        """A polyline lowered, with points between; and where its own points are in it."""
        out, own = [self.lowered(points[0])], [0]
        for a, b in pairwise(points):
            count = _between(a, b)
            for i in range(1, count + 1):
                t = i / (count + 1)
                point = (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2]))
                hung = self.lowered(point)
                if hung is point:
                    break
                out.append(hung)
            out.append(self.lowered(b))
            own.append(len(out) - 1)
        return out, own


class Hung:
    """Wires as they hang, all at once; a wire loose at both ends keeps the place it is `fed` at."""

    def __init__(self, wires, sag: Sag, fed: Port):
        self.sag, self.laid = sag, {w.name: w for w in wires}
        self.met = Counter(p for w in wires for p in w.points_m)
        self.wires = tuple(self._sagged(wire, fed) for wire in wires)

    def _joined(self, wire: Wire) -> tuple[bool, bool]:
        return self.met[wire.points_m[0]] > 1, self.met[wire.points_m[-1]] > 1

    def _sagged(self, wire: Wire, fed: Port) -> Wire:
        points = wire.points_m
        if max(points[0][2], points[-1][2]) < LYING_BELOW_M:
            return wire
        path, own = self.sag.path(points)
        first, last = self._joined(wire)
        if not (first and last):
            stays = 0 if first else len(points) - 1 if last else _vertex(wire, fed)
            on = _long(path[own[stays] :], _run(points[stays:]))
            path = [*reversed(_long(path[own[stays] :: -1], _run(points[: stays + 1]))), *on[1:]] if stays else on
        return _through(wire, tuple(path))

    def moved(self, item: Port | Load):
        """A port or load on its sagged wire: at the length it was laid out at, or in the same piece of a wire that is joined at both ends."""
        wire = self.laid[item.wire]
        if not all(self._joined(wire)):
            return item
        path, own = self.sag.path(wire.points_m)
        left, new = item.at_m, 0.0
        for (a, b), (i, j) in zip(pairwise(wire.points_m), pairwise(own)):
            straight, hung = math.dist(a, b), _run(path[i : j + 1])
            if left <= straight + 1e-9:
                return replace(item, at_m=new + hung * min(1.0, left / straight))
            left, new = left - straight, new + hung
        return replace(item, at_m=new)


def _hangs(a, b) -> bool:
    """Neither upright nor lying on the ground."""
    return math.dist(a[:2], b[:2]) > 1.0 and max(a[2], b[2]) > LYING_BELOW_M


def _piece(a, b):
    run = math.dist(a[:2], b[:2])
    return (*a, run, (b[0] - a[0]) / run, (b[1] - a[1]) / run, (b[2] - a[2]) / run)


def _between(a, b) -> int:
    run = math.hypot(b[0] - a[0], b[1] - a[1])
    return 0 if run < ONE_MORE_M else 1 if run < TWO_MORE_M else 2


def _through(wire: Wire, points) -> Wire:
    return Wire(
        name=wire.name, points_m=points, radius_m=wire.radius_m, role=wire.role, conductivity_s_per_m=wire.conductivity_s_per_m,
        coating=wire.coating,
    )  # fmt: skip


def _run(points) -> float:
    return sum(map(math.dist, points, points[1:]))


def _vertex(wire: Wire, fed: Port) -> int:
    """The point of a loose wire nearest to where it is fed."""
    at, run = [], 0.0
    for a, b in pairwise((wire.points_m[0], *wire.points_m)):
        run += math.dist(a, b)
        at.append(abs(run - fed.at_m) if fed.wire == wire.name else run)
    return min(range(len(at)), key=at.__getitem__)


def _long(path, length: float) -> list[Point3]:
    """The first `length` metres of a path, its last piece longer where the path is too short."""
    out, left = path[:1], length
    for n in range(1, len(path)):
        a, b = path[n - 1], path[n]
        size = math.dist(a, b)
        if left <= size or n + 1 == len(path):
            t = left / size
            out.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])))
            break
        out.append(b)
        left -= size
    return out
