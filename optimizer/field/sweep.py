"""A whole curve from a few solved frequencies: rational interpolation with an error estimate.

The impedance of a wire is a ratio of smooth functions of frequency, so a ratio of polynomials p/q follows even a sharp resonance through
a handful of points. Degrees are split evenly (one more in p for an even number of points); the coefficients are
the null vector of p(x_i) - y_i q(x_i) = 0, found by singular values (Cauchy's interpolation in linearised form, e.g. J. Stoer,
R. Bulirsch, Introduction to Numerical Analysis, sec. 2.2), and degrees are lowered where the points do not need them. It
works on the reflection (z - r)/(z + r), which stays bounded whatever the resonance.
The error estimate is the change that leaving out one inner point makes.
"""

from __future__ import annotations

import numpy as np

LEVEL = 1e-11  # singular values below this part of the largest count as zero


def _rational(x, y):
    """Coefficients of p and q, lowest power first."""
    low = (len(x) - 1) // 2
    high = len(x) - 1 - low
    while True:
        powers = np.vander(x, high + 1, increasing=True)
        matrix = np.hstack([powers, -y[:, None] * powers[:, : low + 1]])
        _, values, vectors = np.linalg.svd(matrix)
        spare = matrix.shape[1] - np.count_nonzero(values > LEVEL * values[0])
        if spare <= 1 or low == 0:
            null = vectors[-1].conj()
            return null[: high + 1], null[high + 1 :]
        low, high = max(0, low - spare + 1), max(0, high - spare + 1)


def _ratio(p, q, at):
    bottom = np.polynomial.polynomial.polyval(at, q)
    return np.polynomial.polynomial.polyval(at, p) / np.where(bottom == 0, 1e-300, bottom)


def curve_with_error(freq_hz, z_ohm, dense_hz, *, reference_ohm: float | None = None):
    """Impedance on a dense grid from a few solved frequencies, and how far it may be off.

    freq_hz (F,), z_ohm (F,) complex; dense_hz (D,). Returns z (D,) complex [ohm] and an estimate of the error of the reflection,
    (D,) absolute; NaN everywhere for fewer than three points.
    """
    freq_hz, z_ohm, dense_hz = np.asarray(freq_hz, float), np.asarray(z_ohm, complex), np.asarray(dense_hz, float)
    r = reference_ohm or float(np.median(np.abs(z_ohm))) or 1.0
    g = (z_ohm - r) / (z_ohm + r)
    middle, half = 0.5 * (freq_hz.max() + freq_hz.min()), 0.5 * np.ptp(freq_hz) or 1.0
    x, at = (freq_hz - middle) / half, (dense_hz - middle) / half
    g_dense = _ratio(*_rational(x, g), at)
    error = np.full(at.shape, np.nan)
    if len(x) > 2:
        out = np.arange(len(x)) != np.argsort(x)[len(x) // 2]
        error = np.abs(g_dense - _ratio(*_rational(x[out], g[out]), at))
    return r * (1 + g_dense) / np.where(g_dense == 1, 1e-300, 1 - g_dense), error


def curve(freq_hz, z_ohm, dense_hz, *, reference_ohm: float | None = None):
    """Impedance on a dense grid from a few solved frequencies, (D,) complex [ohm]; see `curve_with_error`."""
    return curve_with_error(freq_hz, z_ohm, dense_hz, reference_ohm=reference_ohm)[0]
