"""A matrix at many nearby frequencies from a few: filling it takes longer than solving.

Its entries times the frequency are smooth: powers of it and exp(-jkR) with R no more than the wires and their images are apart. They are
interpolated by the polynomial through the zeros of a Chebyshev polynomial over the band, whose error for exp(-j phi x), x in -1..1, is
at most 2 (phi/2)^n / n! for n of them (e.g. L. N. Trefethen, Approximation Theory and Approximation Practice, 2013, ch. 4). All entries get the
same weights, which sum to one: what cancels between them, as the charges along a loop, still does.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.polynomial import chebyshev

from ..physics.constants import C0_M_PER_S, TWO_PI

LEAST = 4  # the imaginary part of G, which makes the radiation, goes with the third power of frequency
LEAST_WIDE = 1e-9  # of the frequency: nearer ones are the same
MOST_OFF = 5e-3  # of the entries between what is farthest apart; impedances are off by about a hundredth of that


def few_of(freq_hz: np.ndarray, reach_m: float) -> np.ndarray:
    """Frequencies (n,) at which to fill for these (F,), nearby ones; themselves where fewer would not do. `reach_m`: greatest distance."""
    low, high = float(freq_hz.min()), float(freq_hz.max())
    quarter = 0.25 * TWO_PI * (high - low) / C0_M_PER_S * reach_m
    count = next((n for n in range(LEAST, len(freq_hz)) if 2.0 * quarter**n / math.factorial(n) <= MOST_OFF), None)
    if count is None or high - low <= LEAST_WIDE * high:
        return freq_hz
    return 0.5 * (low + high) + 0.5 * (high - low) * chebyshev.chebpts1(count)


def spread_to(freq_hz: np.ndarray, z: np.ndarray, few_hz: np.ndarray) -> np.ndarray:
    """Matrices z (n, U, U) [ohm] at `few_hz` (n,), of `few_of`, to those at freq_hz (F,): (F, U, U)."""
    if few_hz is freq_hz:
        return z
    here, there = ((hz - freq_hz.min()) / np.ptp(freq_hz) * 2.0 - 1.0 for hz in (few_hz, freq_hz))
    most = len(few_hz) - 1
    weights = chebyshev.chebvander(there, most) @ np.linalg.inv(chebyshev.chebvander(here, most))
    weights *= few_hz / freq_hz[:, None]
    flat = np.ascontiguousarray(z).reshape(len(few_hz), -1)
    return (weights @ flat.view(float)).view(complex).reshape(len(freq_hz), *z.shape[1:])
