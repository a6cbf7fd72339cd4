"""How far an answer can be trusted: where each watt goes, and what a finer mesh changes.

The soil's share is the flux of real power through its surface. In the plane-wave spectrum of the downcoming field it has two parts
(Parseval): waves with s < 1 pass with 1 - |R|², found over the lower hemisphere; evanescent waves with s > 1 give
the real part of the reaction through that part of the spectrum alone, tabulated by a real-axis integral of its own. Nothing
here is found by subtraction, so sky + soil + wire + loads = input is a test of the whole solution.
"""

from __future__ import annotations

import numpy as np
from scipy.special import erfc, j0, j1

from ..physics.constants import C0_M_PER_S, EPS0_F_PER_M, MU0_H_PER_M, TWO_PI
from . import halfspace, kernels
from .far import plane_waves, point_moments, power_in_w
from .halfspace import fresnel
from .mesh import MeshSettings
from .solver import gather, own_impedance, reach_m, solve

DIRECT_ABOVE = 0.5  # lowest wire in units of 1/k from which the evanescent waves are summed one by one
FADED_NEPER = 12.0  # where the wave that runs in the soil is forgotten
CLEAR_OF_GRAZING = 6.0  # s at which a taper may end that begins beyond s = 1, where the waves along the ground are


def _real_axis_nodes(r_low: float, r_top: float, index: complex):
    """s, ds/alpha over s > 1 on the real axis, crowded at s = 1 and at the soil's branch point, tapered at the end.

    The end need not lie beyond the branch point where that is so far off the axis that its wave has died within `r_low`: the
    spectrum is smooth there, as it is over good conductors, whose index may be thousands.
    """
    s_end = max(2 * halfspace.REACH / r_top, CLEAR_OF_GRAZING)
    if -index.imag * r_low < FADED_NEPER:
        s_end = max(s_end, 1.5 * index.real)
    edges = [0.0]
    u_n = np.arccosh(max(index.real, 1.0 + 1e-9))
    while np.cosh(edges[-1]) < s_end:
        u = edges[-1]
        step = min(0.35 * max(u, 0.003), 0.35 * max(abs(u - u_n), 0.003), 0.3, 3.0 / (r_top * np.cosh(u)))
        edges.append(u + step)
    edges = np.array(edges)
    x, w = np.polynomial.legendre.leggauss(8)
    half = 0.5 * np.diff(edges)[:, None]
    u = (0.5 * (edges[1:] + edges[:-1])[:, None] + half * x).ravel()
    du = (half * w).ravel()
    taper = 0.5 * erfc(3.2 * np.log(2.0 * np.cosh(u) / s_end) / np.log(2.0))
    return u, du * taper


def evanescent_table(n2: complex, r_low: float, r_high: float):
    """Like halfspace.table, for the part of the spectrum with s > 1 only, and Q = T R: these waves do not travel upward."""
    low = int(np.floor(np.log2(r_low) - 0.5))
    high = int(np.ceil(np.log2(r_high) + 0.5))
    rows = []
    for octave in range(low, high + 1):
        r, w = halfspace._polar_nodes(octave)
        u, du = _real_axis_nodes(r[0], r[-1], np.sqrt(n2))
        s, alpha = np.cosh(u), np.sinh(u)
        t = 0.5 * np.pi + 1j * u
        f_xx, f_phi, f_zz, h, c = halfspace._spectrum(t, n2)
        rr, ww = (g.ravel() for g in np.meshgrid(r, w, indexing="ij"))
        y = rr * ww**2
        x = np.maximum(np.sqrt(np.maximum(rr**2 - y**2, 0.0)), 1e-9 * rr)
        decay = np.exp(-np.outer(y, alpha))
        lift = rr[:, None]
        k0 = j0(np.outer(x, s)) * decay * (s * du)
        k1 = -2.0 * j1(np.outer(x, s)) / x[:, None] * rr[:, None] * decay * (s**2 * alpha * du)
        q = np.empty((len(rr), 4), complex)
        q[:, :3] = k0 @ np.stack([f_xx, f_phi - c, f_zz + 2.0 * c], axis=1)
        q[:, 3] = k1 @ h
        rows.append((q * lift).reshape(len(r), len(w), 4))
    return low * halfspace.R_PER_OCTAVE, np.ascontiguousarray(np.concatenate(rows))


def soil_power_w(solution, i: int) -> float:
    """Real power through the soil's surface for 1 A peak into the first port [W]."""
    if solution.ground.kind != "soil":
        return 0.0
    _, x = solution.unknowns(i)
    mesh, amps = solution.slot_currents(i)
    freq = float(solution.freq_hz[i])
    w = TWO_PI * freq
    k = w / C0_M_PER_S
    n2 = complex(solution.ground.soil.complex_permittivity(freq))
    at, moments = point_moments(mesh, amps, k)
    wide = np.linalg.norm(np.ptp(at[:, :2], axis=0))
    n_az = 2 * int(np.ceil(1.05 * k * wide)) + 16
    xs, ws = np.polynomial.legendre.leggauss(20)
    # elevation below the horizon, crowded at grazing: v in 0..1, elevation = 90 v²
    v = 0.5 * (1 + xs)
    el = 0.5 * np.pi * v**2
    weight = 0.5 * ws * np.pi * v * np.cos(el)
    az = np.arange(n_az) * (TWO_PI / n_az)
    e, a = (g.ravel() for g in np.meshgrid(el, az, indexing="ij"))
    sx, sy = np.sin(a), np.cos(a)
    down, _ = plane_waves(at, moments, k, np.cos(e) * sx, np.cos(e) * sy, -np.sin(e))
    along, across = down[:, 0] * sx + down[:, 1] * sy, down[:, 0] * sy - down[:, 1] * sx
    tm = along * np.sin(e) + down[:, 2] * np.cos(e)
    r_te, r_tm = fresnel(n2, np.sin(e))
    passed = (1 - np.abs(r_tm) ** 2) * np.abs(tm) ** 2 + (1 - np.abs(r_te) ** 2) * np.abs(across) ** 2
    eta_scale = MU0_H_PER_M * C0_M_PER_S * k * k / (32.0 * np.pi**2)
    running = eta_scale * np.sum(passed.reshape(len(el), n_az).mean(axis=1) * weight) * TWO_PI
    if k * at[:, 2].min() > DIRECT_ABOVE:
        return float(running + _evanescent_by_waves(at, moments, k, n2))
    low, high = reach_m(mesh)
    first, tab = evanescent_table(n2, k * low, k * high)
    slots = kernels.ground_part(
        mesh.start_m, mesh.tangent, mesh.length_m, mesh.radius_m, np.array([k]), np.zeros(1), k, tab[None].view(float), first,
        np.array([1j * w * MU0_H_PER_M / (4 * np.pi)]), np.array([1.0 / (1j * w * EPS0_F_PER_M * 4 * np.pi)]),
    )
    return float(running + 0.5 * np.real(np.conj(x) @ gather(mesh, slots)[0] @ x))


def _evanescent_by_waves(at, moments, k: float, n2: complex) -> float:
    """Power of the evanescent waves into the soil, wave by wave [W]; for wires that clear the ground well.

    With U, V, W the sums of I dl exp(j k s·r - k alpha z) along, across and upward, s = cosh u, alpha = sinh u:
    P = -(eta k²/8 pi) ∫ s du <Im R_TE |V|² + Im R_TM |alpha U + j s W|²>, <> the mean over bearings.
    """
    u_end = np.arcsinh(14.0 / (2.0 * k * at[:, 2].min()))
    u_n = np.arccosh(max(abs(np.sqrt(n2).real), 1.0 + 1e-9))
    edges = np.unique(np.concatenate([np.linspace(0, u_end, 9), [min(u_n, u_end)], u_end * np.array([0.01, 0.04])]))
    x, wx = np.polynomial.legendre.leggauss(8)
    half = 0.5 * np.diff(edges)[:, None]
    u = (0.5 * (edges[1:] + edges[:-1])[:, None] + half * x).ravel()
    du = (half * wx).ravel()
    wide = np.linalg.norm(np.ptp(at[:, :2], axis=0))
    total = 0.0
    for un, dn in zip(u, du):
        s, alpha = np.cosh(un), np.sinh(un)
        b = np.sqrt(n2 - s * s)
        r_te, r_tm = (-1j * alpha - b) / (-1j * alpha + b), (-1j * n2 * alpha - b) / (-1j * n2 * alpha + b)
        az = np.arange(n := 2 * int(np.ceil(1.05 * k * s * wide)) + 16) * (TWO_PI / n)
        sx, sy = np.sin(az), np.cos(az)
        sums, _ = plane_waves(at, moments * np.exp(-k * alpha * at[:, 2:3]), k, s * sx, s * sy, np.zeros(n))
        along, across = sums[:, 0] * sx + sums[:, 1] * sy, sums[:, 0] * sy - sums[:, 1] * sx
        tm = np.mean(np.abs(alpha * along + 1j * s * sums[:, 2]) ** 2)
        total -= s * dn * (r_te.imag * np.mean(np.abs(across) ** 2) + r_tm.imag * tm)
    return MU0_H_PER_M * C0_M_PER_S * k * k / (8.0 * np.pi) * total


def wire_power_w(solution, i: int) -> float:
    """Power lost in the wires' own resistance for 1 A peak into the first port [W]."""
    mesh, amps = solution.slot_currents(i)
    freq = solution.freq_hz[i : i + 1]
    own = own_impedance(mesh, solution.wires, freq)
    if own is None:
        return 0.0
    pair = amps.reshape(-1, 2)
    return 0.5 * float(np.einsum("np,npq,nq->", np.conj(pair), own[0].real, pair).real)


def load_powers_w(solution, i: int) -> list[float]:
    """Power lost in each load for 1 A peak into the first port [W]."""
    volts = solution.port_volts(i)[len(solution.ports) :]
    out = []
    for load, v in zip(solution.loads, volts):
        z = complex(load.element.impedance_ohm(float(solution.freq_hz[i])))
        out.append(0.5 * abs(v / z) ** 2 * z.real if z != 0 else 0.0)
    return out


def shares_of(solution, i: int) -> dict[str, float]:
    """Fractions of the port's power: wire, loads, sky, and soil as the rest (as the search uses it)."""
    power = power_in_w(solution, i)
    shares = {"wire": wire_power_w(solution, i) / power}
    for n, lost in enumerate(load_powers_w(solution, i)):
        shares[f"load {n}"] = lost / power
    shares["sky"] = solution.pattern(i).efficiency
    shares["soil"] = 1.0 - sum(shares.values())
    return shares


def power_balance_error(solution, i: int) -> float:
    """(sky + soil + wire + loads) / input - 1, each found on its own."""
    power = power_in_w(solution, i)
    spent = solution.pattern(i).efficiency * power + soil_power_w(solution, i) + wire_power_w(solution, i)
    return (spent + sum(load_powers_w(solution, i))) / power - 1.0


def finer_mesh_change(solution) -> np.ndarray:
    """Relative change of the first port's impedance on a finer mesh, (F,)."""
    finer = solve(
        solution.wires, solution.ports, solution.loads, solution.ground, solution.freq_hz, settings=MeshSettings().finer()
    )
    return np.abs(finer.z_ohm - solution.z_ohm) / np.abs(solution.z_ohm)
