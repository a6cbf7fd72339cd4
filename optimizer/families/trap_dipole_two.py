"""Trap dipole, two pairs: three bands, each cut off from the next lower one by a pair of traps.

Serves three wished bands, neighbours 0.3 to 0.8 of one another: inner legs a quarter wave on the highest, first traps
resonant there; pieces up to the second traps, resonant on the middle band; outer ends complete the lowest band. Among
triples the lot holds it takes the heaviest, the lowest of equals. Both pairs of traps have the same reactance at their
resonance (`trap_ohm`). Trimmed outward from the middle, for a trap hides what lies beyond it.
"""

from __future__ import annotations

import math
from itertools import permutations

from ..physics.constants import TWO_PI
from ..wires.model import Load
from .bands import heaviest, line_z0_ohm, loaded_outer_m, names, wished_bands
from .centre_fed import balanced_feed, centre_parameters, hang, one_wire
from .choices import fits, lacking_m, length, make_of, remember
from .common import close
from .design import LOADED_SLOPE, TrimStep
from .family import Family, NoPlace, Parameter
from .lumped import COAXIAL, below_resonance_ohm, buy_wound, coaxial_ohm, microhenry, trap, trap_parameters
from .placement import plot_of
from .rig import Rig
from .starts import sifted
from .trap_dipole import LOW_SHARE

TRAP_OHM = (400.0, 1100.0)  # below, traps at resonance get hot at 100 W


def _triples(wishes):
    def near(a, b):
        return LOW_SHARE[0] <= a.centre_hz / b.centre_hz <= LOW_SHARE[1]

    return [t for t in permutations(wished_bands(wishes), 3) if near(t[0], t[1]) and near(t[1], t[2])]


def serves(wishes) -> tuple[str, ...]:
    triple = heaviest(_triples(wishes), lambda t: t)
    return names(triple) if triple else ()


def _pieces_m(triple, ohm) -> tuple[float, float, float]:
    """Inner legs, pieces between the traps and outer ends before trimming [m]."""
    low, middle, high = triple
    first, second = _traps_uh(triple, ohm)
    inner = high.half_wave_m / 2
    at_middle = below_resonance_ohm(first, middle.centre_hz, high.centre_hz)
    piece = loaded_outer_m(inner_m=inner, low_hz=middle.centre_hz, reactance_ohm=at_middle, quarter=True)
    at_low = [below_resonance_ohm(x, low.centre_hz, b.centre_hz) for x, b in ((first, high), (second, middle))]
    seen = math.tan(TWO_PI * inner / low.wavelength_m) + at_low[0] / line_z0_ohm(inner)
    as_wire_m = math.atan(seen) / TWO_PI * low.wavelength_m + piece  # plain wire that acts as all up to the second trap
    outer = loaded_outer_m(inner_m=as_wire_m, low_hz=low.centre_hz, reactance_ohm=at_low[1], quarter=True)
    return inner, piece, outer


def _traps_uh(triple, ohm):
    return tuple(round(10 * microhenry(ohm, b.centre_hz)) / 10 for b in (triple[2], triple[1]))


def _shortest_m(triple):
    return 2 * sum(_pieces_m(triple, TRAP_OHM[1]))


def _triple(site, wishes):
    plot = plot_of(site)

    def find():
        return heaviest([t for t in _triples(wishes) if fits(plot, _shortest_m(t))], lambda t: t)

    found = remember(plot, ("two-pair trap dipole", wishes), find)
    if found is None:
        raise NoPlace("lot", lacking_m(plot, (_shortest_m(t) for t in _triples(wishes))), "no three wished bands fit with traps")
    return found


def parameters(site, wishes):
    triple = _triple(site, wishes)
    small, large = _pieces_m(triple, TRAP_OHM[1]), _pieces_m(triple, TRAP_OHM[0])
    return (
        *trap_parameters(centre_parameters(site, wishes, 2 * sum(large), least_m=2 * sum(small))),
        Parameter(name="trap_ohm", low=TRAP_OHM[0], high=TRAP_OHM[1], log=True),
        length("inner_m", triple[2].half_wave_m / 2),
        Parameter(name="middle_m", low=0.7 * small[1], high=1.2 * large[1]),
        Parameter(name="outer_m", low=0.6 * small[2], high=1.2 * large[2]),
    )


def _trap_ohm(triple, values):
    """Reactance at resonance: as chosen, or what a coaxial trap has."""
    return coaxial_ohm(triple[2].centre_hz) if make_of(values) == COAXIAL else values["trap_ohm"]


def build(values, site, wishes):
    triple = low, middle, high = _triple(site, wishes)
    rig = Rig(site, wishes)
    inner, piece = values["inner_m"], values["middle_m"]
    legs = (inner + piece + values["outer_m"],) * 2
    make, ohm = make_of(values), _trap_ohm(triple, values)
    longest, shortest = (sum(_pieces_m(triple, x)) for x in TRAP_OHM)
    hung = hang(rig, values, legs, (sum(_pieces_m(triple, ohm)),) * 2, longest=(longest,) * 2, least_m=2 * shortest)
    wires, port = one_wire(rig, hung, legs)
    loads = []
    for inductance_uh, band, at_m in zip(_traps_uh(triple, ohm), (high, middle), (inner, inner + piece)):
        winding = trap(inductance_uh, band.centre_hz, make)
        buy_wound(rig, winding, f"traps of {winding.element().inductance_h * 1e6:.1f} microhenry at {band.centre_mhz:.2f} MHz", 2)
        loads += [Load(wire="main", at_m=legs[0] + side * at_m, element=winding.element()) for side in (-1, 1)]
    trims = (
        TrimStep(
            element="inner legs, both alike", parameter="inner_m", band=high.key, target_mhz=high.centre_mhz,
            reachable=False, disturbs=(middle.key, low.key), note="first, and only after all traps are on frequency",
        ),
        TrimStep(
            element="pieces between the traps, both alike", parameter="middle_m", slope=LOADED_SLOPE, band=middle.key,
            target_mhz=middle.centre_mhz, reachable=hung.reachable, disturbs=(low.key,),
        ),
        TrimStep(
            element="outer ends, both alike", parameter="outer_m", slope=LOADED_SLOPE, band=low.key, target_mhz=low.centre_mhz,
            reachable=hung.reachable,
        ),
    )  # fmt: skip
    feed = balanced_feed(rig, values, hung, low.low_hz)
    return close(
        FAMILY, rig, values, wires, port=port, feed=feed, trims=trims, loads=loads, serves=names(triple),
        detail=", ".join(names(triple)),
    )  # fmt: skip


def lengths(values, site, wishes):
    triple = _triple(site, wishes)
    _, piece, outer = _pieces_m(triple, _trap_ohm(triple, values))
    return {"middle_m": piece, "outer_m": outer}


def starts(site, wishes):
    found = []
    for ohm in (800.0, 1050.0):
        inner, piece, outer = _pieces_m(_triple(site, wishes), ohm)
        sizes = {"inner_m": 0.98 * inner, "middle_m": piece, "outer_m": outer, "trap_ohm": ohm}
        found += sifted(FAMILY, site, wishes, sizes, most=4)
    return found


FAMILY = Family(
    key="trap_dipole_two",
    title="Trap dipole, two pairs",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    lengths=lengths,
    weak_point="Four traps to build, weigh and lose power in; the lowest band is narrow and the wire sags.",
)
