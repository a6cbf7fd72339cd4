"""Areas in plan as plain edges: inside tests, room along bearings, and an area-keeping map of the unit square.

Bearings in degrees clockwise from north (y); `DIRECTIONS` are unit vectors at the middles of `BINS` equal bins.
`AreaMap` sends every (u, v) in 0..1 to a point of its area; mirroring the area east-west is the same as u -> 1 - u.
Written for speed: compiled loops, no geometry library once an outline is made.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from shapely.geometry import Polygon

from ..site.kernels import edge_distance, inside, mask_inside
from ..site.model import Point2
from . import kernels

BINS = 72  # bearings looked at in one go
BEARINGS_DEG = (np.arange(BINS) + 0.5) * (360.0 / BINS)
DIRECTIONS = np.column_stack([np.sin(np.radians(BEARINGS_DEG)), np.cos(np.radians(BEARINGS_DEG))])
_MANY_EDGES = 150
_COLUMNS = 96


def rolled(around: np.ndarray, bins: int) -> np.ndarray:
    """Values per bearing (BINS,), each moved on by so many bins."""
    cut = -bins % BINS
    return np.concatenate((around[cut:], around[:cut]))


def direction(bearing_deg: float) -> Point2:
    a = math.radians(bearing_deg)
    return math.sin(a), math.cos(a)


def bearing_deg(start, end) -> float:
    """Bearing from one point to another in plan [0, 360)."""
    return math.degrees(math.atan2(end[0] - start[0], end[1] - start[1])) % 360.0


def along(start: Point2, bearing: float, distance_m: float) -> Point2:
    dx, dy = direction(bearing)
    return start[0] + distance_m * dx, start[1] + distance_m * dy


@dataclass(frozen=True)
class Outline:
    """Edges of an area in plan: inside test and room along a bearing."""

    array: np.ndarray = field(default_factory=lambda: np.zeros((0, 4)))  # x1, y1, x2, y2 of every edge

    @classmethod
    def of(cls, area) -> Outline:
        if sum(len(p.exterior.coords) for p in polygons(area)) > _MANY_EDGES:
            area = area.buffer(-0.05).simplify(0.05)
        rings = [r for p in polygons(area) for r in (p.exterior, *p.interiors)]
        return cls(np.array([(*a[:2], *b[:2]) for ring in rings for a, b in pairwise(ring.coords)], float).reshape(-1, 4))

    @property
    def edges(self) -> tuple:
        return tuple(map(tuple, self.array.tolist()))

    @property
    def disc(self) -> tuple[float, float, float]:
        """A circle around it: middle and radius [m]."""
        if not len(self.array):
            return 0.0, 0.0, -math.inf
        middle = 0.5 * (self.array[:, :2].min(axis=0) + self.array[:, :2].max(axis=0))
        return *middle.tolist(), float(np.linalg.norm(self.array[:, :2] - middle, axis=1).max())

    def holds(self, point) -> bool:
        """Is the point inside (even-odd rule)?"""
        return inside(float(point[0]), float(point[1]), self.array)

    def hold_mask(self, points) -> np.ndarray:
        """`holds` for points (N, 2+): bool (N,)."""
        return mask_inside(self.array, points)

    def edge_m(self, point) -> float:
        """Distance to the nearest edge [m]; far without edges."""
        return edge_distance(float(point[0]), float(point[1]), self.array)

    def depth_m(self, point) -> float:
        """How deep inside the area a point lies [m], 0 outside."""
        return self.edge_m(point) if self.holds(point) else 0.0

    def depths(self, points) -> np.ndarray:
        """`depth_m` for points (N, 2+), -inf outside."""
        out = np.full(len(points), -np.inf)
        for i in np.flatnonzero(self.hold_mask(points)):
            out[i] = self.edge_m(points[i])
        return out

    def outside_m(self, point) -> float:
        """How far outside the area a point lies in plan [m], 0 inside."""
        return 0.0 if self.holds(point) else self.edge_m(point)

    def room(self, point, dx: float, dy: float) -> tuple[float, int]:
        """Distance along the unit vector to the next edge, and its index (inf, -1 where there is none)."""
        return kernels.room(self.array, float(point[0]), float(point[1]), dx, dy)

    def rooms(self, point) -> np.ndarray:
        """Room along every one of `DIRECTIONS`, shape (BINS,) [m]; inf where no edge is met."""
        out = np.empty(BINS)
        kernels.rooms(self.array, float(point[0]), float(point[1]), DIRECTIONS, out)
        return out


def polygons(area) -> list[Polygon]:
    """The polygons of any geometry, empty ones left out."""
    if isinstance(area, Polygon):
        return [] if area.is_empty else [area]
    return [p for part in getattr(area, "geoms", ()) for p in polygons(part)]


class AreaMap:
    """(u, v) in 0..1 -> a point of the area: u shares out its width by area, v its depth there."""

    def __init__(self, area):
        self.area = area
        self.outline = Outline.of(area)
        self.edges = self.outline.edges
        low, _, high, _ = area.bounds
        self.step = (high - low) / _COLUMNS
        self.low = low
        depths = [sum(b - a for a, b in self._chord(low + (i + 0.5) * self.step)) for i in range(_COLUMNS)]
        self.total = np.concatenate([[0.0], np.cumsum(depths)]).tolist()

    def _chord(self, x: float) -> list[tuple[float, float]]:
        cuts = sorted(
            y1 + (x - x1) * (y2 - y1) / (x2 - x1) for x1, y1, x2, y2 in self.edges if (x1 > x) != (x2 > x)
        )
        return list(zip(cuts[::2], cuts[1::2]))

    def at(self, u: float, v: float) -> Point2:
        wanted = max(min(max(u, 0.0), 1.0) * self.total[-1] - 1e-7, 0.0)  # at a gap: the side before it
        column = min(bisect_right(self.total, wanted), _COLUMNS) - 1
        depth = self.total[column + 1] - self.total[column]
        share = (wanted - self.total[column]) / depth if depth > 0 else 0.5
        x = self.low + (column + min(max(share, 0.001), 0.999)) * self.step
        chord = self._chord(x)
        if not chord:
            x = self.low + (column + 0.5) * self.step
            chord = self._chord(x)
        left = min(max(v, 0.0), 1.0) * sum(b - a for a, b in chord)
        for a, b in chord:
            if left <= b - a + 1e-7:
                return x, min(a + left, b)
            left -= b - a
        return x, chord[-1][1]
