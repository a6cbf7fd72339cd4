"""Single-layer coils: inductance, resistance with proximity, self-capacitance.

    D  mean diameter [m]      N  turns         p  pitch [m]        l = N p  length of the current sheet [m]
    d  wire diameter [m]      A, B  round-wire corrections of the current sheet

L = mu0 pi D^2 N^2 K/(4 l) - mu0 (D/2) N (A + B), K exact; A = 3/2 - ln(2p/d) puts round wire with its current on the
surface (high frequency) for a turn's strip of sheet, B the mutual terms (Rosa; in closed form below). The wire's
internal inductance is added apart, at the frequency asked for. Proximity factor and self-capacitance are Medhurst's
measurements, 15 % either way; the capacitance holds for a coil with one end near earth and is taken over for one
in the middle of a wire.
Sources: Nagaoka 1909 (K, exact by elliptic integrals); Rosa and Grover, Bull. Bur. Standards 8 (1912) 1; Weaver's
series for B; Wheeler, Proc. IRE 16 (1928) 1398; Medhurst, Wireless Engineer, Feb/Mar 1947.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import scipy  # its parts load when first used

from .conductors import round_wire_ohm_per_m
from .constants import COPPER_S_PER_M, MU0_H_PER_M, TWO_PI
from .tables import read_table


def nagaoka_k(diameter_over_length: float) -> float:
    """Nagaoka's coefficient of a current sheet, exact."""
    u = diameter_over_length
    m = u * u / (1.0 + u * u)
    k = math.sqrt(m)
    return 4 / (3 * math.pi * math.sqrt(1 - m)) * ((1 - m) / m * scipy.special.ellipk(m) - (1 - 2 * m) / m * scipy.special.ellipe(m) - k)


def current_sheet_h(turns: float, diameter_m: float, pitch_m: float) -> float:
    """Inductance of the current sheet of length turns·pitch [H]."""
    length = turns * pitch_m
    return MU0_H_PER_M * math.pi * diameter_m**2 * turns**2 / (4 * length) * float(nagaoka_k(diameter_m / length))


def round_wire_correction_h(turns: float, diameter_m: float, pitch_m: float, wire_diameter_m: float) -> float:
    """What the current sheet has too much against round wire carrying its current on the surface [H]."""
    a = 1.5 - math.log(2 * pitch_m / wire_diameter_m)
    b = math.log(TWO_PI) - 1.5 - math.log(turns) / (6 * turns) - 0.33084236 / turns - 1 / (120 * turns**3) + 1 / (504 * turns**5)
    return MU0_H_PER_M * diameter_m / 2 * turns * (a + b)


def solenoid_h(turns: float, diameter_m: float, pitch_m: float, wire_diameter_m: float) -> float:
    """Inductance of a round-wire coil of one turn or more, without the wire's internal part [H]."""
    return current_sheet_h(turns, diameter_m, pitch_m) - round_wire_correction_h(turns, diameter_m, pitch_m, wire_diameter_m)


def wheeler_h(turns: float, diameter_m: float, length_m: float) -> float:
    """Wheeler's 1928 formula, 1 % for length > 0.4 diameter: r^2 N^2/(9 r + 10 l) microhenries, inches [H]."""
    r, length = diameter_m / 2 / 0.0254, length_m / 0.0254
    return r * r * turns * turns / (9 * r + 10 * length) * 1e-6


def internal_inductance_h_per_m(freq_hz: float, wire_diameter_m: float, conductivity_s_per_m: float = COPPER_S_PER_M) -> float:
    """Internal inductance per metre of round wire at that frequency [H/m]."""
    z = round_wire_ohm_per_m(freq_hz, wire_diameter_m / 2, conductivity_s_per_m)
    return float(z.imag) / (TWO_PI * freq_hz)


@cache
def _proximity_table():
    """l/D (A,), d/p (B,), Phi (A, B)."""
    rows = read_table("coil_proximity.csv", columns=("length_over_diameter", "wire_over_pitch", "phi", "source", "note"),
                      key=("length_over_diameter", "wire_over_pitch"))  # fmt: skip
    table = {(float(r["length_over_diameter"]), float(r["wire_over_pitch"])): float(r["phi"]) for r in rows}
    along, spacing = (np.array(sorted({key[i] for key in table})) for i in (0, 1))
    return along, spacing, np.array([[table[a, s] for s in spacing] for a in along])


def proximity_factor(length_over_diameter: float, wire_over_pitch: float) -> float:
    """Coil's AC resistance over that of the same wire stretched out; bilinear, 1 for wide spacing."""
    along, spacing, phi = _proximity_table()
    columns = [np.interp(length_over_diameter, along, phi[:, j]) for j in range(len(spacing))]
    return float(np.interp(wire_over_pitch, [0.0, *spacing], [1.0, *columns]))


@cache
def _capacitance_table():
    rows = read_table("coil_capacitance.csv", columns=("length_over_diameter", "pf_per_cm", "source", "note"),
                      key=("length_over_diameter",))  # fmt: skip
    return tuple(np.array([float(r[c]) for r in rows]) for c in ("length_over_diameter", "pf_per_cm"))


def capacitance_pf_per_cm(length_over_diameter: float) -> float:
    """Medhurst's H: self-capacitance in pF for each centimetre of diameter."""
    ratio, h = _capacitance_table()
    return float(np.exp(np.interp(math.log(length_over_diameter), np.log(ratio), np.log(h))))


def self_capacitance_f(diameter_m: float, length_m: float) -> float:
    """Self-capacitance of a single-layer coil [F]."""
    return capacitance_pf_per_cm(length_m / diameter_m) * diameter_m * 100.0 * 1e-12


def resonance_hz(inductance_h: float, capacitance_f: float) -> float:
    return 1.0 / (TWO_PI * math.sqrt(inductance_h * capacitance_f))


def inductance_at_resonance_h(freq_hz: float, capacitance_f: float) -> float:
    return 1.0 / ((TWO_PI * freq_hz) ** 2 * capacitance_f)


def capacitance_at_resonance_f(freq_hz: float, inductance_h: float) -> float:
    return inductance_at_resonance_h(freq_hz, inductance_h)  # the same form
