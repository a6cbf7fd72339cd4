"""Coils and traps as the families ask for them: value in, winding design and element out.

Values are rounded before they come here, so that designs are shared between candidates.
"""

from __future__ import annotations

from functools import lru_cache

from ..parts.coil import CoilDesign, design_coil
from ..parts.trap import TrapDesign, design_trap
from ..physics.constants import TWO_PI


def coil(inductance_uh: float, freq_hz: float) -> CoilDesign:
    """An own-wound coil, its Q taken at `freq_hz`."""
    return design_coil(inductance_uh * 1e-6, freq_hz)


@lru_cache(maxsize=4096)
def trap(inductance_uh: float, freq_hz: float) -> TrapDesign:
    """A trap of coil and capacitor tuned to `freq_hz`."""
    return design_trap(freq_hz, inductance_h=inductance_uh * 1e-6)


def buy_wound(rig, design: CoilDesign | TrapDesign, use: str, count: int = 1) -> None:
    """The pieces of a coil or trap on the bill."""
    for part, quantity in design.bill:
        rig.buy(part, use, count * quantity)


def reactance_ohm(inductance_uh: float, freq_hz: float) -> float:
    return TWO_PI * freq_hz * inductance_uh * 1e-6


@lru_cache(maxsize=4096)
def with_stray_ohm(inductance_uh: float, freq_hz: float) -> float:
    """Reactance of the own-wound coil with its stray capacitance [ohm]."""
    return float(coil(inductance_uh, freq_hz).impedance_ohm(freq_hz).imag)


def microhenry(ohm: float, freq_hz: float) -> float:
    """Inductance of that reactance [uH]."""
    return ohm / (TWO_PI * freq_hz) * 1e6


def below_resonance_ohm(inductance_uh: float, freq_hz: float, resonance_hz: float) -> float:
    """Reactance of a trap below its resonance [ohm]."""
    return reactance_ohm(inductance_uh, freq_hz) / (1.0 - (freq_hz / resonance_hz) ** 2)
