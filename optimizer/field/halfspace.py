"""Potentials of a current element above a lossy half-space, as a look-up table.

Mixed potentials in the air above soil, E = -j w A - grad(phi), with one scalar potential for all current
directions (the "formulation C" of K. A. Michalski and D. Zheng, IEEE Trans. AP 38 (1990) 335-344, here for two media
and re-derived from the plane-wave spectrum). With lengths in units of 1/k, s the transverse wave number over k,
a = sqrt(1 - s²), b = sqrt(n² - s²) (Im ≤ 0), X = k rho, Y = k (z + z'), the reflected parts are (k / 4 pi) T with

    T_F = -j ∫ F(s) J0(sX) exp(-j a Y) s/a ds            F = 1 gives exp(-jR)/R, R² = X² + Y²
    A_xx, A_yy  F_xx  = (a - b) / (a + b)
    A_zz        F_zz  = (n² a - b)/(n² a + b) + 2 a² H
    phi         F_phi = -(1 + a² + a b) H
    A_zx, A_xz  T_g   = -2 ∫ H J1(sX) exp(-j a Y) s² ds,  H = (n² - 1) / ((n² a + b)(a + b))

    t_i · A · t_j = A_xx (horizontal parts) + A_zz t_iz t_jz + T_g [t_jz (t_i·rho) - t_iz (t_j·rho)]

with rho the horizontal unit vector from source to observer. All forms are free of cancellation. The quasi-static
images are taken out (they are closed forms); the rest is integrated in the plane s = sin t, which removes the branch point
at s = 1, along a hyperbola that stays clear of the surface-wave pole and of the soil's branch point, up to where
the exponential or a smooth taper of the oscillation has ended it. The nodes do not depend on the soil or the
frequency, so the Bessel and exponential factors are computed once per octave of R, and a table for a new soil
and frequency is one small matrix product.

The table holds Q = T R exp(jR) (divided by X/R for T_g) over log2 R and w = sqrt(Y/R): slowly varying numbers
that tend to constants near and far. Time factor exp(+j w t).
"""

from __future__ import annotations

from functools import cache, lru_cache

import numpy as np
from scipy.special import erfc, jv

from .kept import kept

R_PER_OCTAVE = 8  # table points per octave of R
W_POINTS = 25  # table points over w = sqrt(Y/R) in 0..1
REACH = 60.0  # where the integration ends, in units of 1/R
LOWEST_OCTAVE, HIGHEST_OCTAVE = -14, 12
HIGHEST_KEPT = 4  # farther octaves are hardly asked for, and large (3 MB each up to here)

_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(8)


def _path(r_top: float):
    """Nodes of the integration for R up to `r_top`: t, dt (complex) with the taper in dt, shape (Q,)."""
    s_end = max(REACH / r_top * 2.0, min(14.0, 600.0 / r_top), 2.6)
    s_half = max(0.5 * s_end, np.sqrt(1.1 * s_end))  # the taper must leave the saddle at s = 1 alone
    c = min(0.35, 1.5 / r_top)
    q_end = np.arccosh(s_end)
    half_pi = 0.5 * np.pi
    start_q = c / half_pi
    pieces = [(0.0 + 0.0j, half_pi - half_pi + 1j * start_q)]
    taus = [start_q - half_pi]
    while taus[-1] < q_end:
        tau = taus[-1]
        root = np.sqrt(c + 0.25 * tau * tau)
        p, q = root - 0.5 * tau, root + 0.5 * tau
        s_here = np.cosh(q)
        step = min(0.45 * np.hypot(p, q), 0.6, 3.0 / (r_top * max(s_here, 0.2)))
        taus.append(min(tau + step, q_end))
    taus = np.array(taus)

    def on_path(tau):
        root = np.sqrt(c + 0.25 * tau * tau)
        p, q = root - 0.5 * tau, root + 0.5 * tau
        slope_p = 0.25 * tau / root - 0.5
        slope_q = 0.25 * tau / root + 0.5
        return half_pi - p + 1j * q, -slope_p + 1j * slope_q

    t, dt = [], []
    for a, b in pieces:
        t.append(a + (b - a) * 0.5 * (1 + _GAUSS_X))
        dt.append((b - a) * 0.5 * _GAUSS_W + 0 * t[-1])
    for lo, hi in zip(taus[:-1], taus[1:]):
        tau = 0.5 * (lo + hi) + 0.5 * (hi - lo) * _GAUSS_X
        here, slope = on_path(tau)
        t.append(here)
        dt.append(slope * 0.5 * (hi - lo) * _GAUSS_W)
    t, dt = np.concatenate(t), np.concatenate(dt)
    s_abs = np.abs(np.sin(t))
    taper = 0.5 * erfc(3.2 * np.log(s_abs / s_half) / np.log(s_end / s_half))
    return t, dt * np.where(s_abs < 0.2 * s_end, 1.0, taper)


def _polar_nodes(octave: int):
    """R (n,) and w (m,) of the table points in the octave [2^octave, 2^(octave+1))."""
    r = 2.0 ** (octave + np.arange(R_PER_OCTAVE) / R_PER_OCTAVE)
    return r, np.linspace(0.0, 1.0, W_POINTS)


@cache
def _octave_kernels(octave: int):
    """As `_made_kernels`, kept on disk for the next process where making is what takes long."""
    if octave > HIGHEST_KEPT:
        return _made_kernels(octave)
    return kept(f"octave{octave}", __file__, lambda: _made_kernels(octave))


def _made_kernels(octave: int):
    """Soil-free factors of one octave: t (Q,), K0 (n m, Q), K1 (n m, Q), S1 (n m,)...

    K0 carries J0 exp(-jaY) sin t dt, K1 carries -2 J1 exp(-jaY) s² cos t dt / (X/R) and Kc the static image of T_g.
    """
    r, w = _polar_nodes(octave)
    t, dt = _path(r[-1])
    s, a = np.sin(t), np.cos(t)
    rr, ww = (g.ravel() for g in np.meshgrid(r, w, indexing="ij"))
    y = rr * ww**2
    x = np.sqrt(np.maximum(rr**2 - y**2, 0.0))
    decay = np.exp(-1j * np.outer(y, a))
    k0 = jv(0, np.outer(x, s)) * decay
    # J1(sX)/X stays finite on the axis
    x_safe = np.maximum(x, 1e-9 * rr)
    j1_over_x = jv(1, np.outer(x_safe, s)) / x_safe[:, None] * rr[:, None]
    lift = (rr * np.exp(1j * rr))[:, None]
    k0 = -1j * k0 * (s * dt) * lift
    k1 = -2.0 * j1_over_x * decay * (s**2 * a * dt) * lift
    # closed form of ∫ J1(sX) exp(-sY) ds = (1 - Y/R)/X, over X/R; and the same through the nodes
    static_exact = rr**2 / (rr * (rr + y)) / rr * lift[:, 0]
    static_nodes = (j1_over_x * np.exp(-np.outer(y, s)) * (a * dt)).sum(axis=1) * lift[:, 0]
    return t, k0, k1, static_exact - static_nodes


def _spectrum(t, n2: complex):
    """F_xx, F_phi, F_zz less their quasi-static limits, and H: each (Q,)."""
    s2, a = np.sin(t) ** 2, np.cos(t)
    b = np.sqrt(n2 - s2)
    h = (n2 - 1.0) / ((n2 * a + b) * (a + b))
    c = (n2 - 1.0) / (n2 + 1.0)
    f_xx = -(n2 - 1.0) / (a + b) ** 2
    f_phi = -(1.0 + a * a + a * b) * h + c
    f_zz = (n2 * a - b) / (n2 * a + b) + 2.0 * a * a * h - 2.0 * c
    return f_xx, f_phi, f_zz, h, c


@lru_cache(maxsize=4096)
def octave_table(octave: int, n2: complex):
    """Q of one octave, complex (R_PER_OCTAVE, W_POINTS, 4): xx, phi, zz, g (over X/R)."""
    t, k0, k1, static_rest = _octave_kernels(octave)
    f_xx, f_phi, f_zz, h, c = _spectrum(t, n2)
    out = np.empty((k0.shape[0], 4), complex)
    out[:, :3] = k0 @ np.stack([f_xx, f_phi, f_zz], axis=1)
    out[:, 1] -= c
    out[:, 2] += 2.0 * c
    out[:, 3] = k1 @ h + c * static_rest
    out = out.reshape(R_PER_OCTAVE, W_POINTS, 4)
    out.flags.writeable = False
    return out


def table(n2: complex, r_low: float, r_high: float):
    """Table for R from `r_low` to `r_high` (units of 1/k).

    n2 : complex relative permittivity of the soil at the frequency
    Returns (first, q): `first` is R_PER_OCTAVE times log2 R of the first row, q complex (rows, W_POINTS, 4).
    """
    low, high = octaves(r_low, r_high)
    return low * R_PER_OCTAVE, joined(n2, low, high)


def octaves(r_low: float, r_high: float) -> tuple[int, int]:
    """First and last octave of a table for R from `r_low` to `r_high` (units of 1/k)."""
    low = int(np.clip(np.floor(np.log2(r_low) - 2.0 / R_PER_OCTAVE), LOWEST_OCTAVE, HIGHEST_OCTAVE))
    return low, int(np.clip(np.floor(np.log2(r_high) + 3.0 / R_PER_OCTAVE), low, HIGHEST_OCTAVE))


@lru_cache(maxsize=256)
def joined(n2: complex, low: int, high: int):
    """The octaves from `low` to `high` as one table."""
    q = np.concatenate([octave_table(octave, n2) for octave in range(low, high + 1)])
    q.flags.writeable = False
    return q


def fresnel(n2: complex, sin_elevation):
    """Plane-wave reflection at elevation angle: (R_TE, R_TM), H parallel to the ground for TM; none where the soil is as air."""
    sin_e = np.asarray(sin_elevation, float)
    if n2 == 1.0:  # 0/0 at the horizon
        return np.zeros_like(sin_e), np.zeros_like(sin_e)
    b = np.sqrt(n2 - (1.0 - sin_e**2))
    return (sin_e - b) / (sin_e + b), (n2 * sin_e - b) / (n2 * sin_e + b)
