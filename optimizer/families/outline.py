"""Areas in plan as plain edges: inside tests, room along bearings, and an area-keeping map of the unit square.

Bearings in degrees clockwise from north (y); `DIRECTIONS` are unit vectors at the middles of `BINS` equal bins.
`AreaMap` sends every (u, v) in 0..1 to a point of its area; mirroring the area east-west is the same as u -> 1 - u.
Written for speed: no geometry library once an outline is made.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from shapely.geometry import Polygon

from ..site.model import Point2

BINS = 72  # bearings looked at in one go
BEARINGS_DEG = (np.arange(BINS) + 0.5) * (360.0 / BINS)
DIRECTIONS = np.column_stack([np.sin(np.radians(BEARINGS_DEG)), np.cos(np.radians(BEARINGS_DEG))])
_MANY_EDGES = 150
_COLUMNS = 96


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

    edges: tuple = ()  # (x1, y1, x2, y2)
    array: np.ndarray = field(default_factory=lambda: np.zeros((0, 4)))
    slope: np.ndarray = field(default_factory=lambda: np.zeros(0))  # dx/dy of each edge, 0 where it runs east-west
    middle: Point2 = (0.0, 0.0)
    radius_m: float = 0.0  # no edge is farther from the middle

    @classmethod
    def of(cls, area) -> Outline:
        if sum(len(p.exterior.coords) for p in polygons(area)) > _MANY_EDGES:
            area = area.buffer(-0.05).simplify(0.05)
        rings = [r for p in polygons(area) for r in (p.exterior, *p.interiors)]
        edges = tuple((*a[:2], *b[:2]) for ring in rings for a, b in pairwise(ring.coords))
        array = np.array(edges, float).reshape(-1, 4)
        if not len(array):
            return cls()
        middle = 0.5 * (array[:, :2].min(axis=0) + array[:, :2].max(axis=0))
        rise = array[:, 3] - array[:, 1]
        slope = np.divide(array[:, 2] - array[:, 0], rise, out=np.zeros(len(array)), where=rise != 0)
        return cls(edges, array, slope, tuple(middle.tolist()), float(np.linalg.norm(array[:, :2] - middle, axis=1).max()))

    def holds(self, point) -> bool:
        """Is the point inside (even-odd rule)?"""
        x, y = point[0], point[1]
        inside = False
        for x1, y1, x2, y2 in self.edges:
            if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
                inside = not inside
        return inside

    def hold_mask(self, points) -> np.ndarray:
        """`holds` for points (N, 2+): bool (N,)."""
        x, y = points[:, :1], points[:, 1:2]
        x1, y1, _, y2 = self.array.T
        crossing = ((y1 > y) != (y2 > y)) & (x < x1 + (y - y1) * self.slope)
        return np.bitwise_xor.reduce(crossing, axis=1)

    def room(self, point, dx: float, dy: float) -> tuple[float, int]:
        """Distance along the unit vector to the next edge, and its index (inf, -1 where there is none)."""
        px, py = point[0], point[1]
        best, hit = math.inf, -1
        for i, (x1, y1, x2, y2) in enumerate(self.edges):
            ex, ey = x2 - x1, y2 - y1
            cross = dx * ey - dy * ex
            if cross == 0.0:
                continue
            ax, ay = x1 - px, y1 - py
            t = (ax * ey - ay * ex) / cross
            if 1e-9 < t < best and -1e-9 <= (ax * dy - ay * dx) / cross <= 1 + 1e-9:
                best, hit = t, i
        return best, hit

    def rooms(self, point) -> np.ndarray:
        """Room along every one of `DIRECTIONS`, shape (BINS,) [m]; inf where no edge is met."""
        if not self.edges:
            return np.full(BINS, np.inf)
        a = self.array[:, :2] - np.asarray(point[:2])
        ex, ey = (self.array[:, 2:] - self.array[:, :2]).T
        dx, dy = DIRECTIONS[:, :1], DIRECTIONS[:, 1:]
        with np.errstate(divide="ignore", invalid="ignore"):
            cross = dx * ey - dy * ex
            t = (a[:, 0] * ey - a[:, 1] * ex) / cross
            s = (a[:, 0] * dy - a[:, 1] * dx) / cross
        return np.where((t > 1e-9) & (s >= -1e-9) & (s <= 1 + 1e-9), t, np.inf).min(axis=1)


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
        low, _, high, _ = area.bounds
        self.step = (high - low) / _COLUMNS
        self.low = low
        depths = [sum(b - a for a, b in self._chord(low + (i + 0.5) * self.step)) for i in range(_COLUMNS)]
        self.total = np.concatenate([[0.0], np.cumsum(depths)]).tolist()

    def _chord(self, x: float) -> list[tuple[float, float]]:
        cuts = sorted(
            y1 + (x - x1) * (y2 - y1) / (x2 - x1) for x1, y1, x2, y2 in self.outline.edges if (x1 > x) != (x2 > x)
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
