"""Thin-wire integrals: interaction of current and charge on pairs of straight segments, compiled.

Each segment carries two shape functions of the distance s from its start, sin(kc s)/sin(kc L) rising to its end (slot 1)
and the mirror image falling from its start (slot 0); kc is one wave number near the middle of the batch of frequencies.
For segments i, j and slots p, q the entry is

    Z = j w mu/(4 pi) ∬ f_p f_q (t_i·G·t_j) + 1/(j w eps 4 pi) ∬ f_p' f_q' G_phi,   G = exp(-jkR)/R + ground part

(Galerkin mixed-potential form: R. F. Harrington, Field Computation by Moment Methods, 1968, ch. 4; piecewise-sinusoidal
currents: J. H. Richmond, NASA CR-2399, 1974). Near pairs: the inner integral with s' = s0 + rho sinh u, which takes
out 1/R, the outer one with points crowded at both ends. Otherwise Gauss points by distance. Reduced kernel
R² = d² + a² for segments of ten radii and more, below that the exact one (mean of reduced kernels over the azimuth).

Arrays: `p0` (N,3) starts, `tn` (N,3) unit tangents, `ln` (N,) lengths, `rad` (N,) radii, `k` (F,) equally spaced
or not. Result complex (F, 2N, 2N), slot order 2 i + p.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from .halfspace import R_PER_OCTAVE, W_POINTS

FREE, PERFECT, SOIL = 0, 1, 2

_rules = [np.polynomial.legendre.leggauss(n) for n in range(1, 11)]
GX = np.zeros((11, 10))
GW = np.zeros((11, 10))
for _n, (_x, _w) in enumerate(_rules, start=1):
    GX[_n, :_n] = 0.5 * (1.0 + _x)
    GW[_n, :_n] = 0.5 * _w
AZIMUTHS = 8  # points over half the circumference for the exact kernel
_JIT = dict(cache=True, fastmath=True, error_model="numpy", nogil=True)


@njit(**_JIT)
def look_up(tab, first, kr, sin_e, out):
    """Q at R = kr, Y/R = sin_e by bicubic interpolation; out (4,) complex."""
    u = math.log(kr) * (R_PER_OCTAVE / math.log(2.0)) - first
    rows = tab.shape[0]
    i = int(math.floor(u)) - 1
    i = min(max(i, 0), rows - 4)
    x = u - i - 1.0
    x = min(max(x, -1.0), 2.0)
    v = math.sqrt(max(sin_e, 0.0)) * (W_POINTS - 1)
    j = int(math.floor(v)) - 1
    j = min(max(j, 0), W_POINTS - 4)
    y = v - j - 1.0
    ax = (-x * (x - 1.0) * (x - 2.0) / 6.0, (x + 1.0) * (x - 1.0) * (x - 2.0) / 2.0,
          -(x + 1.0) * x * (x - 2.0) / 2.0, (x + 1.0) * x * (x - 1.0) / 6.0)
    ay = (-y * (y - 1.0) * (y - 2.0) / 6.0, (y + 1.0) * (y - 1.0) * (y - 2.0) / 2.0,
          -(y + 1.0) * y * (y - 2.0) / 2.0, (y + 1.0) * y * (y - 1.0) / 6.0)
    for c in range(4):
        out[c] = 0.0
    for m in range(4):
        for n in range(4):
            w = ax[m] * ay[n]
            for c in range(4):
                out[c] += w * tab[i + m, j + n, c]


@njit(**_JIT)
def segment_distance(p, d1, l1, q, d2, l2):
    """Least distance between two straight segments (start, direction, length)."""
    rx, ry, rz = p[0] - q[0], p[1] - q[1], p[2] - q[2]
    b = d1[0] * d2[0] + d1[1] * d2[1] + d1[2] * d2[2]
    c = d1[0] * rx + d1[1] * ry + d1[2] * rz
    f = d2[0] * rx + d2[1] * ry + d2[2] * rz
    den = 1.0 - b * b
    s = 0.0
    if den > 1e-12:
        s = min(max((b * f - c) / den, 0.0), l1)
    t = b * s + f
    if t < 0.0:
        t = 0.0
        s = min(max(-c, 0.0), l1)
    elif t > l2:
        t = l2
        s = min(max(b * l2 - c, 0.0), l1)
    x = rx + s * d1[0] - t * d2[0]
    y = ry + s * d1[1] - t * d2[1]
    z = rz + s * d1[2] - t * d2[2]
    return math.sqrt(x * x + y * y + z * z)


@njit(**_JIT)
def _waves(r, k, uniform, out):
    """out[f] = exp(-j k[f] r) / r."""
    n = k.shape[0]
    c = complex(math.cos(k[0] * r), -math.sin(k[0] * r)) / r
    out[0] = c
    if uniform:
        if n > 1:
            dk = k[1] - k[0]
            step = complex(math.cos(dk * r), -math.sin(dk * r))
            for f in range(1, n):
                c *= step
                out[f] = c
    else:
        for f in range(1, n):
            out[f] = complex(math.cos(k[f] * r), -math.sin(k[f] * r)) / r


@njit(**_JIT)
def _near_pair(p, t, lp, q, d, lq, a2, exact, kc, k, uniform, wv, va, vp):
    """Near pair in free space: adds to va, vp (4, F) the integrals of f f G and f' f' G, outer on segment 1."""
    nf = k.shape[0]
    sin1 = math.sin(kc * lp)
    sin2 = math.sin(kc * lq)
    turns = AZIMUTHS if exact else 1
    for m in range(8):
        x = GX[8, m]
        s = lp * x * x * (3.0 - 2.0 * x)
        ws = GW[8, m] * 6.0 * x * (1.0 - x) * lp
        f0, f1 = math.sin(kc * (lp - s)) / sin1, math.sin(kc * s) / sin1
        g0, g1 = -kc * math.cos(kc * (lp - s)) / sin1, kc * math.cos(kc * s) / sin1
        rx = p[0] + s * t[0] - q[0]
        ry = p[1] + s * t[1] - q[1]
        rz = p[2] + s * t[2] - q[2]
        s0 = rx * d[0] + ry * d[1] + rz * d[2]
        d2 = max(rx * rx + ry * ry + rz * rz - s0 * s0, 0.0)
        for turn in range(turns):
            if exact:
                xi = GX[8, turn]
                chord = 2.0 * math.sqrt(a2) * math.sin(0.5 * math.pi * xi * xi)
                rho = math.sqrt(d2 + chord * chord)
                wt = ws * GW[8, turn] * 2.0 * xi
            else:
                rho = math.sqrt(d2 + a2)
                wt = ws
            ua = math.asinh(-s0 / rho)
            ub = math.asinh((lq - s0) / rho)
            split = ua < -0.5 and ub > 0.5
            for half in range(2 if split else 1):
                lo, hi, n = ua, ub, 8
                if split:
                    if half == 0:
                        hi = 0.0
                    else:
                        lo = 0.0
                for nn in range(n):
                    u = lo + (hi - lo) * GX[n, nn]
                    sh = math.sinh(u)
                    sq = s0 + rho * sh
                    r = rho * math.sqrt(1.0 + sh * sh)
                    w = wt * GW[n, nn] * (hi - lo) * r
                    h0, h1 = math.sin(kc * (lq - sq)) / sin2, math.sin(kc * sq) / sin2
                    c0, c1 = -kc * math.cos(kc * (lq - sq)) / sin2, kc * math.cos(kc * sq) / sin2
                    _waves(r, k, uniform, wv)
                    for f in range(nf):
                        e = wv[f] * w
                        va[0, f] += f0 * h0 * e
                        va[1, f] += f0 * h1 * e
                        va[2, f] += f1 * h0 * e
                        va[3, f] += f1 * h1 * e
                        vp[0, f] += g0 * c0 * e
                        vp[1, f] += g0 * c1 * e
                        vp[2, f] += g1 * c0 * e
                        vp[3, f] += g1 * c1 * e


@njit(**_JIT)
def _points_by_distance(distance, length):
    ratio = distance / length
    if ratio > 3.0:
        return 2
    if ratio > 1.0:
        return 3
    if ratio > 0.4:
        return 5
    return 0


@njit(**_JIT)
def _shapes(ln, kc, sh):
    """Shapes times weights at the Gauss points of each rule used: sh (11, N, 10, 4) = f0, f1, f0', f1'."""
    for n in (2, 3, 5, 8):
        for i in range(ln.shape[0]):
            sn = math.sin(kc * ln[i])
            for m in range(n):
                s = GX[n, m] * ln[i]
                w = GW[n, m] * ln[i]
                sh[n, i, m, 0] = w * math.sin(kc * (ln[i] - s)) / sn
                sh[n, i, m, 1] = w * math.sin(kc * s) / sn
                sh[n, i, m, 2] = -w * kc * math.cos(kc * (ln[i] - s)) / sn
                sh[n, i, m, 3] = w * kc * math.cos(kc * s) / sn


@njit(**_JIT)
def fill(p0, tn, ln, rad, k, kc, ground, tabs, first, i_from, j_to, scale_a, scale_p):
    """Slot matrix (F, 2N, 2N) [ohm]: pairs (i, j) with i ≥ i_from or j ≥ i_from among i ≤ j < j_to.

    ground : FREE, PERFECT or SOIL; tabs complex (F, rows, W_POINTS, 4) with `first` row numbers (see halfspace.table)
    scale_a, scale_p : (F,) j w mu / 4 pi and 1 / (j w eps 4 pi)
    """
    n = p0.shape[0]
    nf = k.shape[0]
    uniform = True
    for f in range(2, nf):
        if abs((k[f] - k[f - 1]) - (k[1] - k[0])) > 1e-9 * k[0]:
            uniform = False
    z = np.zeros((nf, 2 * n, 2 * n), np.complex128)
    sh = np.zeros((11, n, 10, 4))
    _shapes(ln, kc, sh)
    va = np.zeros((4, nf), np.complex128)
    vp = np.zeros((4, nf), np.complex128)
    wv = np.zeros(nf, np.complex128)
    qq = np.zeros(4, np.complex128)
    mir = np.zeros(3)
    mit = np.zeros(3)
    for i in range(n):
        for j in range(max(i, i_from) if i < i_from else i, j_to):
            va[:] = 0.0
            vp[:] = 0.0
            dot = tn[i, 0] * tn[j, 0] + tn[i, 1] * tn[j, 1] + tn[i, 2] * tn[j, 2]
            a2 = 0.5 * (rad[i] * rad[i] + rad[j] * rad[j])
            dist = 0.0 if i == j else segment_distance(p0[i], tn[i], ln[i], p0[j], tn[j], ln[j])
            ni = _points_by_distance(dist, ln[i])
            nj = _points_by_distance(dist, ln[j])
            if ni == 0 or nj == 0:
                exact = min(ln[i], ln[j]) < 10.0 * math.sqrt(a2) and dist < 4.0 * math.sqrt(a2)
                if ln[i] <= ln[j]:
                    _near_pair(p0[i], tn[i], ln[i], p0[j], tn[j], ln[j], a2, exact, kc, k, uniform, wv, va, vp)
                else:
                    _near_pair(p0[j], tn[j], ln[j], p0[i], tn[i], ln[i], a2, exact, kc, k, uniform, wv, va, vp)
                    for f in range(nf):
                        va[1, f], va[2, f] = va[2, f], va[1, f]
                        vp[1, f], vp[2, f] = vp[2, f], vp[1, f]
            else:
                for m in range(ni):
                    si = GX[ni, m] * ln[i]
                    x = p0[i, 0] + si * tn[i, 0] - p0[j, 0]
                    y = p0[i, 1] + si * tn[i, 1] - p0[j, 1]
                    zz = p0[i, 2] + si * tn[i, 2] - p0[j, 2]
                    for mm in range(nj):
                        sj = GX[nj, mm] * ln[j]
                        dx, dy, dz = x - sj * tn[j, 0], y - sj * tn[j, 1], zz - sj * tn[j, 2]
                        r = math.sqrt(dx * dx + dy * dy + dz * dz + a2)
                        _waves(r, k, uniform, wv)
                        for f in range(nf):
                            for pp in range(2):
                                for qn in range(2):
                                    va[2 * pp + qn, f] += sh[ni, i, m, pp] * sh[nj, j, mm, qn] * wv[f]
                                    vp[2 * pp + qn, f] += sh[ni, i, m, 2 + pp] * sh[nj, j, mm, 2 + qn] * wv[f]
            for c in range(4):
                for f in range(nf):
                    va[c, f] *= dot
            if ground != FREE:
                for c in range(3):
                    mir[c] = p0[j, c]
                    mit[c] = tn[j, c]
                mir[2], mit[2] = -mir[2], -mit[2]
                dist = segment_distance(p0[i], tn[i], ln[i], mir, mit, ln[j])
                if ground == PERFECT:
                    _perfect_image(p0, tn, ln, a2, i, j, mir, mit, dist, kc, k, uniform, sh, wv, va, vp)
                else:
                    _soil_image(p0, tn, ln, a2, i, j, dist, k, k, uniform, sh, wv, qq, tabs, first, va, vp)
            for f in range(nf):
                for pp in range(2):
                    for qn in range(2):
                        v = scale_a[f] * va[2 * pp + qn, f] + scale_p[f] * vp[2 * pp + qn, f]
                        z[f, 2 * i + pp, 2 * j + qn] = v
                        z[f, 2 * j + qn, 2 * i + pp] = v
    return z


@njit(**_JIT)
def _perfect_image(p0, tn, ln, a2, i, j, mir, mit, dist, kc, k, uniform, sh, wv, va, vp):
    """Adds the mirror image over perfect ground: charge reversed, horizontal current reversed."""
    nf = k.shape[0]
    ia = np.zeros((4, nf), np.complex128)
    ip = np.zeros((4, nf), np.complex128)
    ni = _points_by_distance(dist, ln[i])
    nj = _points_by_distance(dist, ln[j])
    dot = -(tn[i, 0] * mit[0] + tn[i, 1] * mit[1] + tn[i, 2] * mit[2])
    if ni == 0 or nj == 0:
        exact = min(ln[i], ln[j]) < 10.0 * math.sqrt(a2) and dist < 4.0 * math.sqrt(a2)
        if ln[i] <= ln[j]:
            _near_pair(p0[i], tn[i], ln[i], mir, mit, ln[j], a2, exact, kc, k, uniform, wv, ia, ip)
        else:
            _near_pair(mir, mit, ln[j], p0[i], tn[i], ln[i], a2, exact, kc, k, uniform, wv, ia, ip)
            for f in range(nf):
                ia[1, f], ia[2, f] = ia[2, f], ia[1, f]
                ip[1, f], ip[2, f] = ip[2, f], ip[1, f]
    else:
        for m in range(ni):
            si = GX[ni, m] * ln[i]
            x = p0[i, 0] + si * tn[i, 0] - mir[0]
            y = p0[i, 1] + si * tn[i, 1] - mir[1]
            zz = p0[i, 2] + si * tn[i, 2] - mir[2]
            for mm in range(nj):
                sj = GX[nj, mm] * ln[j]
                dx, dy, dz = x - sj * mit[0], y - sj * mit[1], zz - sj * mit[2]
                _waves(math.sqrt(dx * dx + dy * dy + dz * dz + a2), k, uniform, wv)
                for f in range(nf):
                    for pp in range(2):
                        for qn in range(2):
                            ia[2 * pp + qn, f] += sh[ni, i, m, pp] * sh[nj, j, mm, qn] * wv[f]
                            ip[2 * pp + qn, f] += sh[ni, i, m, 2 + pp] * sh[nj, j, mm, 2 + qn] * wv[f]
    for c in range(4):
        for f in range(nf):
            va[c, f] += dot * ia[c, f]
            vp[c, f] -= ip[c, f]


@njit(**_JIT)
def _soil_image(p0, tn, ln, a2, i, j, dist, k, k_wave, uniform, sh, wv, qq, tabs, first, va, vp):
    """Adds the ground's part for a pair of segments, the look-up at every point; Q is over exp(-j k_wave R)/R."""
    nf = k.shape[0]
    ni = _points_by_distance(dist, ln[i])
    nj = _points_by_distance(dist, ln[j])
    if ni == 0:
        ni = 8
    if nj == 0:
        nj = 8
    hor = tn[i, 0] * tn[j, 0] + tn[i, 1] * tn[j, 1]
    ver = tn[i, 2] * tn[j, 2]
    for m in range(ni):
        si = GX[ni, m] * ln[i]
        x = p0[i, 0] + si * tn[i, 0] - p0[j, 0]
        y = p0[i, 1] + si * tn[i, 1] - p0[j, 1]
        zz = p0[i, 2] + si * tn[i, 2] + p0[j, 2]
        for mm in range(nj):
            sj = GX[nj, mm] * ln[j]
            dx, dy, zeta = x - sj * tn[j, 0], y - sj * tn[j, 1], zz + sj * tn[j, 2]
            r2 = dx * dx + dy * dy + a2 + zeta * zeta
            r = math.sqrt(r2)
            _waves(r, k_wave, uniform, wv)
            # (t_i·rho) and (t_j·rho), each times rho / R as the table holds Q_g over X/R
            mix = (tn[j, 2] * (tn[i, 0] * dx + tn[i, 1] * dy) - tn[i, 2] * (tn[j, 0] * dx + tn[j, 1] * dy)) / r
            for f in range(nf):
                look_up(tabs[f], first, k[f] * r, zeta / r, qq)
                ga = wv[f] * (hor * qq[0] + ver * qq[2] + mix * qq[3])
                gp = wv[f] * qq[1]
                for pp in range(2):
                    for qn in range(2):
                        va[2 * pp + qn, f] += sh[ni, i, m, pp] * sh[nj, j, mm, qn] * ga
                        vp[2 * pp + qn, f] += sh[ni, i, m, 2 + pp] * sh[nj, j, mm, 2 + qn] * gp


@njit(**_JIT)
def ground_only(p0, tn, ln, rad, k, k_wave, kc, tabs, first, scale_a, scale_p):
    """The ground's part of the slot matrix alone, from any table of Q over exp(-j k_wave R)/R: (F, 2N, 2N) [ohm]."""
    n = p0.shape[0]
    nf = k.shape[0]
    z = np.zeros((nf, 2 * n, 2 * n), np.complex128)
    sh = np.zeros((11, n, 10, 4))
    _shapes(ln, kc, sh)
    va = np.zeros((4, nf), np.complex128)
    vp = np.zeros((4, nf), np.complex128)
    wv = np.zeros(nf, np.complex128)
    qq = np.zeros(4, np.complex128)
    mir = np.zeros(3)
    mit = np.zeros(3)
    for i in range(n):
        for j in range(i, n):
            va[:] = 0.0
            vp[:] = 0.0
            a2 = 0.5 * (rad[i] * rad[i] + rad[j] * rad[j])
            for c in range(3):
                mir[c] = p0[j, c]
                mit[c] = tn[j, c]
            mir[2], mit[2] = -mir[2], -mit[2]
            dist = segment_distance(p0[i], tn[i], ln[i], mir, mit, ln[j])
            _soil_image(p0, tn, ln, a2, i, j, dist, k, k_wave, False, sh, wv, qq, tabs, first, va, vp)
            for f in range(nf):
                for pp in range(2):
                    for qn in range(2):
                        v = scale_a[f] * va[2 * pp + qn, f] + scale_p[f] * vp[2 * pp + qn, f]
                        z[f, 2 * i + pp, 2 * j + qn] = v
                        z[f, 2 * j + qn, 2 * i + pp] = v
    return z
