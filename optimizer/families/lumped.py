"""Coils and traps as the families ask for them: value in, winding design and element out.

Values are rounded before they come here, so that designs are shared between candidates.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from ..parts.coil import CoilDesign, design_coil
from ..parts.ready_made import BOUGHT, COAXIAL, OWN, ReadyMade, coil_bought, trap_bought
from ..parts.trap import CoaxTrapDesign, TrapDesign, design_coax_trap, design_trap
from ..physics.constants import TWO_PI


def coil(inductance_uh: float, freq_hz: float, make: str = OWN) -> CoilDesign | ReadyMade:
    """A coil, its Q taken at `freq_hz`."""
    own = design_coil(inductance_uh * 1e-6, freq_hz)
    return coil_bought(own) if make == BOUGHT else own


@lru_cache(maxsize=4096)
def trap(inductance_uh: float, freq_hz: float, make: str = OWN) -> TrapDesign | CoaxTrapDesign | ReadyMade:
    """A trap tuned to `freq_hz`; one of coaxial cable takes the inductance that cable and former give it."""
    if make == COAXIAL:
        return design_coax_trap(freq_hz)
    own = design_trap(freq_hz, inductance_h=inductance_uh * 1e-6)
    return trap_bought(own) if make == BOUGHT else own


def buy_wound(rig, design, what: str, count: int = 1) -> None:
    """What a coil or trap takes, on the bill; `what`: in plain words, one of them. Values have their tolerances."""
    for part, quantity in design.bill:
        for _ in range(count):
            rig.buy(part, f"{what}{_value(design, part)}", quantity)


def _value(design, part: str) -> str:
    """What to ask the shop for, where the part's name does not say it."""
    if isinstance(design, ReadyMade) and part == design.key:
        return f", {design.element().inductance_h * 1e6:.1f} microhenry, ± {100 * design.tolerance:g} % of {design.what}"
    if part == "capacitor_trap_6kv":
        return f", {design.capacitor_f * 1e12:.0f} pF ± 5 %"
    return ""


def trap_parameters(parameters) -> list:
    """The same with traps of coaxial cable as another way to make them."""
    return [replace(p, choices=(OWN, COAXIAL, *p.choices[1:])) if p.name == "make" and p.choices[0] == OWN else p for p in parameters]


def reactance_ohm(inductance_uh: float, freq_hz: float) -> float:
    return TWO_PI * freq_hz * inductance_uh * 1e-6


def coaxial_ohm(freq_hz: float) -> float:
    """Reactance of a coaxial trap's coil at its resonance [ohm]: no choice of the builder's."""
    return reactance_ohm(trap(0.0, freq_hz, COAXIAL).inductance_h * 1e6, freq_hz)


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
