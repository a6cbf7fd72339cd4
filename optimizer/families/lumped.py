"""Coils and traps as the families ask for them: value in, element out, rounded so that designs are shared."""

from __future__ import annotations

from functools import lru_cache

from ..physics.constants import TWO_PI
from ..physics.elements import Coil, Trap

# Own-wound single-layer coils: common practice, no source; replaced by the winding design where there is one.
STRAY_F = 1.6e-12
COIL_Q = 200.0
TRAP_Q = 150.0


@lru_cache(maxsize=4096)
def coil(inductance_uh: float, freq_hz: float) -> Coil:
    """An own-wound coil, its Q taken at `freq_hz`."""
    return Coil(inductance_h=inductance_uh * 1e-6, q=COIL_Q, stray_f=STRAY_F)


@lru_cache(maxsize=4096)
def trap(inductance_uh: float, freq_hz: float) -> Trap:
    """A trap tuned to `freq_hz`."""
    inductance = inductance_uh * 1e-6
    return Trap(inductance_h=inductance, capacitance_f=1.0 / ((TWO_PI * freq_hz) ** 2 * inductance), q=TRAP_Q)


def reactance_ohm(inductance_uh: float, freq_hz: float) -> float:
    return TWO_PI * freq_hz * inductance_uh * 1e-6


def microhenry(ohm: float, freq_hz: float) -> float:
    """Inductance of that reactance [uH]."""
    return ohm / (TWO_PI * freq_hz) * 1e6


def below_resonance_ohm(inductance_uh: float, freq_hz: float, resonance_hz: float) -> float:
    """Reactance of a trap below its resonance [ohm]."""
    return reactance_ohm(inductance_uh, freq_hz) / (1.0 - (freq_hz / resonance_hz) ** 2)
