"""Rings of three or four supports that stand already, trees or posts, from which a level loop is pulled out by cords at its corners.

The wire is the ring's outline drawn towards its middle, so that every cord pulls its corner outward. Heights: the lowest support's.
"""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np

JOIN = " + "
LEAST, MOST = 1.03, 1.6  # way round the supports over the wire's
OFFERED, TRIED = 3, 8


def ring_options(places, round_m: float) -> tuple[str, ...]:
    """Rings that hold a loop of that way round, the tightest first, by the names of their supports."""
    found, places = [], sorted(places, key=lambda p: -p.height_m)[:TRIED]
    for count in (4, 3):
        for group in combinations(places, count):
            ring = in_order(group)
            around = way_round_m([p.at_m for p in ring])
            if LEAST * round_m <= around <= MOST * round_m and _convex([p.at_m for p in ring]):
                found.append((around, JOIN.join(p.name for p in ring)))
    return tuple(name for _, name in sorted(found)[:OFFERED])


def in_order(places) -> list:
    """The places in order round their middle."""
    middle = np.mean([p.at_m for p in places], axis=0)
    return sorted(places, key=lambda p: math.atan2(p.at_m[1] - middle[1], p.at_m[0] - middle[0]))


def drawn_in(tops, round_m: float) -> list:
    """Corners of the same outline with that way round, about the middle of the supports."""
    middle, share = np.mean([t[:2] for t in tops], axis=0), round_m / way_round_m([t[:2] for t in tops])
    return [(*(middle + share * (np.array(t[:2]) - middle)).tolist(), t[2]) for t in tops]


def way_round_m(points) -> float:
    return sum(math.dist(a, b) for a, b in zip(points, [*points[1:], points[0]]))


def _convex(points) -> bool:
    """No corner flatter than some 10 degrees of turn: such a support would carry nothing."""
    turns = []
    for a, b, c in zip(points, [*points[1:], points[0]], [*points[2:], *points[:2]]):
        u, v = np.subtract(b, a), np.subtract(c, b)
        turns.append((u[0] * v[1] - u[1] * v[0]) / (np.linalg.norm(u) * np.linalg.norm(v)))
    return min(turns) > 0.17
