"""Thin-wire integrals: interaction of current and charge on pairs of straight segments, compiled.

Each segment carries two shape functions of the distance s from its start, sin(kc s)/sin(kc L) rising to its end (slot 1)
and the mirror image falling from its start (slot 0); kc is one wave number near the middle of the batch of frequencies.
For segments i, j and slots p, q the entry is

    Z = j w mu/(4 pi) ∬ f_p f_q (t_i·G·t_j) + 1/(j w eps 4 pi) ∬ f_p' f_q' G_phi,   G = exp(-jkR)/R + ground part

(Galerkin mixed-potential form: R. F. Harrington, Field Computation by Moment Methods, 1968, ch. 4; piecewise-sinusoidal
currents: J. H. Richmond, NASA CR-2399, 1974). Near pairs: the inner integral with s' = s0 + rho sinh u, which takes
out 1/R, the outer one with points crowded at both ends. Otherwise Gauss points by distance. Reduced kernel
R² = d² + a² for segments of ten radii and more, below that the exact one (mean of reduced kernels over the azimuth).

Arrays: `p0` (N,3) starts, `tn` (N,3) unit tangents, `ln` (N,) lengths, `rad` (N,) radii, `k` (F,).
Result complex (F, 2N, 2N), slot order 2 i + p.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from ..physics.compiled import INNER, JIT, greater, lesser
from .halfspace import R_PER_OCTAVE, W_POINTS

FREE, PERFECT, SOIL = 0, 1, 2

_rules = [np.polynomial.legendre.leggauss(n) for n in range(1, 11)]
GX = np.zeros((11, 10))
GW = np.zeros((11, 10))
for _n, (_x, _w) in enumerate(_rules, start=1):
    GX[_n, :_n] = 0.5 * (1.0 + _x)
    GW[_n, :_n] = 0.5 * _w
CORNER_RATIO = 4.0  # from this distance, in segment lengths, Q is interpolated between segment ends
NEAR_POINTS = 6  # outer, and inner for each half: within 0.05 % of twice as many in impedance
MIRROR_BLOCK = 16  # segments
LANES = 32  # segments that the far rule does at a time
AZIMUTHS = 8  # points over half the circumference for the exact kernel
_JIT = dict(JIT, fastmath=True)
_INNER = dict(INNER, fastmath=True)


@njit(**_JIT)
def look_up(tab, first, log_kr, root_sin, out):
    """Q at log R = log_kr, sqrt(Y/R) = root_sin by bicubic interpolation; tab (rows, W, 8), out (8,): real, imaginary in turn."""
    u = log_kr * (R_PER_OCTAVE / math.log(2.0)) - first
    rows = len(tab)
    i = math.floor(u) - 1
    i = lesser(greater(i, 0), rows - 4)
    x = u - i - 1.0
    x = lesser(greater(x, -1.0), 2.0)
    v = root_sin * (W_POINTS - 1)
    j = math.floor(v) - 1
    j = lesser(greater(j, 0), W_POINTS - 4)
    y = v - j - 1.0
    a0, a1 = -x * (x - 1.0) * (x - 2.0) / 6.0, (x + 1.0) * (x - 1.0) * (x - 2.0) / 2.0
    a2, a3 = -(x + 1.0) * x * (x - 2.0) / 2.0, (x + 1.0) * x * (x - 1.0) / 6.0
    b0, b1 = -y * (y - 1.0) * (y - 2.0) / 6.0, (y + 1.0) * (y - 1.0) * (y - 2.0) / 2.0
    b2, b3 = -(y + 1.0) * y * (y - 2.0) / 2.0, (y + 1.0) * y * (y - 1.0) / 6.0
    q = tab[i : i + 4, j : j + 4]
    for c in range(8):
        q0 = b0 * q[0, 0, c] + b1 * q[0, 1, c] + b2 * q[0, 2, c] + b3 * q[0, 3, c]
        q1 = b0 * q[1, 0, c] + b1 * q[1, 1, c] + b2 * q[1, 2, c] + b3 * q[1, 3, c]
        q2 = b0 * q[2, 0, c] + b1 * q[2, 1, c] + b2 * q[2, 2, c] + b3 * q[2, 3, c]
        q3 = b0 * q[3, 0, c] + b1 * q[3, 1, c] + b2 * q[3, 2, c] + b3 * q[3, 3, c]
        out[c] = a0 * q0 + a1 * q1 + a2 * q2 + a3 * q3


@njit(**_INNER)
def _unit_wave(phase):
    """exp(-j phase) by half-angle Taylor series (error under 1e-10)."""
    turns = phase * (0.5 / math.pi)
    y = math.pi * (turns - math.floor(turns + 0.5))  # half the phase, within ±pi/2
    y2 = y * y
    s = y * (1.0 + y2 * (-1 / 6 + y2 * (1 / 120 + y2 * (-1 / 5040 + y2 * (1 / 362880 + y2 * (-1 / 39916800 + y2 * (
        1 / 6227020800 - y2 / 1307674368000)))))))
    c = 1.0 + y2 * (-0.5 + y2 * (1 / 24 + y2 * (-1 / 720 + y2 * (1 / 40320 + y2 * (-1 / 3628800 + y2 * (
        1 / 479001600 + y2 * (-1 / 87178291200 + y2 / 20922789888000)))))))
    return 1.0 - 2.0 * s * s, -2.0 * s * c


@njit(**_INNER)
def segment_distance(p, d1, l1, q, d2, l2, flip):
    """Least distance between two straight segments (start, direction, length); flip = -1 mirrors the second one in the ground."""
    rx, ry, rz = p[0] - q[0], p[1] - q[1], p[2] - flip * q[2]
    up = flip * d2[2]
    b = d1[0] * d2[0] + d1[1] * d2[1] + d1[2] * up
    c = d1[0] * rx + d1[1] * ry + d1[2] * rz
    f = d2[0] * rx + d2[1] * ry + up * rz
    den = 1.0 - b * b
    s = lesser(greater((b * f - c) / den, 0.0), l1) if den > 1e-12 else 0.0
    t = lesser(greater(b * s + f, 0.0), l2)
    s = lesser(greater(b * t - c, 0.0), l1)
    x = rx + s * d1[0] - t * d2[0]
    y = ry + s * d1[1] - t * d2[1]
    z = rz + s * d1[2] - t * up
    return math.sqrt(x * x + y * y + z * z)


@njit(**_INNER)
def _waves(r, k, re, im):
    """re[f], im[f] = exp(-j k[f] r) / r."""
    for f in range(len(k)):
        c, s = _unit_wave(k[f] * r)
        re[f], im[f] = c / r, s / r


@njit(**_INNER)
def _close_pair(p, t, lp, q, d, lq, a2, exact, k, k_wave, kc, soil, hor, ver, tabs, first, wv, qq, static, v):
    """Near pair, integrals of f f / R and f' f' / R into static (2, 4); over soil adds to v, on the same points, those of what its
    image differs by from the perfect ground's.

    The outer integral runs over the shorter segment. Q changes within the image's distance and the soil's skin depth,
    centimetres beneath segments of metres: smoothly in u all the same, as u goes with the logarithm of R.
    """
    static[:] = 0.0
    swap = lp > lq
    if swap:
        p, t, lp, q, d, lq = q, d, lq, p, t, lp
    sin_sin = math.sin(kc * lp) * math.sin(kc * lq)
    turns = AZIMUTHS if exact else 1
    for m in range(NEAR_POINTS):
        x = GX[NEAR_POINTS, m]
        s = lp * x * x * (3.0 - 2.0 * x)
        ws = GW[NEAR_POINTS, m] * 6.0 * x * (1.0 - x) * lp / sin_sin
        rx = p[0] + s * t[0] - q[0]
        ry = p[1] + s * t[1] - q[1]
        rz = p[2] + s * t[2] - q[2]
        s0 = rx * d[0] + ry * d[1] + rz * d[2]
        d2 = greater(rx * rx + ry * ry + rz * rz - s0 * s0, 0.0)
        near, far = kc * s, kc * (lp - s)
        outer = (ws * math.sin(far), ws * math.sin(near))
        outer_slope = (-ws * kc * kc * math.cos(far), ws * kc * kc * math.cos(near))
        h0 = h1 = c0 = c1 = 0.0
        for turn in range(turns):
            wt = 1.0
            rho = math.sqrt(d2 + a2)
            if exact:
                around = GX[AZIMUTHS, turn]
                chord = 2.0 * math.sqrt(a2) * math.sin(0.5 * math.pi * around * around)
                rho = math.sqrt(d2 + chord * chord)
                wt = GW[AZIMUTHS, turn] * 2.0 * around
            ua = math.asinh(-s0 / rho)
            ub = math.asinh((lq - s0) / rho)
            split = ua < -0.5 and ub > 0.5
            for half in range(2 if split else 1):
                lo, hi = ua, ub
                if split:
                    if half == 0:
                        hi = 0.0
                    else:
                        lo = 0.0
                for n in range(NEAR_POINTS):
                    past = rho * math.sinh(lo + (hi - lo) * GX[NEAR_POINTS, n])
                    sq = s0 + past
                    w = wt * GW[NEAR_POINTS, n] * (hi - lo)
                    near, far = kc * sq, kc * (lq - sq)
                    inner = (w * math.sin(far), w * math.sin(near))
                    inner_slope = (-w * math.cos(far), w * math.cos(near))
                    h0 += inner[0]
                    h1 += inner[1]
                    c0 += inner_slope[0]
                    c1 += inner_slope[1]
                    if not soil:
                        continue
                    r = math.sqrt(rho * rho + past * past)
                    dx, dy, dz = rx - sq * d[0], ry - sq * d[1], rz - sq * d[2]
                    mix = (d[2] * (t[0] * dx + t[1] * dy) + t[2] * (d[0] * dx + d[1] * dy)) / r
                    if not swap:
                        mix = -mix
                    root_sin = math.sqrt(abs(dz) / r)
                    _waves(r, k_wave, wv[0], wv[1])
                    for f in range(len(k)):
                        look_up(tabs[f], first, math.log(k[f] * r), root_sin, qq)
                        wr, wi = r * wv[0, f], r * wv[1, f]
                        xr, xi = hor * qq[0] - ver * qq[4] + mix * qq[6], hor * qq[1] - ver * qq[5] + mix * qq[7]
                        xr, yr, yi = xr + hor + ver, qq[2] + 1.0, qq[3]  # less the perfect image
                        ar, ai, pr, pi = wr * xr - wi * xi, wr * xi + wi * xr, wr * yr - wi * yi, wr * yi + wi * yr
                        for c in range(4):
                            both = outer[c // 2] * inner[c % 2]
                            slopes = outer_slope[c // 2] * inner_slope[c % 2]
                            slots = 2 * (c % 2) + c // 2 if swap else c
                            v[f, 0, slots] += both * ar
                            v[f, 1, slots] += both * ai
                            v[f, 2, slots] += slopes * pr
                            v[f, 3, slots] += slopes * pi
        for c in range(4):
            slots = 2 * (c % 2) + c // 2 if swap else c
            static[0, slots] += outer[c // 2] * (h1 if c % 2 else h0)
            static[1, slots] += outer_slope[c // 2] * (c1 if c % 2 else c0)


@njit(**_INNER)
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
    for n in (2, 3, 5):
        for i in range(len(ln)):
            sn = math.sin(kc * ln[i])
            for m in range(n):
                s = GX[n, m] * ln[i]
                w = GW[n, m] * ln[i]
                sh[n, i, m, 0] = w * math.sin(kc * (ln[i] - s)) / sn
                sh[n, i, m, 1] = w * math.sin(kc * s) / sn
                sh[n, i, m, 2] = -w * kc * math.cos(kc * (ln[i] - s)) / sn
                sh[n, i, m, 3] = w * kc * math.cos(kc * s) / sn


def fill(p0, tn, ln, rad, new, k, kc, ground, tabs, first, scale_a, scale_p):
    """Slot matrix (F, 2N, 2N) [ohm] of all pairs of segments of which at least one is `new` (N,) bool; zero elsewhere.

    ground : FREE, PERFECT or SOIL; tabs (F, rows, W_POINTS, 8) with `first` row number (see halfspace.table)
    scale_a, scale_p : (F,) j w mu / 4 pi and 1 / (j w eps 4 pi)
    Compiled passes kept apart: joined into one, the compiler takes longer and makes the far pairs twice as slow.
    """
    n, nf = len(ln), len(k)
    z = np.zeros((nf, 2 * n, 2 * n), complex)
    shapes = np.zeros((11, n, 10, 4))
    _shapes(ln, kc, shapes)
    near = np.zeros((2, n, n), bool)
    _near_ones(p0, tn, ln, new, ground, near)
    node_of, seg_of, at = _nodes(p0, tn, ln)
    blocks = _blocks(p0, tn, ln, shapes)
    image = np.zeros((2, 16, LANES))
    if ground == PERFECT:  # charge and flat current reversed; current upward counts with the mirrored direction
        image[:, [0, 2, 8, 10]], image[:, [4, 12]] = -1.0, 1.0
    _far_pairs(
        blocks, rad, bool(new.all()), new, near, k, np.log(k), ground, node_of, seg_of, at, tabs, first, scale_a.imag.copy(), scale_p.imag.copy(),
        np.zeros((2, nf, len(blocks), 16 * LANES)), np.zeros(2, int), image.reshape(2, -1), np.zeros((5, 9 * LANES)), np.zeros(8), z.view(float),
    )
    _mirror(new, z)
    _near_pairs(
        p0, tn, ln, rad, near, k, k, kc, ground, tabs, first, scale_a, scale_p, shapes, *_scratch(k), z
    )
    return z


def _blocks(p0, tn, ln, shapes):
    """What the far rule needs of the segments, so many at a time: (B, 17 LANES), x, y and z of the tangent, x, y and z of both points, and at both f0, f1, f0', f1'."""
    points = p0.T[:, None] + GX[2, :2, None] * (ln[:, None] * tn).T[:, None]
    rows = np.concatenate((tn.T, points.reshape(6, -1), shapes[2, :, :2].T.reshape(8, -1)))
    count = -(-rows.shape[1] // LANES)
    padded = np.pad(rows, ((0, 0), (0, count * LANES - rows.shape[1])))
    return np.ascontiguousarray(padded.reshape(len(rows), count, LANES).transpose(1, 0, 2)).reshape(count, -1)


def _scratch(k):
    """Room to work in for `_near_pairs`; made outside, as every kind of array made inside costs the compiler a fifth of a second."""
    f = len(k)
    return np.zeros((f, 4, 4)), np.zeros((2, 4)), np.zeros((2, f)), np.zeros(8), np.zeros((2, 3))


def ground_part(p0, tn, ln, rad, k, k_wave, kc, tabs, first, scale_a, scale_p):
    """The soil's part of the slot matrix alone, from any table of Q over exp(-j k_wave R)/R: (F, 2N, 2N) [ohm]."""
    n = len(ln)
    z = np.zeros((len(k), 2 * n, 2 * n), complex)
    shapes = np.zeros((11, n, 10, 4))
    _shapes(ln, kc, shapes)
    images = np.zeros((2, n, n), bool)
    images[1] = True
    _near_pairs(
        p0, tn, ln, rad, images, k, k_wave, kc, SOIL, tabs, first, scale_a, scale_p, shapes,
        *_scratch(k), z,
    )
    return z


def _nodes(p0, tn, ln):
    """Ends of the segments: node_of (2, N) the nodes at which each starts and ends, one after the other; seg_of (M, 2) the segment that
    starts and the one that ends at a node, -1 where none does; at (M, 3)."""
    ends = p0 + ln[:, None] * tn
    joined = np.r_[False, (np.abs(ends[:-1] - p0[1:]) <= 1e-6).all(axis=1)]
    first_node = 2 * np.arange(len(ln)) - np.cumsum(joined)
    node_of = np.array([first_node, first_node + 1])
    at, seg_of = np.empty((node_of[1, -1] + 1, 3)), np.full((node_of[1, -1] + 1, 2), -1)
    at[node_of[0]], at[node_of[1]] = p0, ends
    seg_of[node_of[0], 0] = seg_of[node_of[1], 1] = np.arange(len(ln))
    return node_of, seg_of, at


@njit(**_INNER)
def plain(ground, q):
    """Q of the wire itself (FREE), or of its image in perfect ground, which has charge and flat current reversed."""
    for c in range(8):
        q[c] = 0.0
    sign = 1.0 if ground == FREE else -1.0
    q[0] = q[2] = sign
    q[4] = -sign  # in an image, current upward counts with the mirrored direction


@njit(**_JIT)
def _near_ones(p0, tn, ln, new, ground, near):
    """Marks in near (2, N, N) bool the pairs [0] and images [1] too near for the far rule, j >= i only."""
    n = len(p0)
    for i in range(n):
        for j in range(i, n):
            if new[i] or new[j]:
                longest = greater(ln[i], ln[j])
                safe = CORNER_RATIO * longest + ln[i] + ln[j]
                dx, dy = p0[i, 0] - p0[j, 0], p0[i, 1] - p0[j, 1]
                for image in range(1 if ground == FREE else 2):
                    flip, ratio = (-1.0, CORNER_RATIO) if image else (1.0, 3.0)
                    dz = p0[i, 2] - flip * p0[j, 2]
                    if dx * dx + dy * dy + dz * dz < safe * safe:
                        gap = segment_distance(p0[i], tn[i], ln[i], p0[j], tn[j], ln[j], flip)
                        near[image, i, j] = gap < ratio * longest or (i == j and not image)


@njit(**_JIT)
def _near_pairs(p0, tn, ln, rad, near, k, k_wave, kc, ground, tabs, first, scale_a, scale_p, sh, v, static, wv, qq, turned, z):
    """Adds to z the pairs and images that are near, Q over exp(-j k_wave R)/R; over perfect ground the image has charge and flat current reversed."""
    n = len(p0)
    nf = len(k)
    src, way = turned[0], turned[1]
    for i in range(n):
        for j in range(i, n):
            if not (near[0, i, j] or near[1, i, j]):
                continue
            v[:] = 0.0
            a2 = 0.5 * (rad[i] * rad[i] + rad[j] * rad[j])
            for image in range(2):
                if not near[image, i, j]:
                    continue
                flip = -1.0 if image else 1.0
                dist = segment_distance(p0[i], tn[i], ln[i], p0[j], tn[j], ln[j], flip) if image or i != j else 0.0
                for c in range(3):
                    src[c] = p0[j, c] * (flip if c == 2 else 1.0)
                    way[c] = tn[j, c] * (flip if c == 2 else 1.0)
                _near_pair(
                    p0[i], tn[i], ln[i], src, way, ln[j], i, j, a2, dist, k, k_wave, kc, image * ground, sh, wv, qq,
                    tabs, first, static, v,
                )
            for f in range(nf):
                xa, xp = scale_a[f].imag, scale_p[f].imag
                for c in range(4):
                    a, b = 2 * i + c // 2, 2 * j + c % 2
                    total = complex(-xa * v[f, 1, c] - xp * v[f, 3, c], xa * v[f, 0, c] + xp * v[f, 2, c])
                    z[f, a, b] += total
                    if i != j:
                        z[f, b, a] += total


@njit(**_INNER)
def _near_pair(p, t, lp, q, d, lq, i, j, a2, dist, k, k_wave, kc, ground, sh, wv, qq, tabs, first, static, v):
    """Adds one pair's integrals of f f G_A (real, imaginary) and f' f' G_phi to v (F, 4, 4), by the rule that its distance asks for.

    ground : FREE for the pair itself, PERFECT or SOIL where q, d is a mirrored segment. Where the two are nearer than they
    are long, `_close_pair` integrates 1/R apart, as it does what the soil differs by from perfect ground, and the points do
    the smooth rest, (exp(-jkR) - 1)/R. Its imaginary part, which makes the radiation resistance, is entire: plain Gauss
    points keep it exact even for wires of a thousandth of a wave.
    """
    nf = len(k)
    ni, nj = _points_by_distance(dist, lp), _points_by_distance(dist, lq)
    hor, ver = t[0] * d[0] + t[1] * d[1], t[2] * d[2]
    sign = 1.0 if ground == FREE else -1.0
    near = ni == 0 or nj == 0
    varies = ground == SOIL and not near
    inv = root_sin = mix = 0.0
    if near:
        ni = nj = 5
        exact = lesser(lp, lq) < 10.0 * math.sqrt(a2) and dist < 4.0 * math.sqrt(a2)
        _close_pair(p, t, lp, q, d, lq, a2, exact, k, k_wave, kc, ground == SOIL, hor, ver, tabs, first, wv, qq, static, v)
        for f in range(nf):
            for c in range(4):
                v[f, 0, c] += sign * (hor + ver) * static[0, c]
                v[f, 2, c] += sign * static[1, c]
    for m in range(ni):
        s = GX[ni, m] * lp
        x, y, zz = p[0] + s * t[0] - q[0], p[1] + s * t[1] - q[1], p[2] + s * t[2] - q[2]
        for mm in range(nj):
            s = GX[nj, mm] * lq
            dx, dy, dz = x - s * d[0], y - s * d[1], zz - s * d[2]
            r = math.sqrt(dx * dx + dy * dy + dz * dz + a2)
            _waves(r, k_wave, wv[0], wv[1])
            if near:
                inv = 1.0 / r
            if varies:
                # (t·rho) and (d·rho), each times rho / R as the table holds Q_g over X/R
                mix = -(d[2] * (t[0] * dx + t[1] * dy) + t[2] * (d[0] * dx + d[1] * dy)) / r
                root_sin = math.sqrt(greater(dz / r, 0.0))
            for f in range(nf):
                wr, wi = wv[0, f] - inv, wv[1, f]
                xr, xi, yr, yi = sign * (hor + ver), 0.0, sign, 0.0
                if varies:
                    look_up(tabs[f], first, math.log(k[f] * r), root_sin, qq)
                    xr, xi = hor * qq[0] - ver * qq[4] + mix * qq[6], hor * qq[1] - ver * qq[5] + mix * qq[7]
                    yr, yi = qq[2], qq[3]
                ar, ai, pr, pi = wr * xr - wi * xi, wr * xi + wi * xr, wr * yr - wi * yi, wr * yi + wi * yr
                for c in range(4):
                    both = sh[ni, i, m, c // 2] * sh[nj, j, mm, c % 2]
                    slopes = sh[ni, i, m, 2 + c // 2] * sh[nj, j, mm, 2 + c % 2]
                    v[f, 0, c] += both * ar
                    v[f, 1, c] += both * ai
                    v[f, 2, c] += slopes * pr
                    v[f, 3, c] += slopes * pi


@njit(**_JIT)
def _far_pairs(blocks, rad, every, new, near, k, log_k, ground, node_of, seg_of, at, tabs, first, xa, xp, rows, in_row, image, room, qq, z):
    """Writes the rows of new segments into z (F, 2N, 4N), real and imaginary parts in turn: all pairs well apart, two points a segment.

    blocks (B, 17 LANES): the segments, see `_blocks`; node_of (2, N): where each starts and ends; seg_of (M, 2): which one starts and which
    ends at a node, -1 where none does; xa, xp (F,): imaginary parts of the scales, which have no real ones.
    Over soil Q is bilinear between the segments' ends, which changes it little at this distance. What is near counts nothing;
    what lies beyond the diagonal is written over by `_mirror`.
    The others come a block at a time, in plain loops of that length through arrays whose parts lie at fixed places: such loops
    the compiler turns into vector instructions, others (from elsewhere than 0, through many arrays) it does not.
    Room to work in: rows (2, F, B, 16 LANES) for Q from a node to starts and ends, in_row (2,) the node each is of, plus one; image
    (2, 16 LANES) for Q from the segment's points, as it is where there is no soil; room (5, 9 LANES) for what the segment has with the
    others [0] and its points with theirs; qq (8,).
    """
    n = len(rad)
    pair, waves = room[0], room[1:]
    for i in range(n):
        if not new[i]:
            continue
        low = i if every else 0
        own = blocks[i // LANES, i % LANES :]
        for m in range(2):
            node = node_of[m, i]
            if ground == SOIL and in_row[node % 2] != node + 1:
                _corner_row(node, node_of[0, low], at, seg_of, log_k, tabs, first, qq, rows[node % 2])
                in_row[node % 2] = node + 1
        starts, ends = rows[node_of[0, i] % 2], rows[node_of[1, i] % 2]
        for b in range(low // LANES, len(blocks)):
            others, offset = blocks[b], b * LANES
            count = lesser(LANES, n - offset)
            for l in range(count):
                lo, hi = lesser(i, offset + l), greater(i, offset + l)
                pair[3 * LANES + l] = 0.0 if near[0, lo, hi] else 1.0
                pair[4 * LANES + l] = 0.0 if near[1, lo, hi] else 1.0
            _facing(own, others, pair)
            for m in range(2):
                for mm in range(2):
                    _apart(own, m, rad[i], others, mm, pair, waves[2 * m + mm])
            for f in range(len(k)):
                for m in range(2):
                    if ground == SOIL:
                        _between(starts[f, b], ends[f, b], GX[2, m], image[m])
                    for mm in range(2):
                        _at_points(k[f], GX[2, mm], pair, image[m], waves[2 * m + mm])
                for p in range(2):
                    row = z[f, 2 * i + p, 4 * offset :]
                    for q in range(2):
                        _contract(xa[f], xp[f], own, p, others, q, waves[0], waves[1], waves[2], waves[3], row, count)


@njit(**_INNER)
def _facing(own, others, pair):
    """Products of horizontal and of vertical parts of tangents, and of the whole, into pair [0 to 2]; in [3] and [4] stands which pairs and images count."""
    tx, ty, tz = own[0], own[LANES], own[2 * LANES]
    for l in range(LANES):
        hor, ver = tx * others[l] + ty * others[LANES + l], tz * others[2 * LANES + l]
        pair[l], pair[LANES + l], pair[2 * LANES + l] = hor, ver, hor + ver


@njit(**_INNER)
def _apart(own, m, radius, others, mm, pair, wave):
    """From a point to one of each other segment and to its image: distances and, where they count, their inverse, into wave [0 to 3]; in [4] what Q_g is weighed with."""
    tx, ty, tz = own[0], own[LANES], own[2 * LANES]
    x, y, height = own[(3 + m) * LANES], own[(5 + m) * LANES], own[(7 + m) * LANES]
    px, py, pz = others[(3 + mm) * LANES :], others[(5 + mm) * LANES :], others[(7 + mm) * LANES :]
    for l in range(LANES):
        dx, dy, dz, up = x - px[l], y - py[l], height - pz[l], height + pz[l]
        flat = dx * dx + dy * dy + radius * radius
        r, to_image = math.sqrt(flat + dz * dz), math.sqrt(flat + up * up)
        wave[l], wave[LANES + l] = r, pair[3 * LANES + l] / r
        wave[2 * LANES + l], wave[3 * LANES + l] = to_image, pair[4 * LANES + l] / to_image
        wave[4 * LANES + l] = (others[2 * LANES + l] * (tx * dx + ty * dy) - tz * (others[l] * dx + others[LANES + l] * dy)) / to_image


@njit(**_INNER)
def _between(a, b, share, out):
    for l in range(len(out)):
        out[l] = a[l] + share * (b[l] - a[l])


@njit(**_INNER)
def _at_points(k, share, pair, image, wave):
    """Tangent component of G_A, real and imaginary, and G_phi, both with the image's Q, into wave [5 to 8]."""
    for l in range(LANES):
        c, s = _unit_wave(k * wave[l])
        re, im = wave[LANES + l] * c, wave[LANES + l] * s
        c, s = _unit_wave(k * wave[2 * LANES + l])
        gr, gi = wave[3 * LANES + l] * c, wave[3 * LANES + l] * s
        q0 = image[l] + share * (image[8 * LANES + l] - image[l])
        q1 = image[LANES + l] + share * (image[9 * LANES + l] - image[LANES + l])
        q2 = image[2 * LANES + l] + share * (image[10 * LANES + l] - image[2 * LANES + l])
        q3 = image[3 * LANES + l] + share * (image[11 * LANES + l] - image[3 * LANES + l])
        q4 = image[4 * LANES + l] + share * (image[12 * LANES + l] - image[4 * LANES + l])
        q5 = image[5 * LANES + l] + share * (image[13 * LANES + l] - image[5 * LANES + l])
        q6 = image[6 * LANES + l] + share * (image[14 * LANES + l] - image[6 * LANES + l])
        q7 = image[7 * LANES + l] + share * (image[15 * LANES + l] - image[7 * LANES + l])
        hor, ver, both, mix = pair[l], pair[LANES + l], pair[2 * LANES + l], wave[4 * LANES + l]
        xr, xi = hor * q0 + ver * q4 + mix * q6, hor * q1 + ver * q5 + mix * q7
        wave[5 * LANES + l], wave[6 * LANES + l] = both * re + xr * gr - xi * gi, both * im + xr * gi + xi * gr
        wave[7 * LANES + l], wave[8 * LANES + l] = re + q2 * gr - q3 * gi, im + q2 * gi + q3 * gr


@njit(**_INNER)
def _contract(xa, xp, own, p, others, q, w00, w01, w10, w11, row, count):
    """Two points by two points, of shape p of the segment with shape q of the others, into a row of z."""
    a0, a1, d0, d1 = xa * own[(9 + 2 * p) * LANES], xa * own[(10 + 2 * p) * LANES], xp * own[(13 + 2 * p) * LANES], xp * own[(14 + 2 * p) * LANES]
    currents, slopes = others[(9 + 2 * q) * LANES :], others[(13 + 2 * q) * LANES :]
    for l in range(count):
        f0, f1, s0, s1 = currents[l], currents[LANES + l], slopes[l], slopes[LANES + l]
        a, b, c, d = 5 * LANES + l, 6 * LANES + l, 7 * LANES + l, 8 * LANES + l
        re = f0 * (a0 * w00[a] + a1 * w10[a]) + f1 * (a0 * w01[a] + a1 * w11[a]) + s0 * (d0 * w00[c] + d1 * w10[c]) + s1 * (d0 * w01[c] + d1 * w11[c])
        im = f0 * (a0 * w00[b] + a1 * w10[b]) + f1 * (a0 * w01[b] + a1 * w11[b]) + s0 * (d0 * w00[d] + d1 * w10[d]) + s1 * (d0 * w01[d] + d1 * w11[d])
        row[4 * l + 2 * q], row[4 * l + 2 * q + 1] = -im, re


@njit(**_JIT)
def _mirror(new, z):
    """What the far pairs wrote in the rows of new segments, into the columns too. By blocks: a column at a time would miss the cache at every entry."""
    n = len(new)
    for f in range(len(z)):
        for block in range(0, n, MIRROR_BLOCK):
            end = lesser(block + MIRROR_BLOCK, n)
            for j in range(n):
                for i in range(block, end):
                    if new[i] and j != i and (j > i or not new[j]):
                        for p in range(2):
                            for q in range(2):
                                z[f, 2 * j + q, 2 * i + p] = z[f, 2 * i + p, 2 * j + q]


@njit(**_INNER)
def _corner_row(a, low, at, seg_of, log_k, tabs, first, qq, row):
    """row (F, B, 16 LANES): Q between node a and every node from `low` on, for the segments that start and then those that end there."""
    for b in range(low, len(at)):
        dx, dy, zeta = at[a, 0] - at[b, 0], at[a, 1] - at[b, 1], at[a, 2] + at[b, 2]
        r = math.sqrt(dx * dx + dy * dy + zeta * zeta)
        log_r, root_sin = math.log(r), math.sqrt(greater(zeta / r, 0.0))
        for f in range(len(log_k)):
            look_up(tabs[f], first, log_k[f] + log_r, root_sin, qq)
            for e in range(2):
                seg = seg_of[b, e]
                if seg >= 0:
                    for c in range(8):
                        row[f, seg // LANES, (8 * e + c) * LANES + seg % LANES] = qq[c]


@njit(**_JIT)
def gather(z, own, slots, signs, out):
    """Slot matrix (F, 2N, 2N), symmetric, plus each segment's own block (F, N, 2, 2), to the unknowns' out (F, U, U).

    slots, signs : (2U,), slot -1 is none
    """
    nf = len(z)
    n = len(slots) // 2
    for f in range(nf):
        for u in range(n):
            for v in range(u, n):
                re = im = 0.0
                for a in range(2 * u, 2 * u + 2):
                    for b in range(2 * v, 2 * v + 2):
                        if slots[a] >= 0 and slots[b] >= 0:
                            w = signs[a] * signs[b]
                            entry = z[f, slots[a], slots[b]]
                            seg = slots[a] // 2
                            if seg == slots[b] // 2:
                                entry += own[f, seg, slots[a] % 2, slots[b] % 2]
                            re += w * entry.real
                            im += w * entry.imag
                out[f, u, v] = complex(re, im)
                out[f, v, u] = complex(re, im)
