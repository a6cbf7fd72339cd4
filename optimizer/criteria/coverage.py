"""How much of a wished segment the radio accepts.

SWR is taken linear between dense samples, and the crossing of the limit is placed on that line, so the share
moves smoothly as a curve moves. Dimensionless, 0..1.
"""

from __future__ import annotations

import numpy as np

from ..errors import Fault, InputError


def covered_share(freq_hz, swr, *, low_hz: float, high_hz: float, swr_limit: float) -> float:
    """Share of low_hz..high_hz with SWR at or under the limit, 0..1.

    freq_hz, swr : (F,)   ascending samples that reach both edges
    Raises InputError where the samples do not reach the edges. A segment of no width counts as one point.
    """
    f, s = np.asarray(freq_hz, float), np.asarray(swr, float)
    if f[0] > low_hz + 1e-3 or f[-1] < high_hz - 1e-3:
        raise InputError([Fault("sweep", "freq_hz", (f[0], f[-1]), f"samples from {low_hz} to {high_hz} Hz")])
    f, s = _cut(f, s, low_hz, high_hz)
    if high_hz <= low_hz:
        return float(s[0] <= swr_limit)
    over0, over1 = s[:-1] - swr_limit, s[1:] - swr_limit
    below = np.where(np.maximum(over0, over1) <= 0, 1.0, 0.0)
    crosses = (over0 > 0) != (over1 > 0)
    inside = np.minimum(over0, over1)[crosses]
    below[crosses] = -inside / np.abs(over1 - over0)[crosses]
    return float(np.sum(below * np.diff(f)) / (high_hz - low_hz))


def swr_best_worst(freq_hz, swr, *, low_hz: float, high_hz: float) -> tuple[float, float]:
    """Least and greatest SWR over the segment."""
    _, s = _cut(np.asarray(freq_hz, float), np.asarray(swr, float), low_hz, high_hz)
    return float(s.min()), float(s.max())


def _cut(f, s, low_hz, high_hz):
    """Samples within the segment, with interpolated samples at both edges."""
    inner = (f > low_hz) & (f < high_hz)
    edges = np.interp([low_hz, high_hz], f, s)
    return np.r_[low_hz, f[inner], high_hz], np.r_[edges[0], s[inner], edges[1]]
