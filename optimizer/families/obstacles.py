"""What a wire may not run into on one site: houses with their clearance, crowns of trees, keep-outs.

`Obstacles` holds them as plain edges for the compiled loops of `kernels`; made once per site. Wires are sampled every 0.2 m: the final word on a
design is `optimizer.site.clearance`.
"""

from __future__ import annotations

import math
from itertools import accumulate, pairwise

import numpy as np
from shapely.geometry import Point

from ..site.model import Site
from . import kernels
from .family import OUT_OF_REACH_M, NoPlace
from .kernels import CROWN, HOUSE, NO_WIRE
from .outline import BINS, DIRECTIONS, Outline

LYING_M = 1.0  # a wire lower than this is meant to lie
CROSS_GAP_M = 0.3
RULES = {CROWN: "tree", HOUSE: "building clearance", NO_WIRE: "keep-out"}
LIMITS = {kernels.REACH: "end height", kernels.HEIGHT: "height limit", kernels.LOT: "lot"}
NO_HOLDS = np.zeros((0, 2))


class Obstacles:
    """`lot`: the usable lot; `blocked`: ground where nothing can be driven in."""

    def __init__(self, site: Site, lot: Outline, blocked: Outline):
        crowns = [(CROWN, Point(t.at_m).buffer(1.03 * t.crown_radius_m, quad_segs=4), 0.0, t.height_m, t.name) for t in site.trees]
        houses = [
            (HOUSE, b.footprint.buffer(b.clearance_m, join_style="mitre"), 0.0, b.height_m + b.clearance_m, b.name)
            for b in site.buildings
        ]
        kept_out = [(NO_WIRE, k.footprint, k.from_m or 0.0, math.inf if k.to_m is None else k.to_m, k.name) for k in site.keep_outs]
        found = [*crowns, *houses, *kept_out]
        self.lot, self.blocked, self.limit_m = lot.array, blocked.array, site.height_limit_m
        self.outlines = tuple(Outline.of(area) for _, area, _, _, _ in found)
        self.no_wire = bool(kept_out)
        self.names = tuple(name for *_, name in found)
        self.kinds = np.array([kind for kind, *_ in found], int)
        self.crowns = range(len(crowns))
        self.bottoms = np.array([bottom for _, _, bottom, _, _ in found], float)
        edges = np.concatenate([np.zeros((0, 4)), *(o.array for o in self.outlines)])
        first = np.cumsum([0, *(len(o.array) for o in self.outlines)])
        tops = np.array([top for *_, top, _ in found], float)
        discs = np.array([o.disc for o in self.outlines], float).reshape(-1, 3)
        self.areas = (edges, first, self.kinds, tops, discs)

    def barring_ground(self, holds) -> list[Outline]:
        """Houses with their clearance, and crowns of trees that hold nothing."""
        bars = zip(self.kinds.tolist(), self.outlines)
        return [o for kind, o in bars if kind == HOUSE or (kind == CROWN and not any(o.holds(h) for h in holds))]

    def _counts(self, holds) -> np.ndarray:
        """Which areas count: all but the crowns that hold one of `holds`."""
        out = np.ones(len(self.kinds), bool)
        for k in self.crowns:
            out[k] = not any(self.outlines[k].holds(h) for h in holds)
        return out

    def leg_missing(self, start, end_m: float, least_run_m: float, line_m: float, holds) -> np.ndarray:
        """What a leg lacks along every one of `DIRECTIONS`, see `legs.missing`."""
        x, y, z = map(float, start)
        out = np.empty(BINS)
        counts = self._counts(holds)
        kernels.leg_missing(self.lot, self.blocked, self.areas, counts, x, y, z, end_m, least_run_m, line_m, DIRECTIONS, out)
        return out

    def clash(self, points, holds=()) -> tuple[str, str, float] | None:
        """First crown, house or keep-out a wire runs into: (rule, name, metres in it). Houses do not count near `holds`, nor crowns that hold one."""
        if not self.names:
            return None
        points = np.array(points, float)
        met, deep = kernels.area_met(points, 0, len(points), self.areas, self.bottoms, self._counts(holds), _array(holds), False)
        return None if met < 0 else (RULES[self.kinds[met]], self.names[met], deep)

    def check(self, wires, cords, holds) -> None:
        """Reach, height, lot, obstacles, crossings: NoPlace with the first limit missed; the quick version of what `clearance` judges at length."""
        points = np.array([p for w in wires for p in w.points_m], float)
        first = np.array(list(accumulate((len(w.points_m) for w in wires), initial=0)))
        ends = np.array([p for cord in cords for p in cord], float).reshape(-1, 3)
        what, wire, short = kernels.first_out(points, first, OUT_OF_REACH_M, LYING_M, self.limit_m, self.lot, ends)
        if what != kernels.OK:
            raise NoPlace(LIMITS[what], short, wires[wire].name if wire >= 0 else "cord")
        if self.names:
            self._clear(wires, points, first.tolist(), ends, holds)
        wire, other, short = kernels.first_crossing(points, first, CROSS_GAP_M)
        if wire >= 0:
            raise NoPlace("crossing", short, f"{wires[wire].name} and {wires[other].name}")

    def _clear(self, wires, points, first, ends, holds) -> None:
        cords = ((ends, i, i + 2, True, "cord") for i in range(0, len(ends), 2) if self.no_wire)
        lines = ((points, a, b, False, w.name) for w, (a, b) in zip(wires, pairwise(first)))
        counts, holds = self._counts(holds), _array(holds)
        for where, begin, end, cord, name in (*lines, *cords):
            met, deep = kernels.area_met(where, begin, end, self.areas, self.bottoms, counts, holds, cord)
            if met >= 0:
                raise NoPlace(RULES[self.kinds[met]], deep, f"{name} at {self.names[met]}")


def _array(holds) -> np.ndarray:
    return np.array(holds, float) if len(holds) else NO_HOLDS
