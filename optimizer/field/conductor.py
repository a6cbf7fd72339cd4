"""What the wires themselves add: skin effect, and the charge that a coating binds.

Round wire: Z' = kc J0(kc a) / (2 pi a sigma J1(kc a)), kc² = -j w mu sigma (S. A. Schelkunoff, BSTJ 13 (1934) 532).
Thin coating: its field is radial and belongs to the charge, q (1/eps - 1/eps0) ln(b/a) / 2 pi across it, so that it lowers the potential of the wire and
leaves its inductance alone (J. H. Richmond and E. H. Newman, Radio Science 11 (1976) 13-20; from memory). Where current and charge make a full standing wave that
shifts resonance like an added series inductance (mu0/2 pi)(1 - 1/eps_r) ln(b/a), as it is often put.
"""

from __future__ import annotations

import numpy as np
from scipy.special import ive

from ..physics.constants import EPS0_F_PER_M, MU0_H_PER_M, TWO_PI
from ..wires.model import Wire


def round_wire_ohm_per_m(freq_hz, radius_m: float, conductivity_s_per_m: float):
    """Internal impedance of a round wire, complex, shape of `freq_hz` [ohm/m]."""
    w = TWO_PI * np.asarray(freq_hz, float)
    g = np.sqrt(1j * w * MU0_H_PER_M * conductivity_s_per_m)
    x = g * radius_m
    return g * ive(0, x) / (TWO_PI * radius_m * conductivity_s_per_m * ive(1, x))


def coating_m_per_f(wire: Wire) -> float:
    """By how much a thin coating lowers the wire's potential for its charge per metre [V/(C/m) = m/F]."""
    if wire.coating is None:
        return 0.0
    ratio = 1.0 + wire.coating.thickness_m / wire.radius_m
    return (1.0 - 1.0 / wire.coating.relative_permittivity) * np.log(ratio) / (TWO_PI * EPS0_F_PER_M)


def series_ohm_per_m(wire: Wire, freq_hz):
    """Internal impedance spread along the wire, complex (F,) [ohm/m]."""
    if wire.conductivity_s_per_m is None:
        return np.zeros(np.shape(freq_hz), complex)
    return round_wire_ohm_per_m(freq_hz, wire.radius_m, wire.conductivity_s_per_m)
