"""End-fed wire with two loaded pieces: half a wave on the highest band, a coil, a piece, a second coil and a tail.

Serves three wished bands, each 0.35 to 0.7 of the next: the wire up to the first coil is a half wave on the upper band,
with the piece up to the second coil on the middle band, with the tail on the lower one; also wished bands near a
multiple of the upper band. Trimmed from the feed outward, because what lies beyond a coil hardly moves the bands above.
"""

from __future__ import annotations

import math
from itertools import permutations

from ..physics.constants import TWO_PI
from ..wires.model import Load
from .bands import harmonics, heaviest, line_z0_ohm, loaded_outer_m, names, wished_bands
from .choices import fits, lacking_m, length, make_of, remember
from .design import LOADED_SLOPE, TrimStep
from .end_fed import or_free_end
from .end_fed_either import either_parameters, hang_either
from .end_fed_loaded_tail import COIL_OHM, LOW_SHARE, height_at
from .end_fed_return import RATIOS, finish_end_fed
from .family import Family, NoPlace, Parameter
from .lumped import buy_wound, coil, microhenry, with_stray_ohm
from .placement import OUT_OF_REACH_M, plot_of
from .rig import Rig
from .standing import POST_MAX_M
from .starts import sifted

USUAL_OHM = 1517.0  # 34 uH at 7.1 MHz (common practice, no source)


def _triples(wishes):
    def near(a, b):
        return LOW_SHARE[0] <= a.centre_hz / b.centre_hz <= LOW_SHARE[1]

    return [t for t in permutations(wished_bands(wishes), 3) if near(t[0], t[1]) and near(t[1], t[2])]


def _served(triple, wishes):
    return (*triple[:2], *harmonics(triple[2], [b for b in wished_bands(wishes) if b not in triple[:2]]))


def serves(wishes) -> tuple[str, ...]:
    triple = heaviest(_triples(wishes), lambda t: _served(t, wishes))
    return names(_served(triple, wishes)) if triple else ()


def _shortest_m(triple):
    return _total_m(triple, *_coils(triple, COIL_OHM[1]))


def _triple(site, wishes):
    plot = plot_of(site)

    def find():
        held = [t for t in _triples(wishes) if fits(plot, _shortest_m(t))]
        return heaviest(held, lambda t: _served(t, wishes))

    found = remember(plot, ("two coils", wishes), find)
    if found is None:
        raise NoPlace("lot", lacking_m(plot, (_shortest_m(t) for t in _triples(wishes))), "no three wished bands fit with two coils")
    return found


def _coils(triple, ohm):
    """First and second coil of that reactance on the middle and the lower band [uH]."""
    return microhenry(ohm, triple[1].centre_hz), microhenry(ohm, triple[0].centre_hz)


def _middle_m(triple, first_uh):
    _, middle, high = triple
    ohm = with_stray_ohm(round(2 * first_uh) / 2, middle.centre_hz)
    return loaded_outer_m(inner_m=high.half_wave_m, low_hz=middle.centre_hz, reactance_ohm=ohm, quarter=False)


def _tail_m(triple, first_uh, second_uh):
    """The first coil lengthens what lies before it: cot a' = cot a - X/Z0; then as with one coil."""
    low, _, high = triple
    piece, wave = _middle_m(triple, first_uh), low.wavelength_m
    before = TWO_PI * high.half_wave_m / wave
    cot = 1.0 / math.tan(before) - with_stray_ohm(round(2 * first_uh) / 2, low.centre_hz) / line_z0_ohm(high.half_wave_m)
    inner = math.atan2(1.0, cot) / TWO_PI * wave + piece
    ohm = with_stray_ohm(round(2 * second_uh) / 2, low.centre_hz)
    return loaded_outer_m(inner_m=inner, low_hz=low.centre_hz, reactance_ohm=ohm, quarter=False)


def _total_m(triple, first_uh, second_uh):
    return triple[2].half_wave_m + _middle_m(triple, first_uh) + _tail_m(triple, first_uh, second_uh)


def parameters(site, wishes):
    triple = _triple(site, wishes)
    small, large = (_coils(triple, x) for x in COIL_OHM)
    pieces = _middle_m(triple, large[0]), _middle_m(triple, small[0])
    tails = _tail_m(triple, *large), _tail_m(triple, *small)
    return (
        *either_parameters(site, wishes, _total_m(triple, *small), _shortest_m(triple)),
        length("main_m", triple[2].half_wave_m, 0.94, 1.08),
        Parameter(name="first_uh", low=small[0], high=large[0], log=True),
        Parameter(name="middle_m", low=0.6 * min(pieces), high=1.8 * max(pieces), log=True),
        Parameter(name="second_uh", low=small[1], high=large[1], log=True),
        Parameter(name="tail_m", low=0.6 * min(tails), high=1.2 * max(tails), log=True),
        Parameter(name="ratio", choices=RATIOS),
    )


@or_free_end
def build(values, site, wishes):
    triple = low, middle, high = _triple(site, wishes)
    rig = Rig(site, wishes)
    main, piece, tail = values["main_m"], values["middle_m"], values["tail_m"]
    first, second = (round(2 * values[n]) / 2 for n in ("first_uh", "second_uh"))
    longest = _total_m(triple, *_coils(triple, COIL_OHM[0]))
    run = hang_either(rig, values, main + piece + tail, _total_m(triple, first, second), longest)
    make = make_of(values)
    windings = ((main, first, coil(first, middle.centre_hz, make)), (main + piece, second, coil(second, low.centre_hz, make)))
    for at_m, microhenries, winding in windings:
        if height_at(run.points, at_m) < OUT_OF_REACH_M:
            raise NoPlace("coil height", OUT_OF_REACH_M - height_at(run.points, at_m))
        buy_wound(rig, winding, f"coil of {microhenries:g} microhenry")
    served = _served(triple, wishes)
    drops = run.leg.reachable
    trims = (
        TrimStep(
            element="wire up to the first coil", parameter="main_m", band=high.key, target_mhz=high.centre_mhz,
            reachable=run.feed[2] <= POST_MAX_M, disturbs=tuple(b.key for b in served if b is not high), note="at the feed end",
        ),
        TrimStep(
            element="piece between the coils", parameter="middle_m", slope=LOADED_SLOPE, band=middle.key, target_mhz=middle.centre_mhz,
            reachable=drops, disturbs=(low.key, high.key),
        ),
        TrimStep(
            element="tail beyond the second coil", parameter="tail_m", slope=LOADED_SLOPE, band=low.key, target_mhz=low.centre_mhz,
            reachable=drops, disturbs=(middle.key,),
        ),
    )  # fmt: skip
    return finish_end_fed(
        FAMILY, rig, run, values, low=low, ratio=values["ratio"], trims=trims,
        loads=tuple(Load(wire="main", at_m=at_m, element=winding.element()) for at_m, _, winding in windings),
        serves=names(served), detail=f"{high.name} with pieces for {middle.name} and {low.name}",
    )  # fmt: skip


def lengths(values, site, wishes):
    triple, first, second = _triple(site, wishes), values["first_uh"], values["second_uh"]
    return {"middle_m": _middle_m(triple, first), "tail_m": _tail_m(triple, first, second)}


def starts(site, wishes):
    """A first coil of less reactance, and two of the usual one; the loaded bands show most ohms, so 64:1 comes first."""
    triple, found = _triple(site, wishes), []
    for ohms in ((900.0, USUAL_OHM), (USUAL_OHM, USUAL_OHM)):
        first, second = microhenry(ohms[0], triple[1].centre_hz), microhenry(ohms[1], triple[0].centre_hz)
        sizes = {"main_m": triple[2].half_wave_m, "first_uh": first, "second_uh": second, "middle_m": _middle_m(triple, first)}
        found += sifted(FAMILY, site, wishes, sizes | {"tail_m": _tail_m(triple, first, second)}, most=4)
    return [{**s, "ratio": RATIOS[1 - i % 2]} for i, s in enumerate(found)]


FAMILY = Family(
    key="end_fed_two_coils",
    title="End-fed wire with two coils",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    lengths=lengths,
    weak_point="Both lower bands are narrow, each trimming step moves the next one, and two coils hang in the wire.",
)
