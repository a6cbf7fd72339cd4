"""End-fed wire with a loaded tail: half a wave on an upper band, a coil, and a short tail that completes a lower band.

Serves the lower band through coil and tail, the upper band because the coil all but ends the wire there, and every
wished band near a multiple of the upper one. The coil's stray capacitance decides how far the upper band shifts and
how long the tail is: both lengths are trimmed by computation, first the wire to the upper band, then the tail to the
lower one. Lower bands from 0.35 to 0.7 of the upper one (common practice: half; no source).
"""

from __future__ import annotations

from itertools import permutations

from ..wires.model import Load
from .bands import harmonics, heaviest, loaded_outer_m, names, wished_bands
from .choices import length, make_of
from .design import LOADED_SLOPE, TrimStep
from .end_fed import or_free_end
from .end_fed_either import either_parameters, hang_either
from .end_fed_return import RATIOS, finish_end_fed
from .family import Family, NoPlace, Parameter
from .lumped import buy_wound, coil, microhenry, with_stray_ohm
from .placement import OUT_OF_REACH_M
from .rig import Rig
from .standing import POST_MAX_M
from .starts import cut_for, sifted

LOW_SHARE = (0.35, 0.7)  # lower band over upper band
COIL_OHM = (900.0, 2600.0)  # reactance on the lower band; 34 uH at 7.1 MHz is 1517 ohm
HAND_M = 2.0


def _pairs(wishes):
    bands = wished_bands(wishes)
    return [(a, b) for a, b in permutations(bands, 2) if LOW_SHARE[0] <= a.centre_hz / b.centre_hz <= LOW_SHARE[1]]


def _served(pair, wishes):
    low, high = pair
    return (low, *harmonics(high, [b for b in wished_bands(wishes) if b is not low]))


def serves(wishes) -> tuple[str, ...]:
    pair = heaviest(_pairs(wishes), lambda p: _served(p, wishes))
    return names(_served(pair, wishes)) if pair else ()


def _shortest_m(pair):
    return pair[1].half_wave_m + 0.06 * pair[0].wavelength_m


def _pair(site, wishes):
    """The pair that serves most weight among those the lot holds; the lowest of equals."""
    return cut_for(FAMILY, site, wishes, lambda: _pairs(wishes), _shortest_m, lambda p: _served(p, wishes), "no wished pair of bands fits with a loaded tail")


def _tail_m(pair, coil_uh):
    low, high = pair
    ohm = with_stray_ohm(round(2 * coil_uh) / 2, low.centre_hz)
    return loaded_outer_m(inner_m=high.half_wave_m, low_hz=low.centre_hz, reactance_ohm=ohm, quarter=False)


def _longest_m(pair):
    return pair[1].half_wave_m + _tail_m(pair, microhenry(COIL_OHM[0], pair[0].centre_hz))


def parameters(site, wishes):
    pair = low, high = _pair(site, wishes)
    coils = [microhenry(x, low.centre_hz) for x in COIL_OHM]
    return (
        *either_parameters(site, wishes, _longest_m(pair), _shortest_m(pair)),
        length("main_m", high.half_wave_m, 0.94, 1.08),
        Parameter(name="coil_uh", low=coils[0], high=coils[1], log=True),
        Parameter(name="tail_m", low=0.5 * _tail_m(pair, coils[1]), high=1.2 * _tail_m(pair, coils[0]), log=True),
        Parameter(name="ratio", choices=RATIOS),
    )


@or_free_end
def build(values, site, wishes):
    pair = low, high = _pair(site, wishes)
    rig = Rig(site, wishes)
    main, tail, coil_uh = values["main_m"], values["tail_m"], round(2 * values["coil_uh"]) / 2
    run = hang_either(rig, values, main + tail, high.half_wave_m + _tail_m(pair, coil_uh), _longest_m(pair))
    wire_high = height_at(run.points, main)
    if wire_high < OUT_OF_REACH_M:
        raise NoPlace("coil height", OUT_OF_REACH_M - wire_high)
    winding = coil(coil_uh, low.centre_hz, make_of(values))
    buy_wound(rig, winding, f"coil of {coil_uh:g} microhenry")
    others = tuple(b.key for b in _served(pair, wishes) if b is not high)
    drops = run.leg.reachable and run.apex[2] - (main - run.first_m) <= HAND_M
    trims = (
        TrimStep(
            element="wire up to the coil", parameter="main_m", band=high.key, target_mhz=high.centre_mhz,
            reachable=drops or run.feed[2] <= POST_MAX_M, disturbs=others, note="at the feed end; the tail follows after it",
        ),
        TrimStep(
            element="tail beyond the coil", parameter="tail_m", slope=LOADED_SLOPE, band=low.key, target_mhz=low.centre_mhz,
            reachable=run.leg.reachable, disturbs=(high.key,), note="a centimetre moves the lower band by kilohertz",
        ),
    )  # fmt: skip
    return finish_end_fed(
        FAMILY, rig, run, values, low=low, ratio=values["ratio"], trims=trims,
        loads=(Load(wire="main", at_m=main, element=winding.element()),),
        serves=names(_served(pair, wishes)), detail=f"{high.name} with a tail for {low.name}",
    )  # fmt: skip


def height_at(points, at_m):
    from ..wires.model import Wire

    return Wire(name="", points_m=points, radius_m=1e-3).point_at(at_m)[2]


def lengths(values, site, wishes):
    return {"tail_m": _tail_m(_pair(site, wishes), values["coil_uh"])}


def starts(site, wishes):
    pair = low, high = _pair(site, wishes)
    coil_uh = microhenry(1517.0, low.centre_hz)
    sizes = {
        "main_m": high.half_wave_m, "coil_uh": coil_uh, "tail_m": _tail_m(pair, coil_uh),
    }  # fmt: skip
    found = sifted(FAMILY, site, wishes, sizes)
    return [{**s, "ratio": RATIOS[(i + 1) % 2]} for i, s in enumerate(found)]  # the loaded bands show most


FAMILY = Family(
    key="end_fed_loaded_tail",
    title="End-fed wire with a loaded tail",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    lengths=lengths,
    weak_point="The lower band is only tens of kilohertz wide and moves with every centimetre of tail, rain and sway.",
)
