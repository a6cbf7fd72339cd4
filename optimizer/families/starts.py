"""Hand-made starts: where an operator would look first. Centre of the mast ground, its corners, the long diagonals."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from .common import limit_m
from .placement import bearing_deg, plot_of


def bearings_of_interest(site, count: int = 2) -> list[float]:
    """Bearings of the longest lines between corners of the usable lot, one way each, then the other."""
    hull = np.array(site.usable.convex_hull.exterior.coords)[:-1]
    pairs = sorted(combinations(range(min(len(hull), 60)), 2), key=lambda ij: -np.hypot(*(hull[ij[0]] - hull[ij[1]])))
    ways = [bearing_deg(hull[i], hull[j]) for i, j in pairs[:count]]
    return [*ways, *((w + 180.0) % 360.0 for w in ways)]


def corner_starts(site, wishes) -> list[dict]:
    """The middle and the four quarters of the mast ground, at full height."""
    high = min(limit_m(site, wishes), site.height_limit_m)
    if plot_of(site).mast_area is None:
        return [{"apex_m": high}]
    places = [(0.5, 0.5), (0.15, 0.5), (0.85, 0.5)]
    return [{"mast_u": u, "mast_v": v, "apex_m": high} for u, v in places]
