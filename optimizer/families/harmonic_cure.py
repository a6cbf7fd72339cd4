"""What brings the harmonics of an end-fed half wave back onto the bands: a small coil or a series capacitor.

The end effect counts once however many half waves fit, and a drooping wire's ends sit low: the k-th resonance lies 2 to
4 % above k times the first, while the bands do not. With current sin(k pi s) at the share s of the wire, a small series
reactance moves the k-th resonance in proportion to X sin^2(k pi s) (first-order perturbation of a line resonator):

    coil at a sixth        sin^2 = 1/4, 3/4, 1, 3/4 for k = 1 ... 4: every upper band comes down, three to four times as
                           far as the lowest one; the wire gets a little shorter
    capacitor in the middle sin^2 = 1, 0, 1, 0: the lowest band (and the third) goes up; a longer wire brings all down

`cure_ohm` is the reactance on the lowest band: above zero a coil, below a capacitor, none within `NONE_OHM` of zero.
Source of the places: that formula; the trade's coil of a microhenry or two some metres from the feed is common
practice, no source.
"""

from __future__ import annotations

import math

from ..parts.ready_made import OWN
from ..physics.constants import TWO_PI
from ..physics.elements import Capacitor
from ..wires.model import Load
from .bands import Band
from .family import Parameter
from .lumped import buy_wound, coil, microhenry

NONE_OHM = 25.0
MOST_OHM = 130.0
CAPACITOR_LEAST_OHM = 35.0
STARTS_OHM = (-48.0, 90.0, 0.0)
COIL_AT, CAPACITOR_AT = 1 / 6, 1 / 2  # of the wire
MOST_F = 500e-12  # of one capacitor in the price list
AIM_SHARE = (-0.025, 0.01)  # where to put the lowest band's dip, against the middle of its segment


def cure_parameters() -> list[Parameter]:
    return [
        Parameter(name="cure_ohm", low=-MOST_OHM, high=MOST_OHM),
        Parameter(name="aim_share", low=AIM_SHARE[0], high=AIM_SHARE[1]),
    ]


def cure_loads(rig, ohm: float, base: Band, wire_m: float, make: str = OWN) -> tuple[Load, ...]:
    """The load in the wire "main", its parts bought."""
    if abs(ohm) < NONE_OHM:
        return ()
    if ohm > 0:
        winding = coil(round(10 * microhenry(ohm, base.centre_hz)) / 10, base.centre_hz, make)
        buy_wound(rig, winding, "coil for the upper bands")
        return (Load(wire="main", at_m=COIL_AT * wire_m, element=winding.element()),)
    farad = round(1e11 / (TWO_PI * base.centre_hz * max(-ohm, CAPACITOR_LEAST_OHM))) * 1e-11
    count = math.ceil(farad / MOST_F - 1e-9)
    rig.buy("capacitor_series_3kv", f"for the upper bands, {farad * 1e12 / count:.0f} pF ± 5 % each", count)
    rig.buy("strain_relief", "for the upper bands", 2)
    return (Load(wire="main", at_m=CAPACITOR_AT * wire_m, element=Capacitor(capacitance_f=farad)),)


def cured_starts(starts: list[dict]) -> list[dict]:
    """The same starts, each cured in another way."""
    return [{**s, "cure_ohm": STARTS_OHM[i % 3], "aim_share": -0.006} for i, s in enumerate(starts)]
