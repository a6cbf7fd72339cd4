"""Trap dipole, one pair: the traps cut it off for the upper band and lengthen it on the lower one.

Serves two wished bands: the inner legs are a quarter wave on the upper band, where the traps resonate; below that the
traps are inductive and the outer ends complete a shortened quarter wave on the lower band. Lower bands from 0.3 to 0.8
of the upper one. Among pairs the lot holds it takes the heaviest, the lowest of equals.
"""

from __future__ import annotations

from itertools import permutations

from ..wires.model import Load
from .bands import heaviest, loaded_outer_m, names, wished_bands
from .centre_fed import balanced_feed, centre_parameters, hang, one_wire
from .choices import length, make_of
from .common import close
from .design import LOADED_SLOPE, TrimStep
from .family import Family, Parameter
from .lumped import below_resonance_ohm, buy_wound, microhenry, trap, trap_parameters
from .rig import Rig
from .starts import cut_for, sifted

LOW_SHARE = (0.3, 0.8)
TRAP_OHM = (250.0, 900.0)  # coil's reactance at the trap's resonance
HAND_M = 2.0


def _pairs(wishes):
    bands = wished_bands(wishes)
    return [(a, b) for a, b in permutations(bands, 2) if LOW_SHARE[0] <= a.centre_hz / b.centre_hz <= LOW_SHARE[1]]


def serves(wishes) -> tuple[str, ...]:
    pair = heaviest(_pairs(wishes), lambda p: p)
    return names(pair) if pair else ()


def _outer_m(pair, trap_uh):
    low, high = pair
    ohm = below_resonance_ohm(trap_uh, low.centre_hz, high.centre_hz)
    return loaded_outer_m(inner_m=high.half_wave_m / 2, low_hz=low.centre_hz, reactance_ohm=ohm, quarter=True)


def _leg_m(pair, trap_uh):
    return pair[1].half_wave_m / 2 + _outer_m(pair, trap_uh)


def _shortest_m(p):
    return 2 * _leg_m(p, microhenry(TRAP_OHM[1], p[1].centre_hz))


def _pair(site, wishes):
    return cut_for(FAMILY, site, wishes, lambda: _pairs(wishes), _shortest_m, lambda p: p, "no wished pair of bands fits with traps")


def parameters(site, wishes):
    pair = _, high = _pair(site, wishes)
    traps = [microhenry(x, high.centre_hz) for x in TRAP_OHM]
    shortest, longest = _outer_m(pair, traps[1]), _outer_m(pair, traps[0])
    return (
        *trap_parameters(centre_parameters(site, wishes, 2 * _leg_m(pair, traps[0]), least_m=2 * _leg_m(pair, traps[1]))),
        length("inner_m", high.half_wave_m / 2),
        Parameter(name="trap_uh", low=traps[0], high=traps[1], log=True),
        Parameter(name="outer_m", low=0.75 * shortest, high=1.15 * longest),
    )


def _winding(high, values):
    return trap(round(10 * values["trap_uh"]) / 10, high.centre_hz, make_of(values))


def build(values, site, wishes):
    pair = low, high = _pair(site, wishes)
    rig = Rig(site, wishes)
    inner, winding = values["inner_m"], _winding(high, values)
    trap_uh = winding.element().inductance_h * 1e6
    legs = (inner + values["outer_m"],) * 2
    longest, shortest = (_leg_m(pair, microhenry(x, high.centre_hz)) for x in TRAP_OHM)
    hung = hang(rig, values, legs, (_leg_m(pair, trap_uh),) * 2, longest=(longest,) * 2, least_m=2 * shortest)
    wires, port = one_wire(rig, hung, legs)
    buy_wound(rig, winding, f"traps of {trap_uh:.1f} microhenry at {high.centre_mhz:.2f} MHz", 2)
    element = winding.element()
    loads = tuple(Load(wire="main", at_m=legs[0] + side * inner, element=element) for side in (-1, 1))
    drops = hung.reachable and hung.centre[2] - inner <= HAND_M
    trims = (
        TrimStep(
            element="inner legs, both alike", parameter="inner_m", band=high.key, target_mhz=high.centre_mhz,
            reachable=drops, disturbs=(low.key,), note="first, and only after the traps are on frequency",
        ),
        TrimStep(
            element="outer ends, both alike", parameter="outer_m", slope=LOADED_SLOPE, band=low.key, target_mhz=low.centre_mhz,
            reachable=hung.reachable,
        ),
    )  # fmt: skip
    feed = balanced_feed(rig, values, hung, low.low_hz)
    return close(
        FAMILY, rig, values, wires, port=port, feed=feed, trims=trims, loads=loads, serves=names(pair),
        detail=f"{low.name} and {high.name}",
    )  # fmt: skip


def lengths(values, site, wishes):
    pair = _pair(site, wishes)
    return {"outer_m": _outer_m(pair, _winding(pair[1], values).element().inductance_h * 1e6)}


def starts(site, wishes):
    pair = _, high = _pair(site, wishes)
    found = []
    for ohm in (450.0, 850.0):
        trap_uh = microhenry(ohm, high.centre_hz)
        sizes = {"inner_m": 0.49 * high.half_wave_m, "outer_m": _outer_m(pair, trap_uh), "trap_uh": trap_uh}
        found += sifted(FAMILY, site, wishes, sizes, most=4)
    return found


FAMILY = Family(
    key="trap_dipole",
    title="Trap dipole, one pair",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    lengths=lengths,
    weak_point="Traps lose power near their resonance, narrow the lower band and hang their weight on the legs.",
)
