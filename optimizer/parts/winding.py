"""From a lumped element back to the winding that gives it: what the bench, the scales and the heat want to know.

An element carries values only. A coaxial trap is known by its values, since cable and frequency fix them; anything else is wound on
the standard former. A ready-made part is taken to be built like it.
"""

from __future__ import annotations

import math

from ..errors import InputError
from ..physics.elements import Coil, Trap
from ..physics.solenoid import resonance_hz
from .coil import CoilDesign, design_coil
from .trap import CoaxTrapDesign, TrapDesign, design_coax_trap, design_trap

COIL_HZ = 7.1e6  # the band a coil's Q is taken at where none is named


def winding_of(element, coil_hz: float = COIL_HZ) -> CoilDesign | TrapDesign | CoaxTrapDesign | None:
    """The winding of a coil or trap; None for what is not wound."""
    if isinstance(element, Coil):
        return design_coil(element.inductance_h, coil_hz)
    if not isinstance(element, Trap):
        return None
    tuned = resonance_hz(element.inductance_h, element.capacitance_f)
    try:
        coaxial = design_coax_trap(tuned)
    except InputError:
        coaxial = None
    if coaxial and math.isclose(coaxial.inductance_h, element.inductance_h, rel_tol=1e-6):
        return coaxial
    return design_trap(tuned, inductance_h=element.inductance_h)
