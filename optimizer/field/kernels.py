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
CORNER_RATIO = 4.0  # from this distance, in segment lengths, Q is interpolated between segment ends
NEAR_POINTS = 6  # outer, and inner for each half: within 0.05 % of twice as many in impedance
AZIMUTHS = 8  # points over half the circumference for the exact kernel
_JIT = dict(cache=True, fastmath=True, error_model="numpy", nogil=True)


@njit(**_JIT)
def look_up(tab, first, log_kr, root_sin, out):
    """Q at log R = log_kr, sqrt(Y/R) = root_sin by bicubic interpolation; tab (rows, W, 8), out (8,): real, imaginary in turn."""
    u = log_kr * (R_PER_OCTAVE / math.log(2.0)) - first
    rows = tab.shape[0]
    i = int(math.floor(u)) - 1
    i = min(max(i, 0), rows - 4)
    x = u - i - 1.0
    x = min(max(x, -1.0), 2.0)
    v = root_sin * (W_POINTS - 1)
    j = int(math.floor(v)) - 1
    j = min(max(j, 0), W_POINTS - 4)
    y = v - j - 1.0
    ax = (-x * (x - 1.0) * (x - 2.0) / 6.0, (x + 1.0) * (x - 1.0) * (x - 2.0) / 2.0,
          -(x + 1.0) * x * (x - 2.0) / 2.0, (x + 1.0) * x * (x - 1.0) / 6.0)
    ay = (-y * (y - 1.0) * (y - 2.0) / 6.0, (y + 1.0) * (y - 1.0) * (y - 2.0) / 2.0,
          -(y + 1.0) * y * (y - 2.0) / 2.0, (y + 1.0) * y * (y - 1.0) / 6.0)
    for c in range(8):
        out[c] = 0.0
    for m in range(4):
        for n in range(4):
            w = ax[m] * ay[n]
            for c in range(8):
                out[c] += w * tab[i + m, j + n, c]


@njit(**_JIT)
def _unit_waves(k, r, re, im, n):
    """re, im [:n] = exp(-j k r)/r by half-angle Taylor series (error under 1e-10), in a form the compiler can vectorise."""
    scale = k / (2.0 * math.pi)
    for i in range(n):
        turns = r[i] * scale
        y = math.pi * (turns - math.floor(turns + 0.5))  # half the phase, within ±pi/2
        y2 = y * y
        s = y * (1.0 + y2 * (-1 / 6 + y2 * (1 / 120 + y2 * (-1 / 5040 + y2 * (1 / 362880 + y2 * (-1 / 39916800 + y2 * (
            1 / 6227020800 - y2 / 1307674368000)))))))
        c = 1.0 + y2 * (-0.5 + y2 * (1 / 24 + y2 * (-1 / 720 + y2 * (1 / 40320 + y2 * (-1 / 3628800 + y2 * (
            1 / 479001600 + y2 * (-1 / 87178291200 + y2 / 20922789888000)))))))
        inv = 1.0 / r[i]
        re[i] = (1.0 - 2.0 * s * s) * inv
        im[i] = -2.0 * s * c * inv


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
def _static_pair(p, t, lp, q, d, lq, a2, exact, kc, sa, sp):
    """Near pair, integrals of f f / R and f' f' / R into sa, sp (4,); the outer integral runs over the shorter segment."""
    sa[:] = 0.0
    sp[:] = 0.0
    swap = lp > lq
    if swap:
        p, t, lp, q, d, lq = q, d, lq, p, t, lp
    sin1, sin2 = math.sin(kc * lp), math.sin(kc * lq)
    turns = AZIMUTHS if exact else 1
    for m in range(NEAR_POINTS):
        x = GX[NEAR_POINTS, m]
        s = lp * x * x * (3.0 - 2.0 * x)
        ws = GW[NEAR_POINTS, m] * 6.0 * x * (1.0 - x) * lp
        rx = p[0] + s * t[0] - q[0]
        ry = p[1] + s * t[1] - q[1]
        rz = p[2] + s * t[2] - q[2]
        s0 = rx * d[0] + ry * d[1] + rz * d[2]
        d2 = max(rx * rx + ry * ry + rz * rz - s0 * s0, 0.0)
        h0 = h1 = c0 = c1 = 0.0
        for turn in range(turns):
            wt = 1.0
            rho = math.sqrt(d2 + a2)
            if exact:
                xi = GX[AZIMUTHS, turn]
                chord = 2.0 * math.sqrt(a2) * math.sin(0.5 * math.pi * xi * xi)
                rho = math.sqrt(d2 + chord * chord)
                wt = GW[AZIMUTHS, turn] * 2.0 * xi
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
                    sq = s0 + rho * math.sinh(lo + (hi - lo) * GX[NEAR_POINTS, n])
                    w = wt * GW[NEAR_POINTS, n] * (hi - lo)
                    near, far = kc * sq, kc * (lq - sq)
                    h0 += w * math.sin(far)
                    h1 += w * math.sin(near)
                    c0 -= w * math.cos(far)
                    c1 += w * math.cos(near)
        near, far = kc * s, kc * (lp - s)
        f0, f1 = ws * math.sin(far) / (sin1 * sin2), ws * math.sin(near) / (sin1 * sin2)
        g0, g1 = -ws * kc * kc * math.cos(far) / (sin1 * sin2), ws * kc * kc * math.cos(near) / (sin1 * sin2)
        sa[0] += f0 * h0
        sa[1] += f0 * h1
        sa[2] += f1 * h0
        sa[3] += f1 * h1
        sp[0] += g0 * c0
        sp[1] += g0 * c1
        sp[2] += g1 * c0
        sp[3] += g1 * c1
    if swap:
        sa[1], sa[2] = sa[2], sa[1]
        sp[1], sp[2] = sp[2], sp[1]


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
def _same_spacing(k):
    for f in range(2, k.shape[0]):
        if abs((k[f] - k[f - 1]) - (k[1] - k[0])) > 1e-9 * k[0]:
            return False
    return True


def fill(p0, tn, ln, rad, new, k, kc, ground, tabs, first, scale_a, scale_p):
    """Slot matrix (F, 2N, 2N) [ohm] of all pairs of segments of which at least one is `new` (N,) bool; zero elsewhere.

    ground : FREE, PERFECT or SOIL; tabs (F, rows, W_POINTS, 8) with `first` row number (see halfspace.table)
    scale_a, scale_p : (F,) j w mu / 4 pi and 1 / (j w eps 4 pi)
    Compiled passes kept apart: joined into one, the compiler takes longer and makes the far pairs twice as slow.
    """
    n = len(ln)
    z = np.zeros((len(k), 2 * n, 2 * n), complex)
    shapes = np.zeros((11, n, 10, 4))
    _shapes(ln, kc, shapes)
    near, near_image = _far_pairs(
        p0, tn, ln, rad, new, k, ground, *_nodes(p0, tn, ln), tabs, first, scale_a, scale_p, shapes, z
    )
    _near_pairs(p0, tn, ln, rad, near, near_image, k, k, kc, ground, tabs, first, scale_a, scale_p, shapes, z)
    return z


def ground_part(p0, tn, ln, rad, k, k_wave, kc, tabs, first, scale_a, scale_p):
    """The soil's part of the slot matrix alone, from any table of Q over exp(-j k_wave R)/R: (F, 2N, 2N) [ohm]."""
    n = len(ln)
    z = np.zeros((len(k), 2 * n, 2 * n), complex)
    shapes = np.zeros((11, n, 10, 4))
    _shapes(ln, kc, shapes)
    none, every = np.zeros((n, n), bool), np.ones((n, n), bool)
    _near_pairs(p0, tn, ln, rad, none, every, k, k_wave, kc, SOIL, tabs, first, scale_a, scale_p, shapes, z)
    return z


@njit(**_JIT)
def _near_pairs(p0, tn, ln, rad, near, near_image, k, k_wave, kc, ground, tabs, first, scale_a, scale_p, sh, z):
    """Adds to z the pairs and images that are near, Q over exp(-j k_wave R)/R; over perfect ground the image has charge and flat current reversed."""
    n = p0.shape[0]
    nf = k.shape[0]
    uniform = _same_spacing(k)
    va, vp = np.zeros((4, nf), np.complex128), np.zeros((4, nf), np.complex128)
    ia, ip = np.zeros((4, nf), np.complex128), np.zeros((4, nf), np.complex128)
    sa, sp = np.zeros(4), np.zeros(4)
    q0 = np.zeros((2, nf), np.complex128)
    wv = np.zeros(nf, np.complex128)
    qq = np.zeros(8)
    src = np.zeros(3)
    way = np.zeros(3)
    for i in range(n):
        for j in range(i, n):
            if not (near[i, j] or near_image[i, j]):
                continue
            va[:] = 0.0
            vp[:] = 0.0
            a2 = 0.5 * (rad[i] * rad[i] + rad[j] * rad[j])
            for image in range(2):
                if not (near_image[i, j] if image else near[i, j]):
                    continue
                for c in range(3):
                    src[c] = p0[j, c]
                    way[c] = tn[j, c]
                if image:
                    src[2], way[2] = -src[2], -way[2]
                dist = 0.0 if i == j and not image else segment_distance(p0[i], tn[i], ln[i], src, way, ln[j])
                if _points_by_distance(dist, ln[i]) == 0 or _points_by_distance(dist, ln[j]) == 0:
                    exact = min(ln[i], ln[j]) < 10.0 * math.sqrt(a2) and dist < 4.0 * math.sqrt(a2)
                    _static_pair(p0[i], tn[i], ln[i], src, way, ln[j], a2, exact, kc, sa, sp)
                if image and ground == SOIL:
                    _soil_image(
                        p0, tn, ln, a2, i, j, dist, k, k_wave, uniform, sh, wv, qq, q0, tabs, first, sa, sp, va, vp
                    )
                    continue
                ia[:] = 0.0
                ip[:] = 0.0
                _plain_pair(p0[i], tn[i], ln[i], src, way, ln[j], i, j, a2, dist, k, uniform, sh, wv, sa, sp, ia, ip)
                sign = -1.0 if image else 1.0
                dot = sign * (tn[i, 0] * way[0] + tn[i, 1] * way[1] + tn[i, 2] * way[2])
                for c in range(4):
                    for f in range(nf):
                        va[c, f] += dot * ia[c, f]
                        vp[c, f] += sign * ip[c, f]
            for f in range(nf):
                for pp in range(2):
                    for qn in range(2):
                        v = scale_a[f] * va[2 * pp + qn, f] + scale_p[f] * vp[2 * pp + qn, f]
                        z[f, 2 * i + pp, 2 * j + qn] += v
                        if i != j:
                            z[f, 2 * j + qn, 2 * i + pp] += v


@njit(**_JIT)
def _far_pairs(p0, tn, ln, rad, new, k, ground, first_node, at, tabs, first, scale_a, scale_p, sh, z):
    """Fills z with all pairs well apart, two points a segment; tells which pairs and images are left: (N, N) twice.

    Over soil Q is bilinear between the segments' ends, which changes it little at this distance.
    """
    n = p0.shape[0]
    nf = k.shape[0]
    near = np.zeros((n, n), np.bool_)
    near_image = np.zeros((n, n), np.bool_)
    px, py, pz = np.zeros(2 * n), np.zeros(2 * n), np.zeros(2 * n)
    for i in range(n):
        for m in range(2):
            s = GX[2, m] * ln[i]
            px[2 * i + m] = p0[i, 0] + s * tn[i, 0]
            py[2 * i + m] = p0[i, 1] + s * tn[i, 1]
            pz[2 * i + m] = p0[i, 2] + s * tn[i, 2]
    log_k = np.log(k)
    qq = np.zeros(8)
    rows = np.zeros((2, nf, at.shape[0], 8))  # Q from the start and the end of segment i to all nodes
    in_row = np.array([-1, -1])
    r = np.zeros((2, 2 * n))
    ri = np.zeros((2, 2 * n))
    re, im, ere, eim = np.zeros((2, 2 * n)), np.zeros((2, 2 * n)), np.zeros((2, 2 * n)), np.zeros((2, 2 * n))
    mir = np.zeros(3)
    mit = np.zeros(3)
    every = new.all()
    for i in range(n):
        for j in range(i, n):
            if not (new[i] or new[j]):
                continue
            longest = max(ln[i], ln[j])
            cx, cy = px[2 * i] - px[2 * j], py[2 * i] - py[2 * j]
            cz, czi = pz[2 * i] - pz[2 * j], pz[2 * i] + pz[2 * j]
            flat = cx * cx + cy * cy
            safe = CORNER_RATIO * longest + ln[i] + ln[j]
            if flat + cz * cz < safe * safe:
                near[i, j] = i == j or segment_distance(p0[i], tn[i], ln[i], p0[j], tn[j], ln[j]) < 3.0 * longest
            if ground != FREE and flat + czi * czi < safe * safe:
                for c in range(3):
                    mir[c] = p0[j, c]
                    mit[c] = tn[j, c]
                mir[2], mit[2] = -mir[2], -mit[2]
                near_image[i, j] = segment_distance(p0[i], tn[i], ln[i], mir, mit, ln[j]) < CORNER_RATIO * longest
    for i in range(n):
        if not new[i]:
            continue
        left = 2 * i if every else 0
        count = 2 * n - left
        for m in range(2):
            a = 2 * i + m
            ax, ay, az = px[a], py[a], pz[a]
            a2 = rad[i] * rad[i]
            for b in range(left, 2 * n):
                dx, dy, dz, zi = ax - px[b], ay - py[b], az - pz[b], az + pz[b]
                flat = dx * dx + dy * dy + a2
                r[m, b] = math.sqrt(flat + dz * dz)
                ri[m, b] = math.sqrt(flat + zi * zi)
        if ground == SOIL:
            low = max(first_node[i] - 1, 0) if every else 0
            for m in range(2):
                a = first_node[i] + m
                if in_row[a % 2] != a:
                    _corner_row(a, low, at, log_k, tabs, first, qq, rows[a % 2])
                    in_row[a % 2] = a
        row_a, row_b = rows[first_node[i] % 2], rows[(first_node[i] + 1) % 2]
        for f in range(nf):
            for m in range(2):
                _unit_waves(k[f], r[m, left:], re[m, left:], im[m, left:], count)
                if ground != FREE:
                    _unit_waves(k[f], ri[m, left:], ere[m, left:], eim[m, left:], count)
            for j in range(left // 2, n):
                if j < i and new[j]:
                    continue
                lo, hi = min(i, j), max(i, j)
                if near[lo, hi] and (ground == FREE or near_image[lo, hi]):
                    continue
                _pair_of_points(
                    i, j, f, px, py, tn, sh, re, im, ere, eim, ri, ground, near[lo, hi], near_image[lo, hi],
                    first_node[j], row_a[f], row_b[f], scale_a[f], scale_p[f], z,
                )
    return near, near_image


@njit(**_JIT)
def _pair_of_points(i, j, f, px, py, tn, sh, re, im, ere, eim, ri, ground, near, near_image, nb, row_a, row_b, sa, sp, z):
    """One far pair: contraction of two points by two points into the four slot entries of z."""
    hor = tn[i, 0] * tn[j, 0] + tn[i, 1] * tn[j, 1]
    ver = tn[i, 2] * tn[j, 2]
    v00 = v01 = v10 = v11 = 0.0j
    w00 = w01 = w10 = w11 = 0.0j
    soil = ground == SOIL and not near_image
    if soil:
        q00, q01, q10, q11 = row_a[nb], row_a[nb + 1], row_b[nb], row_b[nb + 1]
    for m in range(2):
        u = GX[2, m]
        fi0, fi1, gi0, gi1 = sh[2, i, m, 0], sh[2, i, m, 1], sh[2, i, m, 2], sh[2, i, m, 3]
        h0 = h1 = c0 = c1 = 0.0j
        for mm in range(2):
            b = 2 * j + mm
            ga = gp = 0.0j
            if not near:
                g = complex(re[m, b], im[m, b])
                ga = (hor + ver) * g
                gp = g
            if ground == PERFECT and not near_image:
                g = complex(ere[m, b], eim[m, b])
                ga += (ver - hor) * g
                gp -= g
            elif soil:
                v = GX[2, mm]
                x00, x01, x10, x11 = (1 - u) * (1 - v), (1 - u) * v, u * (1 - v), u * v
                pr = x00 * q00[2] + x01 * q01[2] + x10 * q10[2] + x11 * q11[2]
                pi = x00 * q00[3] + x01 * q01[3] + x10 * q10[3] + x11 * q11[3]
                ar = hor * (x00 * q00[0] + x01 * q01[0] + x10 * q10[0] + x11 * q11[0])
                ai = hor * (x00 * q00[1] + x01 * q01[1] + x10 * q10[1] + x11 * q11[1])
                if tn[i, 2] != 0.0 or tn[j, 2] != 0.0:
                    dx, dy = px[2 * i + m] - px[b], py[2 * i + m] - py[b]
                    mix = (
                        tn[j, 2] * (tn[i, 0] * dx + tn[i, 1] * dy) - tn[i, 2] * (tn[j, 0] * dx + tn[j, 1] * dy)
                    ) / ri[m, b]
                    ar += ver * (x00 * q00[4] + x01 * q01[4] + x10 * q10[4] + x11 * q11[4])
                    ai += ver * (x00 * q00[5] + x01 * q01[5] + x10 * q10[5] + x11 * q11[5])
                    ar += mix * (x00 * q00[6] + x01 * q01[6] + x10 * q10[6] + x11 * q11[6])
                    ai += mix * (x00 * q00[7] + x01 * q01[7] + x10 * q10[7] + x11 * q11[7])
                g = complex(ere[m, b], eim[m, b])
                ga += complex(ar, ai) * g
                gp += complex(pr, pi) * g
            h0 += sh[2, j, mm, 0] * ga
            h1 += sh[2, j, mm, 1] * ga
            c0 += sh[2, j, mm, 2] * gp
            c1 += sh[2, j, mm, 3] * gp
        v00 += fi0 * h0
        v01 += fi0 * h1
        v10 += fi1 * h0
        v11 += fi1 * h1
        w00 += gi0 * c0
        w01 += gi0 * c1
        w10 += gi1 * c0
        w11 += gi1 * c1
    v00 = sa * v00 + sp * w00
    v01 = sa * v01 + sp * w01
    v10 = sa * v10 + sp * w10
    v11 = sa * v11 + sp * w11
    z[f, 2 * i, 2 * j] = v00
    z[f, 2 * i, 2 * j + 1] = v01
    z[f, 2 * i + 1, 2 * j] = v10
    z[f, 2 * i + 1, 2 * j + 1] = v11
    if i != j:
        z[f, 2 * j, 2 * i] = v00
        z[f, 2 * j + 1, 2 * i] = v01
        z[f, 2 * j, 2 * i + 1] = v10
        z[f, 2 * j + 1, 2 * i + 1] = v11


@njit(**_JIT)
def _plain_pair(p, t, lp, q, d, lq, i, j, a2, dist, k, uniform, sh, wv, sa, sp, va, vp):
    """Adds one pair's integrals of f f G and f' f' G in free space, by the rule that its distance asks for.

    A near pair's 1/R is integrated apart (sa, sp from `_static_pair`); what is left, (exp(-jkR) - 1)/R, is smooth, and its imaginary part, which
    makes the radiation resistance, is entire: plain Gauss points keep it exact even for wires of a thousandth of a wave.
    """
    nf = k.shape[0]
    ni = _points_by_distance(dist, lp)
    nj = _points_by_distance(dist, lq)
    near = ni == 0 or nj == 0
    if near:
        ni = nj = 5
        for c in range(4):
            for f in range(nf):
                va[c, f] += sa[c]
                vp[c, f] += sp[c]
    for m in range(ni):
        s = GX[ni, m] * lp
        x, y, zz = p[0] + s * t[0] - q[0], p[1] + s * t[1] - q[1], p[2] + s * t[2] - q[2]
        for mm in range(nj):
            s = GX[nj, mm] * lq
            dx, dy, dz = x - s * d[0], y - s * d[1], zz - s * d[2]
            r = math.sqrt(dx * dx + dy * dy + dz * dz + a2)
            if near:
                for f in range(nf):
                    half = math.sin(0.5 * k[f] * r)
                    wv[f] = complex(-2.0 * half * half, -math.sin(k[f] * r)) / r
            else:
                _waves(r, k, uniform, wv)
            for f in range(nf):
                for pp in range(2):
                    for qn in range(2):
                        va[2 * pp + qn, f] += sh[ni, i, m, pp] * sh[nj, j, mm, qn] * wv[f]
                        vp[2 * pp + qn, f] += sh[ni, i, m, 2 + pp] * sh[nj, j, mm, 2 + qn] * wv[f]


@njit(**_JIT)
def _nodes(p0, tn, ln):
    """Ends of the segments: first_node (N,) (segment i runs from node first_node[i] to the next one), at (M, 3)."""
    n = p0.shape[0]
    first_node = np.zeros(n, np.int64)
    at = np.zeros((2 * n, 3))
    m = -1
    for i in range(n):
        joined = m >= 0
        if joined:
            for c in range(3):
                if abs(at[m, c] - p0[i, c]) > 1e-6:
                    joined = False
        if not joined:
            m += 1
            for c in range(3):
                at[m, c] = p0[i, c]
        first_node[i] = m
        m += 1
        for c in range(3):
            at[m, c] = p0[i, c] + ln[i] * tn[i, c]
    return first_node, at[: m + 1]


@njit(**_JIT)
def _corner_row(a, low, at, log_k, tabs, first, qq, row):
    """row[f, b] = Q between node a and every node b from `low` on."""
    for b in range(low, at.shape[0]):
        dx, dy, zeta = at[a, 0] - at[b, 0], at[a, 1] - at[b, 1], at[a, 2] + at[b, 2]
        r = math.sqrt(dx * dx + dy * dy + zeta * zeta)
        log_r, root_sin = math.log(r), math.sqrt(max(zeta / r, 0.0))
        for f in range(log_k.shape[0]):
            look_up(tabs[f], first, log_k[f] + log_r, root_sin, qq)
            for c in range(8):
                row[f, b, c] = qq[c]


@njit(**_JIT)
def _soil_image(p0, tn, ln, a2, i, j, dist, k, k_wave, uniform, sh, wv, qq, q0, tabs, first, sa, sp, va, vp):
    """Adds the ground's part for a pair of segments, the look-up at every point; Q is over exp(-j k_wave R)/R.

    Where the image is nearer than the segments are long, its quasi-static part Q0/R is integrated apart (sa, sp from
    `_static_pair`), with Q0 the Q at the closest approach, and the points do the smooth rest.
    """
    nf = k.shape[0]
    ni = _points_by_distance(dist, ln[i])
    nj = _points_by_distance(dist, ln[j])
    hor = tn[i, 0] * tn[j, 0] + tn[i, 1] * tn[j, 1]
    ver = tn[i, 2] * tn[j, 2]
    q0[:] = 0.0
    if ni == 0 or nj == 0:
        ni = nj = 8
        for f in range(nf):
            look_up(tabs[f], first, math.log(k[f] * math.sqrt(dist * dist + a2)), 1.0, qq)
            q0[0, f] = hor * complex(qq[0], qq[1]) + ver * complex(qq[4], qq[5])
            q0[1, f] = complex(qq[2], qq[3])
            for c in range(4):
                va[c, f] += q0[0, f] * sa[c]
                vp[c, f] += q0[1, f] * sp[c]
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
            root_sin = math.sqrt(max(zeta / r, 0.0))
            for f in range(nf):
                look_up(tabs[f], first, math.log(k[f] * r), root_sin, qq)
                ga = wv[f] * complex(
                    hor * qq[0] + ver * qq[4] + mix * qq[6], hor * qq[1] + ver * qq[5] + mix * qq[7]
                ) - q0[0, f] / r
                gp = wv[f] * complex(qq[2], qq[3]) - q0[1, f] / r
                for pp in range(2):
                    for qn in range(2):
                        va[2 * pp + qn, f] += sh[ni, i, m, pp] * sh[nj, j, mm, qn] * ga
                        vp[2 * pp + qn, f] += sh[ni, i, m, 2 + pp] * sh[nj, j, mm, 2 + qn] * gp


@njit(**_JIT)
def gather(z, own, slots, signs):
    """Slot matrix (F, 2N, 2N), symmetric, plus each segment's own block (F, N, 2, 2), to the unknowns' (F, U, U).

    slots, signs : (2U,), slot -1 is none
    """
    nf = z.shape[0]
    n = slots.shape[0] // 2
    out = np.zeros((nf, n, n), np.complex128)
    for f in range(nf):
        for u in range(n):
            for v in range(u, n):
                total = 0.0j
                for a in range(2 * u, 2 * u + 2):
                    for b in range(2 * v, 2 * v + 2):
                        if slots[a] >= 0 and slots[b] >= 0:
                            w = signs[a] * signs[b]
                            total += w * z[f, slots[a], slots[b]]
                            seg = slots[a] // 2
                            if seg == slots[b] // 2:
                                total += w * own[f, seg, slots[a] % 2, slots[b] % 2]
                out[f, u, v] = total
                out[f, v, u] = total
    return out
