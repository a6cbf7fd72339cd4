"""Where the ports and loads of a wire sit.

Places of a wire within `JOIN_M` of each other are one: a port or load that all but sits on a vertex sits on it, and one that all but
sits on another sits with it, in series.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate

from .model import JOIN_M, Wire

SNAP_M = 1.0001 * JOIN_M  # a millimetre as written, whatever becomes of it in binary
SAME_M = 1e-6  # a place said to be a vertex's own, as far as sums of lengths are exact


@dataclass(frozen=True)
class Place:
    """A place along a wire. At a vertex (its number, else None) it is in the piece that begins there (`after`) or the one that ends there."""

    at_m: float
    after: bool = False
    vertex: int | None = None


def vertices_at_m(wire: Wire) -> list[float]:
    """Distance along the wire of each of its points."""
    return [0.0, *accumulate(math.dist(a, b) for a, b in zip(wire.points_m, wire.points_m[1:]))]


def places_on(wire: Wire, asked_m: list[float]) -> list[Place]:
    """Where those asked for along one wire sit, in the order given."""
    at_m = vertices_at_m(wire)
    last, taken, out = len(at_m) - 1, [], []
    for asked in asked_m:
        n = min(range(last + 1), key=lambda n: abs(at_m[n] - asked))
        near = min(taken, key=lambda t: abs(t - asked), default=math.inf)
        if abs(at_m[n] - asked) <= SNAP_M:
            out.append(Place(at_m[n], n == 0 or (n < last and asked > at_m[n] + SAME_M), n))
        elif abs(near - asked) <= SNAP_M:
            out.append(Place(near))
        else:
            taken.append(asked)
            out.append(Place(asked))
    return out
