"""Likely placements on a lot: the mast ground's middle and sides, the long diagonals, the supports, two heights; and whether anything stands there."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np

from ..site.clearance import margins
from .choices import PAIR
from .family import NoPlace, Parameter
from .outline import bearing_deg

FEW = 3  # supports for each end of a wire that are thought of first
SUPPORTS = ("hung", "feed_at", "apex_at", "end_at", "corners_at")
USUAL = {"turn_deg": 0.0, "cord_m": 1.0, "take_at": 0.45, "mast_u": 0.5, "mast_v": 0.5, "apex_least_deg": 60.0}


def bearings_of_interest(site, count: int = 2) -> list[float]:
    """Bearings of the longest lines between corners of the usable lot, one way each, then the other; then the axes."""
    hull = np.array(site.usable.convex_hull.exterior.coords)[:-1]
    hull = hull[:: max(1, len(hull) // 60)]
    pairs = sorted(combinations(range(len(hull)), 2), key=lambda ij: -np.hypot(*(hull[ij[0]] - hull[ij[1]])))
    ways = [bearing_deg(hull[i], hull[j]) for i, j in pairs[:count]]
    return [*ways, *((w + 180.0) % 360.0 for w in ways), 0.0, 90.0, 180.0, 270.0]


def stands(structure, site, parameters, tries: int) -> bool:
    """Does one of some `tries` likely placements keep every limit? `structure(values)`: what is built there, or NoPlace."""
    proposed = list(placements(site, parameters))
    given = {p.name: usual(p) for p in parameters}
    for placement in proposed[:: max(1, len(proposed) // tries)]:
        try:
            built = structure(given | placement)
        except NoPlace:
            continue
        if min(margins(site, built).values()) >= 0:
            return True
    return False


def usual(p: Parameter):
    if p.choices:
        return p.choices[0]
    return min(max(USUAL.get(p.name, 0.5 * (p.low + p.high)), p.low), p.high)


def _offered(choices) -> tuple[str, ...]:
    """The first few supports, and the first pair to stretch a wire between."""
    return (*choices[:FEW], *[c for c in choices[FEW:] if PAIR in c][:1])


def placements(site, parameters, offered=_offered):
    """Proposals, the likeliest first: every choice of supports with the middle of the ground, then the sides. `offered`: of the choices of a support, those to propose."""
    by_name = {p.name: p for p in parameters}
    supports = [by_name[n] for n in SUPPORTS if n in by_name]
    bearings = bearings_of_interest(site) if "bearing_deg" in by_name else [0.0]
    apex = by_name.get("apex_m")
    heights = (apex.high, max(apex.low, 0.8 * apex.high)) if apex else (0.0,)
    grounds = [(0.5, 0.5), (0.2, 0.5), (0.8, 0.5), (0.5, 0.2), (0.5, 0.8)] if "mast_u" in by_name else [(0.5, 0.5)]
    picks = list(product(*(offered(p.choices) for p in supports)))
    for (u, v), height in product(grounds, heights):
        for bearing, pick in product(bearings, picks):
            values = {"mast_u": u, "mast_v": v, "apex_m": height, "bearing_deg": bearing}
            values |= {p.name: c for p, c in zip(supports, pick)}
            yield {k: v for k, v in values.items() if k in by_name}
