"""Electric and magnetic field at points near the wires, from the solved currents and the same half-space potentials.

E = -j w A - grad(phi) and H = curl(A)/mu by central differences of the potentials over `STEP_M`, near a wire over `STEP_SHARE` of the way to it: the
field of a long wire falls as 1/r, of which a central difference over h makes (h/r)²/3 too much. Points closer to the ground than a step are answered at one step.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from ..physics.compiled import greater, lesser
from ..physics.constants import C0_M_PER_S, EPS0_F_PER_M, MU0_H_PER_M, TWO_PI
from .far import power_in_w
from .kernels import _JIT, FREE, GW, GX, PERFECT, _points_by_distance, look_up, plain
from .solver import _GROUNDS, ground_tables

STEP_M = 0.02
LEAST_STEP_M = 1e-3
STEP_SHARE = 0.1
STENCIL = 7  # points of one stencil: centre, then a step each way along x, y, z


@njit(**_JIT)
def _potentials(points, p0, tn, ln, rad, amps, k, ground, tab, first, qq, out):
    """Into out (P, 4), qq (8,) scratch, for stencils of points in turn: A (P,3) in units of mu/4pi and phi (P,) in units of j/(w eps 4 pi), for slot currents (2N,); tab as in kernels.fill."""
    n_p, n = len(points), len(p0)
    for m in range(n_p):
        for i in range(n):
            sin_kl, a0, a1 = math.sin(k * ln[i]), amps[2 * i], amps[2 * i + 1]
            for image in range(1 if ground == FREE else 2):
                pz = points[m, 2] if image == 0 else -points[m, 2]
                rx, ry, rz = points[m, 0] - p0[i, 0], points[m, 1] - p0[i, 1], pz - p0[i, 2]
                c = m - m % STENCIL  # one rule for a whole stencil, so that its differences are smooth
                cx, cy = points[c, 0] - p0[i, 0], points[c, 1] - p0[i, 1]
                cz = (points[c, 2] if image == 0 else -points[c, 2]) - p0[i, 2]
                s0 = cx * tn[i, 0] + cy * tn[i, 1] + cz * tn[i, 2]
                s_near = lesser(greater(s0, 0.0), ln[i])
                past = s0 - s_near
                gap = math.sqrt(greater(cx * cx + cy * cy + cz * cz - s0 * s0, 0.0) + past * past)
                rule = _points_by_distance(gap, ln[i])
                plain(PERFECT if image else FREE, qq)
                if not image:
                    qq[4] = 1.0  # here the point is mirrored, not the wire
                pieces = 1
                if rule == 0:
                    rule = 8
                    pieces = lesser(64, 1 + math.floor(ln[i] / greater(gap, 4.0 * rad[i])))
                for piece in range(pieces):
                    for g in range(rule):
                        s = ln[i] * (piece + GX[rule, g]) / pieces
                        w = ln[i] * GW[rule, g] / pieces
                        near, far = math.sin(k * s) / sin_kl, math.sin(k * (ln[i] - s)) / sin_kl
                        cr, ci = a0.real * far + a1.real * near, a0.imag * far + a1.imag * near
                        near, far = k * math.cos(k * s) / sin_kl, -k * math.cos(k * (ln[i] - s)) / sin_kl
                        hr, hi = a0.real * far + a1.real * near, a0.imag * far + a1.imag * near  # slope of the current
                        dx, dy, dz = rx - s * tn[i, 0], ry - s * tn[i, 1], rz - s * tn[i, 2]
                        r = math.sqrt(dx * dx + dy * dy + dz * dz + rad[i] * rad[i])
                        er, ei = w / r * math.cos(k * r), -w / r * math.sin(k * r)
                        if image and ground != PERFECT:
                            look_up(tab, first, math.log(k * r), math.sqrt(greater(-dz / r, 0.0)), qq)
                        slant = (tn[i, 0] * dx + tn[i, 1] * dy) / r
                        upright = tn[i, 2] / r
                        ur, ui = er * cr - ei * ci, er * ci + ei * cr
                        for axis in range(3):
                            across = slant if axis == 2 else -upright * (dx if axis == 0 else dy)
                            own = 4 if axis == 2 else 0
                            gr, gi = qq[own] * tn[i, axis] - qq[6] * across, qq[own + 1] * tn[i, axis] - qq[7] * across
                            out[m, axis] += complex(ur * gr - ui * gi, ur * gi + ui * gr)
                        gr, gi = er * qq[2] - ei * qq[3], er * qq[3] + ei * qq[2]
                        out[m, 3] += complex(gr * hr - gi * hi, gr * hi + gi * hr)


def fields(solution, i: int, points_m, *, power_w: float | None = None):
    """E and H at points for frequency index i.

    points_m : (P, 3); power_w: rms values for that power into the first port, else complex amplitudes for 1 A there.
    Returns E (P, 3) [V/m] and H (P, 3) [A/m], complex.
    """
    points = np.atleast_2d(np.asarray(points_m, float)).copy()
    ground = solution.ground
    if ground.kind != "none":
        points[:, 2] = np.maximum(points[:, 2], STEP_M)
    mesh, amps = solution.slot_currents(i)
    freq = float(solution.freq_hz[i])
    w = TWO_PI * freq
    k = w / C0_M_PER_S
    step = np.clip(STEP_SHARE * _gaps_m(mesh, points), LEAST_STEP_M, STEP_M)[:, None, None]
    offsets = np.vstack([np.zeros(3), *(sign * axis for axis in np.eye(3) for sign in (1.0, -1.0))])
    stencil = (points[:, None, :] + step * offsets[None]).reshape(-1, 3)
    tabs, first = ground_tables(ground, [freq], *_reach(mesh, points))
    out = np.zeros((len(stencil), 4), complex)
    _potentials(
        stencil, mesh.start_m, mesh.tangent, mesh.length_m, mesh.radius_m, amps, k, _GROUNDS[ground.kind], tabs[0], first,
        np.zeros(8), out,
    )
    out = out.reshape(len(points), STENCIL, 4)
    a = out[:, 0, :3] * MU0_H_PER_M / (4 * np.pi)
    diff = (out[:, 1::2] - out[:, 2::2]) / (2 * step)  # (P, axis, component)
    # continuity: charge per metre = -(dI/ds)/(j w), so phi = j/(w eps 4 pi) times the sum over dI/ds
    grad_phi = diff[:, :, 3] * 1j / (w * EPS0_F_PER_M * 4 * np.pi)
    curl = np.stack(
        [diff[:, 1, 2] - diff[:, 2, 1], diff[:, 2, 0] - diff[:, 0, 2], diff[:, 0, 1] - diff[:, 1, 0]], axis=1
    ) / (4 * np.pi)
    scale = 1.0 if power_w is None else np.sqrt(0.5 * power_w / power_in_w(solution, i))
    return scale * (-1j * w * a - grad_phi), scale * curl


def _gaps_m(mesh, points) -> np.ndarray:
    """Distance from each point to the nearest segment, (P,) [m]."""
    least = np.full(len(points), np.inf)
    for start, tangent, length in zip(mesh.start_m, mesh.tangent, mesh.length_m):
        off = points - start
        along = np.clip(off @ tangent, 0.0, length)
        least = np.minimum(least, np.linalg.norm(off - along[:, None] * tangent, axis=1))
    return least


def _reach(mesh, points):
    ends = mesh.start_m + mesh.tangent * mesh.length_m[:, None]
    every = np.concatenate((mesh.start_m, ends, points))
    low = max(min(mesh.start_m[:, 2].min(), ends[:, 2].min()) + points[:, 2].min() - STEP_M, 1e-3)
    span = np.linalg.norm(every.max(axis=0) - every.min(axis=0))
    return low, span + 2.0 * every[:, 2].max() + 1.0
