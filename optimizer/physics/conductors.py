"""What a straight round wire does to a current at radio frequency: skin effect, exact.

    a       outer radius [m]             kc^2 = -j w mu sigma
    sigma   conductivity [S/m]           Z'   internal (series) impedance per metre [ohm/m]

Time factor exp(+j w t). Valid for an isolated wire much thinner than a wavelength; neighbours (proximity) and
the roughness or stranding of the surface are not in it. All functions take frequencies as arrays or numbers.
Sources: Ramo, Whinnery, Van Duzer, Fields and Waves in Communication Electronics, ch. 4 (solid wire; the two-layer
wire matches the same Bessel solutions at the interface); Rosa, Bull. Bur. Standards 4 (1908) 301 (inductance).
"""

from __future__ import annotations

import math

import numpy as np
import scipy  # its parts load when first used

from .constants import COPPER_S_PER_M, MU0_H_PER_M, TWO_PI

STEEL_S_PER_M = 4.93e6
STEEL_MU_R = 100.0


def skin_depth_m(freq_hz, conductivity_s_per_m: float = COPPER_S_PER_M, mu_r: float = 1.0):
    """Depth at which the current has fallen to 1/e [m]."""
    return 1.0 / np.sqrt(math.pi * np.asarray(freq_hz, float) * MU0_H_PER_M * mu_r * conductivity_s_per_m)


def _wave_number(freq_hz, conductivity_s_per_m, mu_r=1.0):
    """Root of -j w mu sigma with negative imaginary part [1/m]."""
    return (1 - 1j) / skin_depth_m(freq_hz, conductivity_s_per_m, mu_r)


def round_wire_ohm_per_m(freq_hz, radius_m: float, conductivity_s_per_m: float = COPPER_S_PER_M, mu_r: float = 1.0):
    """Internal impedance per metre of a solid round wire: kc J0(kc a) / (2 pi a sigma J1(kc a)) [ohm/m]."""
    kc = _wave_number(freq_hz, conductivity_s_per_m, mu_r)
    x = kc * radius_m
    return kc * scipy.special.jve(0, x) / (TWO_PI * radius_m * conductivity_s_per_m * scipy.special.jve(1, x))


def clad_wire_ohm_per_m(
    freq_hz, radius_m: float, cladding_m: float, *, outer_s_per_m: float = COPPER_S_PER_M,
    core_s_per_m: float = STEEL_S_PER_M, core_mu_r: float = STEEL_MU_R,
):  # fmt: skip
    """Internal impedance per metre of a wire of two layers (a non-magnetic one over the core) [ohm/m].

    E and H are continuous at the interface: the core's surface impedance starts the outer layer's two waves.
    """
    inner = radius_m - cladding_m
    kc = _wave_number(freq_hz, outer_s_per_m)
    core = _wave_number(freq_hz, core_s_per_m, core_mu_r)
    ratio = core * scipy.special.jve(0, core * inner) / (core_s_per_m * scipy.special.jve(1, core * inner))  # E/H at the interface
    b, a = kc * inner, kc * radius_m
    eta = kc / outer_s_per_m
    # E = J0 + m H0, H = (J1 + m H1)/eta; scaled functions, so that thick layers neither overflow nor vanish
    grow_b, grow_a = np.abs(b.imag), np.abs(a.imag)
    m = -(eta * scipy.special.jve(0, b) - ratio * scipy.special.jve(1, b)) / (eta * scipy.special.hankel2e(0, b) - ratio * scipy.special.hankel2e(1, b))
    m = m * np.exp(grow_b - grow_a + 1j * (b - a))  # from the interface's scaling to the surface's
    return eta * (scipy.special.jve(0, a) + m * scipy.special.hankel2e(0, a)) / (scipy.special.jve(1, a) + m * scipy.special.hankel2e(1, a)) / (TWO_PI * radius_m)


def straight_inductance_h(length_m: float, radius_m: float) -> float:
    """Inductance of a straight wire at high frequency, the internal part left out [H]."""
    root = math.hypot(length_m, radius_m)
    return MU0_H_PER_M / TWO_PI * (length_m * math.log((length_m + root) / radius_m) - root + radius_m)


def equivalent_conductivity_s_per_m(resistance_ohm_per_m: float, radius_m: float, freq_hz: float) -> float:
    """Conductivity of the solid wire of that radius with the same resistance at `freq_hz` [S/m]."""
    sigma = COPPER_S_PER_M
    for _ in range(60):
        sigma *= float(round_wire_ohm_per_m(freq_hz, radius_m, sigma).real / resistance_ohm_per_m) ** 2
    return sigma
