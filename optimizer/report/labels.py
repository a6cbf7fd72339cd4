"""Where a label goes: near its point, off everything that stands there already, inside the drawing. User units, y down."""

from __future__ import annotations

import math
from itertools import pairwise

CLEAR_STEP = 7.0
RINGS = 7
AROUND = ((1, -0.6), (-1, -0.6), (1, 0.6), (-1, 0.6), (0, -1), (0, 1))


def place(at, size, near: float, taken: list, frame) -> tuple[tuple[float, float], tuple[float, float] | None]:
    """Left top corner of a box of (width, height) near a point, and where a pointer from the point should end (None: close enough).

    taken : boxes (left, top, width, height) to keep off; the new one is added. frame : (width, height) of the drawing. Where nothing is
    free the place that covers least is taken.
    """
    w, h = size
    spots = [
        (at[0] + sx * (near + k * h) - (0 if sx > 0 else w if sx < 0 else w / 2), at[1] + sy * (near + k * h) - h / 2)
        for k in range(RINGS)
        for sx, sy in AROUND
    ]
    inside = [s for s in spots if 2 <= s[0] <= frame[0] - w - 2 and 2 <= s[1] <= frame[1] - h - 2] or spots
    free = (s for s in inside if not any(_overlap((*s, w, h), t) > 0 for t in taken))
    left, top = next(free, None) or min(inside, key=lambda s: sum(_overlap((*s, w, h), t) for t in taken))
    taken.append((left, top, w, h))
    edge = min(max(at[0], left), left + w), min(max(at[1], top), top + h)
    far = abs(edge[0] - at[0]) + abs(edge[1] - at[1]) > 2.2 * near + 4.0
    return (left, top), edge if far else None


def along(points) -> list[tuple[float, float, float, float]]:
    """Boxes along a line, for labels to keep off it."""
    boxes = []
    for a, b in pairwise(points):
        steps = max(1, math.ceil(math.dist(a, b) / CLEAR_STEP))
        boxes += [(a[0] + i / steps * (b[0] - a[0]) - 2, a[1] + i / steps * (b[1] - a[1]) - 2, 4, 4) for i in range(steps + 1)]
    return boxes


def about(at, half: float) -> tuple[float, float, float, float]:
    """A box around a symbol."""
    return at[0] - half, at[1] - half, 2 * half, 2 * half


def _overlap(a, b) -> float:
    """Area that two boxes share."""
    wide = min(a[0] + a[2], b[0] + b[2]) - max(a[0], b[0])
    high = min(a[1] + a[3], b[1] + b[3]) - max(a[1], b[1])
    return wide * high if wide > 0 and high > 0 else 0.0
