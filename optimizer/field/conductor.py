"""The wires' own series impedance per metre: skin effect and coating.

Round wire: Z' = kc J0(kc a) / (2 pi a sigma J1(kc a)), kc² = -j w mu sigma (S. A. Schelkunoff, BSTJ 13 (1934) 532).
Thin coating as added series inductance (mu0/2 pi)(1 - 1/eps_r) ln(b/a) (J. H. Richmond and E. H. Newman, Radio Science 11
(1976) 13-20; R. W. P. King and G. S. Smith, Antennas in Matter, 1981).
"""

from __future__ import annotations

import numpy as np
from scipy.special import ive

from ..physics.constants import MU0_H_PER_M, TWO_PI
from ..wires.model import Wire


def round_wire_ohm_per_m(freq_hz, radius_m: float, conductivity_s_per_m: float):
    """Internal impedance of a round wire, complex, shape of `freq_hz` [ohm/m]."""
    w = TWO_PI * np.asarray(freq_hz, float)
    g = np.sqrt(1j * w * MU0_H_PER_M * conductivity_s_per_m)
    x = g * radius_m
    return g * ive(0, x) / (TWO_PI * radius_m * conductivity_s_per_m * ive(1, x))


def coating_h_per_m(wire: Wire) -> float:
    """Series inductance a thin coating adds [H/m]."""
    if wire.coating is None:
        return 0.0
    ratio = 1.0 + wire.coating.thickness_m / wire.radius_m
    return MU0_H_PER_M / TWO_PI * (1.0 - 1.0 / wire.coating.relative_permittivity) * np.log(ratio)


def series_ohm_per_m(wire: Wire, freq_hz):
    """Impedance per metre spread along the wire, complex (F,) [ohm/m]."""
    freq_hz = np.asarray(freq_hz, float)
    z = 1j * TWO_PI * freq_hz * coating_h_per_m(wire)
    if wire.conductivity_s_per_m is not None:
        z = z + round_wire_ohm_per_m(freq_hz, wire.radius_m, wire.conductivity_s_per_m)
    return z
