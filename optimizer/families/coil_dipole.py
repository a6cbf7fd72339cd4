"""Coil-shortened dipole: a coil in either leg replaces wire the lot has no room for.

Serves one wished band: the heaviest, the lowest of equals, whose half wave shortened to 0.55 the lot holds. The coils
sit 0.3 to 0.7 of the way out; farther out they need more inductance and carry less current.
"""

from __future__ import annotations

from ..wires.model import Load
from .bands import heaviest, loaded_outer_m, names, wished_bands
from .centre_fed import balanced_feed, centre_parameters, hang, one_wire
from .choices import fits, lacking_m, make_of, remember
from .common import close
from .design import LOADED_SLOPE, TrimStep
from .family import Family, NoPlace, Parameter
from .lumped import buy_wound, coil, microhenry, with_stray_ohm
from .placement import plot_of
from .rig import Rig
from .starts import sifted

SHORTEST = 0.55
COIL_OHM = (150.0, 1200.0)
INNER = (0.3, 0.6)  # inner leg over the full quarter wave


def serves(wishes) -> tuple[str, ...]:
    band = heaviest(wished_bands(wishes), lambda b: (b,))
    return (band.name,) if band else ()


def _base(site, wishes):
    plot = plot_of(site)

    def find():
        return heaviest([b for b in wished_bands(wishes) if fits(plot, SHORTEST * b.half_wave_m)], lambda b: (b,))

    found = remember(plot, ("coil dipole", wishes), find)
    if found is None:
        raise NoPlace("lot", lacking_m(plot, (SHORTEST * b.half_wave_m for b in wished_bands(wishes))), "no shortened half wave fits")
    return found


def _outer_m(base, inner_m, coil_uh):
    ohm = with_stray_ohm(round(2 * coil_uh) / 2, base.centre_hz)
    return loaded_outer_m(inner_m=inner_m, low_hz=base.centre_hz, reactance_ohm=ohm, quarter=True)


def _extremes(base):
    """Shortest and longest outer leg, shortest and longest whole leg [m]."""
    quarter = base.half_wave_m / 2
    coils = [microhenry(x, base.centre_hz) for x in COIL_OHM]
    outers = [_outer_m(base, i * quarter, c) for i in INNER for c in coils]
    wholes = [i * quarter + _outer_m(base, i * quarter, c) for i in INNER for c in coils]
    return min(outers), max(outers), min(wholes), max(wholes)


def parameters(site, wishes):
    base = _base(site, wishes)
    quarter = base.half_wave_m / 2
    shortest, longest, least, most = _extremes(base)
    coils = [microhenry(x, base.centre_hz) for x in COIL_OHM]
    return (
        *centre_parameters(site, wishes, 2 * most, least_m=2 * least),
        Parameter(name="inner_m", low=INNER[0] * quarter, high=INNER[1] * quarter),
        Parameter(name="coil_uh", low=coils[0], high=coils[1], log=True),
        Parameter(name="outer_m", low=0.8 * shortest, high=1.1 * longest),
    )


def build(values, site, wishes):
    base = _base(site, wishes)
    rig = Rig(site, wishes)
    inner, coil_uh = values["inner_m"], round(2 * values["coil_uh"]) / 2
    legs = (inner + values["outer_m"],) * 2
    least, most = _extremes(base)[2:]
    hung = hang(rig, values, legs, (inner + _outer_m(base, inner, coil_uh),) * 2, longest=(most,) * 2, least_m=2 * least)
    wires, port = one_wire(rig, hung, legs)
    winding = coil(coil_uh, base.centre_hz, make_of(values))
    buy_wound(rig, winding, f"coils of {coil_uh:g} microhenry", 2)
    loads = tuple(Load(wire="main", at_m=legs[0] + side * inner, element=winding.element()) for side in (-1, 1))
    trims = (
        TrimStep(
            element="outer ends, both alike", parameter="outer_m", slope=LOADED_SLOPE, band=base.key, target_mhz=base.centre_mhz,
            reachable=hung.reachable,
        ),
    )  # fmt: skip
    feed = balanced_feed(rig, values, hung, base.low_hz)
    return close(
        FAMILY, rig, values, wires, port=port, feed=feed, trims=trims, loads=loads, serves=names((base,)), detail=base.name
    )


def lengths(values, site, wishes):
    return {"outer_m": _outer_m(_base(site, wishes), values["inner_m"], values["coil_uh"])}


def starts(site, wishes):
    base = _base(site, wishes)
    found, inner = [], 0.25 * base.half_wave_m
    for ohm in (450.0, 900.0):
        coil_uh = microhenry(ohm, base.centre_hz)
        sizes = {"inner_m": inner, "coil_uh": coil_uh, "outer_m": _outer_m(base, inner, coil_uh)}
        found += sifted(FAMILY, site, wishes, sizes, most=4)
    return found


FAMILY = Family(
    key="coil_dipole",
    title="Coil-shortened dipole",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    lengths=lengths,
    weak_point="One narrow band; the coils cost power and their weight pulls the legs down.",
)
