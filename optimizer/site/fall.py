"""The fall rule of overhead power lines: everywhere a mast or wire may come down to, in plan.

A mast may fall its full length in any direction: a disc about its foot. Of a hung run (`Span`) with holds
h0 ... hn and lengths l0 ... l(n-1) between them:
    parting anywhere    leaves loose pieces up to l_i long on both holds of its piece: discs of radius l_i about both
    an end let go       sweeps its piece about the next hold: the same disc
    a support let go    lets the run between its neighbours hang slack: every point of the wire then lies
                        within the ellipse with foci at the neighbours and the sum of the two lengths
Lengths are taken whole, without the height that a fall uses up: the safe side. Wires with no span to cover them get
discs of their whole length about each of their vertices. Role `line` (the outside of the feed line) is exempt.
Source: the project's contract, overhead lines.
"""

from __future__ import annotations

import numpy as np

from .kernels import farthest_from_run
from .model import Span, Structure

COVER_M = 0.3  # how far a wire may sag from the straight run between holds and still count as that span's
COVER_SHARE = 0.05  # and in proportion to the span's length


def sweeps(structure: Structure) -> tuple[np.ndarray, np.ndarray]:
    """Discs (D, 3: x, y, radius) and ellipses (K, 5: two foci, sum of distances) that may be swept [m]."""
    discs = [(m.at_m[0], m.at_m[1], m.height_m) for m in structure.masts]
    ellipses = []
    for span in structure.spans:
        discs += _span_discs(span)
        ellipses += _span_ellipses(span)
    for wire in structure.wires:
        if wire.role != "line" and not any(covers(span, wire) for span in structure.spans):
            length = wire.length_m
            discs += [(p[0], p[1], length) for p in wire.points_m]
    return np.array(discs, float).reshape(-1, 3), np.array(ellipses, float).reshape(-1, 5)


def _span_discs(span: Span):
    pieces = zip(span.holds_m, span.holds_m[1:], span.lengths_m)
    return [(hold[0], hold[1], length) for a, b, length in pieces for hold in (a, b)]


def _span_ellipses(span: Span):
    h, lengths = span.holds_m, span.lengths_m
    return [(*h[i - 1][:2], *h[i + 1][:2], lengths[i - 1] + lengths[i]) for i in range(1, len(h) - 1)]


def covers(span: Span, wire) -> bool:
    """Whether a wire hangs in this span: every vertex near its straight run, and no longer than it."""
    total = sum(span.lengths_m)
    near = COVER_M + COVER_SHARE * total
    if len(span.holds_m) < 2 or wire.length_m > total + COVER_M:
        return False
    return farthest_from_run(np.array(wire.points_m, float), np.array(span.holds_m, float)) <= near
