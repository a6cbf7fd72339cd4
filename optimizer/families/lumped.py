"""Coils and traps as the families ask for them: value in, winding design and element out.

Values are rounded before they come here, so that designs are shared between candidates.
"""

from __future__ import annotations

from functools import lru_cache

from ..parts.coil import CoilDesign, design_coil
from ..physics.constants import TWO_PI
from ..physics.elements import Trap

TRAP_Q = 150.0  # own-wound, common practice, no source


def coil(inductance_uh: float, freq_hz: float) -> CoilDesign:
    """An own-wound coil, its Q taken at `freq_hz`."""
    return design_coil(inductance_uh * 1e-6, freq_hz)


@lru_cache(maxsize=4096)
def trap(inductance_uh: float, freq_hz: float) -> Trap:
    """A trap tuned to `freq_hz`."""
    inductance = inductance_uh * 1e-6
    return Trap(inductance_h=inductance, capacitance_f=1.0 / ((TWO_PI * freq_hz) ** 2 * inductance), q=TRAP_Q)


def buy_coil(rig, design: CoilDesign, use: str) -> None:
    """The coil's pieces on the bill."""
    for part, quantity in design.bill:
        rig.buy(part, use, quantity)


def reactance_ohm(inductance_uh: float, freq_hz: float) -> float:
    return TWO_PI * freq_hz * inductance_uh * 1e-6


def microhenry(ohm: float, freq_hz: float) -> float:
    """Inductance of that reactance [uH]."""
    return ohm / (TWO_PI * freq_hz) * 1e6


def below_resonance_ohm(inductance_uh: float, freq_hz: float, resonance_hz: float) -> float:
    """Reactance of a trap below its resonance [ohm]."""
    return reactance_ohm(inductance_uh, freq_hz) / (1.0 - (freq_hz / resonance_hz) ** 2)
