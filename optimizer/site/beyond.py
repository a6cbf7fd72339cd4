"""How far what breaks a limit is beyond it, by exact set operations: slow, and asked only once a compiled distance says that it is."""

from __future__ import annotations

import math

import numpy as np
import shapely

from .prepared import Prism

TINY_M = 1e-9


def outside_m(pieces, area) -> float:
    """Farthest reach of plan pieces (S, 4) out of an area plus their length outside [m]."""
    lines = shapely.linestrings(pieces.reshape(-1, 2, 2))
    reach = shapely.distance(area, shapely.points(pieces.reshape(-1, 2))).max(initial=0.0)
    length = shapely.length(shapely.difference(lines, area)).sum()
    return float(reach + length) if max(reach, length) > TINY_M else 0.0


def within_m(segments, prism: Prism) -> float:
    """Length of segments (S, 6) inside a prism plus the depth of every piece inside it [m]."""
    within = 0.0
    for row in segments:
        part = _between(row[:3], row[3:], prism.low_m, prism.high_m)
        if part is not None:
            within += _piece_within(*part, prism.area)
    return within


def _between(a, b, low, high):
    """The part of a segment between two heights, None where there is none."""
    rise = b[2] - a[2]
    if rise == 0.0:
        return (a, b) if low <= a[2] <= high else None
    first, second = sorted(min(1.0, max(0.0, (level - a[2]) / rise)) for level in (low, high))
    return (a + first * (b - a), a + second * (b - a)) if second > first else None


def _piece_within(a, b, area) -> float:
    length = float(np.linalg.norm(b - a))
    if math.dist(a[:2], b[:2]) <= TINY_M:
        return _deep(length, shapely.Point(a[:2]), area)
    line = shapely.LineString([a[:2], b[:2]])
    parts = shapely.get_parts(shapely.intersection(line, area))
    return sum(_deep(p.length / line.length * length, p.centroid, area) for p in parts)


def _deep(length: float, middle, area) -> float:
    """Length plus depth of its middle, nothing where that is not inside."""
    depth = area.boundary.distance(middle) if area.contains(middle) else 0.0
    return length + depth if depth > TINY_M else 0.0
