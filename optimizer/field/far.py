"""Where the power goes in the sky: plane-wave sums over the currents, with Fresnel reflection at the ground.

Far from the wires the half-space field reduces exactly to the direct wave and the wave reflected with the plane-wave coefficients
(saddle point of the Sommerfeld integrals), so this is no approximation for the sky wave. Gains are ratios to an isotropic source
of the power into the first port; losses count, mismatch does not; both polarisations together.
Bearings clockwise from north (y); elevation from the horizon.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numba import njit

from ..physics.constants import C0_M_PER_S, ETA0_OHM, TWO_PI
from .halfspace import fresnel
from .kernels import _INNER, _JIT

_PANELS = ((0.0, 5.0, 4), (5.0, 20.0, 5), (20.0, 60.0, 9), (60.0, 90.0, 6))
LEAST_NODES = 4  # in a panel, beside half a node for every radian of phase that the wires' size turns through it
_G2 = 0.5 / math.sqrt(3.0)


@cache
def _gauss(n: int):
    return np.polynomial.legendre.leggauss(n)


@njit(**_INNER)
def _phases(x, y, z, kx, ky, kz, c, s):
    """c, s = cos and sin of kx x + ky y + kz z, by half-angle Taylor series that the compiler can vectorise."""
    turn = 1.0 / (2.0 * math.pi)
    for j in range(len(x)):
        turns = (kx * x[j] + ky * y[j] + kz * z[j]) * turn
        h = math.pi * (turns - math.floor(turns + 0.5))
        q = h * h
        u = h * (1.0 + q * (-1 / 6 + q * (1 / 120 + q * (-1 / 5040 + q * (1 / 362880 + q * (-1 / 39916800 + q * (
            1 / 6227020800 - q / 1307674368000)))))))
        v = 1.0 + q * (-0.5 + q * (1 / 24 + q * (-1 / 720 + q * (1 / 40320 + q * (-1 / 3628800 + q * (
            1 / 479001600 + q * (-1 / 87178291200 + q / 20922789888000)))))))
        c[j] = 1.0 - 2.0 * u * u
        s[j] = 2.0 * u * v


@njit(**_INNER)
def _weighted(c, s, parts, out):
    """out[n] = sum over points of (c + j s) times the moments; parts (6, N): real and imaginary part of x, y, z in turn."""
    for n in range(3):
        re = im = 0.0
        for j in range(len(c)):
            re += c[j] * parts[2 * n, j] - s[j] * parts[2 * n + 1, j]
            im += c[j] * parts[2 * n + 1, j] + s[j] * parts[2 * n, j]
        out[n] = complex(re, im)


@njit(**_JIT)
def _sums(x, y, z, parts, k, ux, uy, uz, both, c, s, up, down):
    """Plane-wave sums over points into up (D, 3) for directions u and, if `both`, into down for the images with -z; c, s (N,) are scratch."""
    for i in range(len(ux)):
        _phases(x, y, z, k * ux[i], k * uy[i], k * uz[i], c, s)
        _weighted(c, s, parts, up[i])
        if both:
            _phases(x, y, z, k * ux[i], k * uy[i], -k * uz[i], c, s)
            _weighted(c, s, parts, down[i])


def plane_waves(at, moments, k, ux, uy, uz, both=False):
    """Sums of moment times exp(j k u·r) over points, (D, 3), and, if `both`, those for the images; at, moments (N, 3)."""
    x, y, z = np.ascontiguousarray(at.T)
    parts = np.ascontiguousarray(np.stack([moments.real, moments.imag], axis=-1).transpose(1, 2, 0).reshape(6, -1))
    up, down = np.zeros((2, len(ux), 3), complex)
    _sums(x, y, z, parts, k, ux, uy, uz, both, *np.empty((2, len(x))), up, down)
    return up, down


def point_moments(mesh, slot_amps, k: float):
    """Current moments at two Gauss points a segment: positions (2N, 3) and moments (2N, 3) [A m]."""
    length = mesh.length_m[:, None]
    s = length * (0.5 + np.array([[-_G2, _G2]]))
    sin_kl = np.sin(k * length)
    amps = (slot_amps[0::2, None] * np.sin(k * (length - s)) + slot_amps[1::2, None] * np.sin(k * s)) / sin_kl
    at = mesh.start_m[:, None, :] + s[:, :, None] * mesh.tangent[:, None, :]
    moments = (amps * 0.5 * length)[:, :, None] * mesh.tangent[:, None, :]
    return at.reshape(-1, 3), moments.reshape(-1, 3)


def intensities(at, moments, k, ground, freq_hz, elevation_deg, bearing_deg):
    """Radiation intensity by polarisation, (D,) each: vertical-plane and horizontal [W/sr], per peak amperes; none below the horizon of a ground."""
    el, az = np.radians(elevation_deg), np.radians(bearing_deg)
    ce, se = np.cos(el), np.sin(el)
    sx, sy = np.sin(az), np.cos(az)
    up, down = plane_waves(at, moments, k, ce * sx, ce * sy, se, ground.kind != "none")
    along, across = up[:, 0] * sx + up[:, 1] * sy, up[:, 0] * sy - up[:, 1] * sx
    tm, te = along * se - up[:, 2] * ce, across
    if ground.kind != "none":
        r_te, r_tm = (-1.0, 1.0) if ground.kind == "perfect" else fresnel(
            ground.soil.complex_permittivity(freq_hz), se
        )
        along, across = down[:, 0] * sx + down[:, 1] * sy, down[:, 0] * sy - down[:, 1] * sx
        tm = tm - r_tm * (along * se + down[:, 2] * ce)
        te = te + r_te * across
    scale = ETA0_OHM * k * k / (32.0 * np.pi**2)
    if ground.kind != "none":
        scale = np.where(se < 0.0, 0.0, scale)
    return scale * np.abs(tm) ** 2, scale * np.abs(te) ** 2


@dataclass(frozen=True, kw_only=True, eq=False)
class Pattern:
    """Radiation at one frequency for 1 A (peak) into the first port. Gains are NaN where no power enters there: lost in rounding, or fed by another source."""

    freq_hz: float
    ground: object
    power_in_w: float
    at_m: np.ndarray
    moments: np.ndarray

    @property
    def k(self) -> float:
        return TWO_PI * self.freq_hz / C0_M_PER_S

    def gain(self, elevation_deg, bearing_deg) -> np.ndarray:
        """Power gain (not dB) toward broadcastable elevations and bearings, the shape of their broadcast."""
        el, az = np.broadcast_arrays(np.asarray(elevation_deg, float), np.asarray(bearing_deg, float))
        v, h = intensities(self.at_m, self.moments, self.k, self.ground, self.freq_hz, el.ravel(), az.ravel())
        return ((v + h) * 4 * np.pi / self.power_in_w).reshape(el.shape)

    @cached_property
    def wide(self) -> float:
        """Width of the wires in plan, in radians of phase."""
        return self.k * float(np.linalg.norm(np.ptp(self.at_m[:, :2], axis=0)))

    @cached_property
    def bearings_deg(self) -> np.ndarray:
        """Evenly spread bearings, as many as the width of the wires asks for."""
        return np.arange(n := 2 * math.ceil(1.05 * self.wide) + 14) * (360.0 / n)

    @cached_property
    def _sky(self):
        """Panels of (elevations, weights in degrees, bearing-mean gain)."""
        panels = list(_PANELS)
        if self.ground.kind == "none":
            panels += [(-hi, -lo, n) for lo, hi, n in panels]
        out = []
        tall = 2.0 * self.k * np.abs(self.at_m[:, 2]).max() if self.ground.kind != "none" else self.k * np.ptp(self.at_m[:, 2])
        for lo, hi, n in panels:
            lo_rad, hi_rad = math.radians(lo), math.radians(hi)
            lobes = tall * abs(math.sin(hi_rad) - math.sin(lo_rad))
            across = self.wide * abs(math.cos(hi_rad) - math.cos(lo_rad))
            x, w = _gauss(max(n + math.ceil(0.5 * lobes), LEAST_NODES + math.ceil(0.5 * (lobes + across))))
            el = 0.5 * (lo + hi) + 0.5 * (hi - lo) * x
            out.append((el, 0.5 * (hi - lo) * w))
        el = np.concatenate([e for e, _ in out])
        gains = self.gain(el[:, None], self.bearings_deg[None, :])
        return el, np.concatenate([w for _, w in out]), gains

    @cached_property
    def efficiency(self) -> float:
        """Power to the sky (whole sphere where there is no ground) over power into the first port."""
        el, w, gains = self._sky
        return float(np.sum(gains.mean(axis=1) * np.cos(np.radians(el)) * np.radians(w)) / 2.0)

    @cached_property
    def gain_max_dbi(self) -> float:
        """Greatest gain over the sky, refined from the grid by a parabola-free local search."""
        el, _, gains = self._sky
        i, j = np.unravel_index(np.argmax(gains), gains.shape)
        best_el, best_az, step = el[i], self.bearings_deg[j], np.array([4.0, 180.0 / len(self.bearings_deg)])
        low = -90.0 if self.ground.kind == "none" else 0.0
        best = gains[i, j]
        for _ in range(7):
            d_el, d_az = (g.ravel() for g in np.meshgrid([-1, -0.5, 0, 0.5, 1], [-1, -0.5, 0, 0.5, 1]))
            els = np.clip(best_el + d_el * step[0], low, 90.0)
            azs = best_az + d_az * step[1]
            g = self.gain(els, azs)
            m = int(np.argmax(g))
            if g[m] > best:
                best, best_el, best_az = g[m], els[m], azs[m]
            step = step * 0.5
        return 10.0 * math.log10(best)

    def gain_mean_dbi(self, elev_low, elev_high, bearing_deg=None, half_width_deg=20.0) -> float:
        """Power mean of the gain, uniform in elevation and bearing [dBi]; all bearings, or about one."""
        el, w, gains = self._sky
        inside = (el > elev_low) & (el < elev_high)
        if bearing_deg is None and any((lo, hi) == (elev_low, elev_high) for lo, hi, _ in _PANELS):
            mean = np.sum(gains[inside].mean(axis=1) * w[inside]) / np.sum(w[inside])
        else:
            x, wx = _gauss(8)
            el = 0.5 * (elev_low + elev_high) + 0.5 * (elev_high - elev_low) * x
            az, wa = self.bearings_deg, None
            if bearing_deg is not None:
                xa, wa = _gauss(5)
                az, wa = bearing_deg + half_width_deg * xa, 0.5 * wa
            g = self.gain(el[:, None], az[None, :])
            across = g.mean(axis=1) if wa is None else g @ wa
            mean = float(across @ (0.5 * wx))
        return 10.0 * math.log10(max(mean, 1e-30))


def power_in_w(solution, i: int) -> float:
    """Power into the first port for 1 A peak there [W], NaN where it is not above zero."""
    power = 0.5 * float(solution.z_ohm[i].real)
    return power if power > 0.0 else math.nan


def pattern_of(solution, i: int) -> Pattern:
    """Pattern of a field solution at frequency index i."""
    mesh, amps = solution.slot_currents(i)
    freq = float(solution.freq_hz[i])
    k = TWO_PI * freq / C0_M_PER_S
    at, moments = point_moments(mesh, amps, k)
    return Pattern(
        freq_hz=freq, ground=solution.ground, power_in_w=power_in_w(solution, i), at_m=at, moments=moments
    )
