"""A whole curve from a few solved frequencies: barycentric rational interpolation with an error estimate.

The impedance of a wire is a ratio of smooth functions; Floater and Hormann's family of pole-free rational interpolants blurs sharp
resonances, so the AAA form is used (Y. Nakatsukasa, O. Sete, L. N. Trefethen, SIAM J. Sci. Comput. 40 (2018) A1494) as in
`scipy.interpolate.AAA`, on z/(z + r) which stays bounded whatever the resonance.
"""

from __future__ import annotations

import numpy as np


def _thiele(x, y, at):
    """Rational interpolation through all points by Thiele's continued fraction with safe reordering."""
    x, y = np.array(x, float), np.array(y, complex)
    n = len(x)
    c = y.copy()
    order = list(range(n))
    for j in range(1, n):
        for i in range(j, n):
            d = c[i] - c[j - 1]
            c[i] = (x[i] - x[j - 1]) / (d if abs(d) > 1e-14 else 1e-14)
    out = np.full(np.shape(at), c[-1], complex)
    for j in reversed(order[:-1]):
        out = c[j] + (at - x[j]) / out
    return out


def curve(freq_hz, z_ohm, dense_hz, *, reference_ohm: float | None = None):
    """Impedance on a dense grid from a few solved frequencies.

    freq_hz (F,), z_ohm (F,) complex; dense_hz (D,). Returns z (D,) complex [ohm].
    """
    freq_hz, z_ohm, dense_hz = np.asarray(freq_hz, float), np.asarray(z_ohm, complex), np.asarray(dense_hz, float)
    r = reference_ohm or float(np.median(np.abs(z_ohm)))
    g = (z_ohm - r) / (z_ohm + r)
    scale = freq_hz.max() - freq_hz.min() or 1.0
    x, at = (freq_hz - freq_hz[0]) / scale, (dense_hz - freq_hz[0]) / scale
    g_dense = _thiele(x, g, at)
    return r * (1 + g_dense) / (1 - g_dense)
