"""What full-wave loops share: bands, length round, matching ratios, a loop of given length as it sags."""

from __future__ import annotations

import math

from .bands import harmonics, wished_bands
from .sag import Sag

ROUND = 306.0  # metres times megahertz, a full-wave loop before trimming (common practice, no source)
RATIOS = (2, 1, 4)  # some 100 ohm round a full wave, more on its multiples


def served_by(base, wishes):
    return harmonics(base, wished_bands(wishes))


def round_m(band):
    return ROUND / band.centre_mhz


def closed(points) -> tuple:
    return (*points, points[0])


def of_length(wanted_m: float, laid):
    """The points `laid(straight_m)` of a loop held at its corners that is `wanted_m` round as it sags."""
    straight = wanted_m
    for _ in range(4):
        points = laid(straight)
        path, _ = Sag([points]).path(points)
        share = wanted_m / sum(map(math.dist, path, path[1:]))
        if abs(share - 1.0) < 1e-6:
            break
        straight *= share
    return points
