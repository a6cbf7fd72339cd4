"""Top-loaded vertical: a wire up a pole too short for a quarter wave, completed by two wires sloping from its top.

Serves one wished band: the heaviest, the lowest of equals, whose quarter wave does not stand up under the mast limit
while 0.35 of it does. The two top wires leave opposite ways where there is room, carry little radiating current, and are trimmed
alike. Their start is the open-line picture: with equal characteristic impedances tan(top) = 1/(2 tan(up)).
"""

from __future__ import annotations

import math

from ..physics.constants import TWO_PI
from ..wires.model import Port
from .bands import heaviest, names, wished_bands
from .choices import APEX_LEAST_M, end_parameters, limit_m, remember
from .common import close, coax_feed, conductor
from .design import TrimStep
from .family import Family, NoPlace, Parameter
from .hanging import Leg
from .placement import plot_of
from .radials import LYING_M, foot_m, lay, quarter_m, radial_words
from .starts import sifted
from .upright import bent_radials, mast_parameters, straight_up_m, top_leg, under_a_mast, usual_radials

UP_LEAST = 0.35  # of a quarter wave
CLOSEST_DEG = 60.0  # between the two top wires


def serves(wishes) -> tuple[str, ...]:
    base = heaviest(wished_bands(wishes), lambda b: (b,))
    return names((base,)) if base else ()


def _base(site, wishes):
    high = limit_m(site, wishes) - LYING_M

    def find():
        bands = [b for b in wished_bands(wishes) if UP_LEAST * quarter_m(b) <= high < straight_up_m(b)]
        return heaviest(bands, lambda b: (b,))

    found = remember(plot_of(site), ("top-loaded", wishes), find)
    if found is None:
        short = min(max(UP_LEAST * quarter_m(b) - high, high - straight_up_m(b)) for b in wished_bands(wishes))
        raise NoPlace("mast height", short, "no wished band between a third and a whole quarter wave of mast")
    return found


def _top_m(base, up_m: float) -> float:
    angle = TWO_PI * up_m / base.wavelength_m
    return base.wavelength_m / TWO_PI * math.atan(0.5 / math.tan(angle))


def _heights(site, wishes, base):
    high = min(limit_m(site, wishes), LYING_M + 0.95 * quarter_m(base))
    return max(APEX_LEAST_M, 0.7 * high), high


def parameters(site, wishes):
    base = _base(site, wishes)
    low, high = _heights(site, wishes, base)
    return (
        *mast_parameters(site, wishes, base, bent_radials(site, wishes, base)),
        Parameter(name="apex_m", low=min(low, 0.95 * high), high=high),
        Parameter(name="tail_deg", low=0.0, high=360.0), *end_parameters(site, wishes),
        Parameter(name="top_m", low=0.3 * _top_m(base, high), high=1.4 * _top_m(base, max(0.5, low - 2.6))),
    )  # fmt: skip


def build(values, site, wishes):
    base = _base(site, wishes)
    rig, radials, top, foot = under_a_mast(values, site, wishes, base)
    up = top[2] - foot[2]
    nominal = _top_m(base, up)
    first = top_leg(rig, values, top, values["top_m"], nominal)
    second = top_leg(rig, values, top, values["top_m"], nominal, turn=180.0)
    sharp = CLOSEST_DEG - _apart_deg(top, first, second)
    if sharp > 0:
        raise NoPlace("apex angle", sharp, "no room for two top wires that lead apart")
    rig.span(foot, [Leg((), (top,), (up,), ""), first])
    rig.span(top, [second])
    lying = lay(rig, values, base, foot, radials)
    tops = [conductor(f"top {i}", (top, *leg.points)) for i, leg in enumerate((first, second), start=1)]
    trims = (
        TrimStep(
            element="both top wires, alike", parameter="top_m", band=base.key, target_mhz=base.centre_mhz,
            reachable=first.reachable and second.reachable, note="radials stay as cut",
        ),
    )  # fmt: skip
    rig.buy("strain_relief", "feed point", 1 + len(lying))
    rig.buy("strain_relief", "top", 2)
    feed = coax_feed(rig, values, foot, base.low_hz)
    return close(
        FAMILY, rig, values, (conductor("main", (foot, top)), *tops, *lying), port=Port(name="feed", wire="main", at_m=0.0),
        feed=feed, trims=trims, serves=(base.name,), detail=f"{base.name}, {radial_words(radials)}",
    )  # fmt: skip


def _apart_deg(top, first: Leg, second: Leg) -> float:
    ways = [math.atan2(leg.points[0][1] - top[1], leg.points[0][0] - top[0]) for leg in (first, second)]
    return abs((math.degrees(ways[0] - ways[1]) + 180.0) % 360.0 - 180.0)


def starts(site, wishes):
    base = _base(site, wishes)
    found = []
    for radials in usual_radials(FAMILY, site, wishes):
        up = _heights(site, wishes, base)[1] - foot_m(radials, base)
        found += sifted(FAMILY, site, wishes, {"top_m": 0.9 * _top_m(base, max(up, 0.5)), "radials": radials}, most=4)
    return found


FAMILY = Family(
    key="top_loaded_vertical",
    title="Top-loaded vertical",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    weak_point="One band, a low feed resistance that makes every ohm in the soil count, and poor for near contacts.",
)
