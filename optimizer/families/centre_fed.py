"""Centre-fed wires: two legs off one support, or stretched between two; shared by all dipoles.

`apex_at` names a support in the middle, or a pair "A - B" between which the wire hangs with its feed in the air;
the feed as near to the radio as the spare cord allows. Placement hangs on the nominal legs only, so that trimming moves the ends.
"""

from __future__ import annotations

import math

import numpy as np

from ..wires.model import Point3, Port
from .choices import (
    APEX_LEAST_M,
    BEARING,
    PAIR,
    Ground,
    apex_options,
    apex_parameters,
    choice,
    chosen,
    end_parameters,
    line_parameters,
)
from .common import apex_foot, apex_top, coax_feed, conductor
from .family import NoPlace, Parameter
from .hanging import BEND_IN_M, nearest_open
from .outline import BINS, along, rolled
from .rig import APEX_MIN_DEG, Rig, sharper_deg
from .sharp import drop_share, least_deg, run_over_drop, run_share, sharp_at_need
from .stretched import TWO_MASTS, Hung, between_masts, pair_options, stretched, two_masts_ground, two_masts_option


def hung_options(site, wishes, legs, least_m=None, apex_deg=APEX_MIN_DEG) -> tuple[str, ...]:
    """Everything the middle or the ends may hang from; `legs`: the longest nominal ones; `least_m`: the shortest wire that other values
    may ask for, to be stretched between two supports; `apex_deg`: the sharpest apex allowed."""
    pairs = pair_options(site, least_m or sum(legs))
    try:
        apexes = apex_options(site, wishes, both_ways(legs, apex_deg))
        return (*apexes, *pairs, *two_masts_option(site, wishes, legs, apexes))
    except NoPlace:
        if not pairs:
            raise
        return pairs


def centre_parameters(site, wishes, wire_m: float, legs=None, least_m=None) -> list[Parameter]:
    """Placement of a wire of at most `wire_m`; `legs` (equal halves if not given) and `least_m` as in `hung_options`."""
    legs = legs or (wire_m / 2,) * 2
    shortest = (least_m / 2,) * 2 if least_m else legs

    def structure(values):
        rig = Rig(site, wishes)
        hung = hang(rig, values, shortest, shortest, longest=legs, least_m=least_m)
        return rig.structure((conductor("main", hung.points),))

    return sharp_at_need(site, ("centre", *legs, least_m, wishes), lambda deg: _placed(site, wishes, wire_m, legs, least_m, deg), structure)


def _placed(site, wishes, wire_m, legs, least_m, apex_deg) -> list[Parameter]:
    """Placement with apexes down to that angle."""
    pairs, ground = pair_options(site, least_m or wire_m), both_ways(legs, apex_deg)
    try:
        asked = apex_parameters(site, wishes, ground, wire_m=wire_m, drop_share=drop_share(apex_deg))
        apex = [p for p in asked if p.name != "apex_at"]
    except NoPlace:
        if not pairs:
            raise
        return [*choice("apex_at", pairs), *line_parameters(wishes)]
    return [
        *choice("apex_at", hung_options(site, wishes, legs, least_m, apex_deg)),
        *apex,
        BEARING,
        Parameter(name="turn_deg", low=-60.0, high=60.0),
        *end_parameters(site, wishes),
        *line_parameters(wishes),
    ]


def hang(rig: Rig, values, legs: tuple[float, float], nominal: tuple[float, float], half_gap_m=0.0, longest=None, least_m=None) -> Hung:
    """Both legs of given lengths; each begins `half_gap_m` from the centre, along the line.

    `longest`: the legs that `centre_parameters` was asked with, where they are not the nominal ones; `least_m` as there.
    """
    longest = longest or nominal
    rig.apex_least_deg = apex_deg = least_deg(values)
    where = chosen(values, "apex_at", hung_options(rig.site, rig.wishes, longest, least_m, apex_deg))
    if PAIR in where:
        return stretched(rig, where, legs, nominal, half_gap_m)
    if where == TWO_MASTS:
        return between_masts(rig, values, legs, nominal, two_masts_ground(rig.plot, longest), half_gap_m)
    at, high = apex_foot(rig, values, where, both_ways(longest, apex_deg))
    turn, end_m, cord_m = 180.0 + values["turn_deg"], rig.end_m, values["cord_m"]
    straight = math.cos(math.radians(values["turn_deg"]))
    lines = [n + cord_m for n in nominal]

    def sharp(height):
        drop = max(height - end_m, 0.0)
        return sharper_deg([math.sqrt(max(line * line - drop * drop, 0.0)) for line in lines], (drop, drop), straight, apex_deg)

    centre = apex_top(rig, where, at, rig.blunt_height(high, min(high, APEX_LEAST_M), sharp))
    blunt = 1.01 * run_over_drop(apex_deg, straight)
    back_missing = rig.missing(centre, nominal[0], end_m, cord_m, blunt)
    missing = np.maximum(
        back_missing if nominal[1] == nominal[0] else rig.missing(centre, nominal[1], end_m, cord_m, blunt),
        rolled(back_missing, -round(turn / 5.0)),
    )
    bearing = nearest_open(values["bearing_deg"], missing <= 0)
    if bearing is None:
        raise NoPlace("lot", float(missing.min()), "no bearing has room for both legs")
    rig.settled["bearing_deg"] = bearing
    starts = [gap_end(centre, bearing + extra, half_gap_m) for extra in (turn, 0.0)]
    back = rig.leg(starts[0], bearing + turn, legs[0], end_m, nominal_m=nominal[0], cord_m=cord_m)
    forward = rig.leg(starts[1], bearing, legs[1], end_m, nominal_m=nominal[1], cord_m=cord_m)
    rig.apex_ok(back.points[0], centre, forward.points[0])
    rig.double_span(back, centre, forward, starts)
    return Hung(centre, back, forward, bearing)


def both_ways(legs, apex_deg: float = APEX_MIN_DEG) -> Ground:
    """Ground with room for both legs, one each way, with an apex of that angle."""
    need = [0.5 * run_share(apex_deg) * leg + BEND_IN_M for leg in legs]

    def missing(points, rooms):
        return np.maximum(need[1] - rooms, need[0] - np.roll(rooms, BINS // 2, axis=1)).min(axis=1)

    return Ground(("both ways", *need), missing)


def gap_end(centre: Point3, bearing: float, half_gap_m: float) -> Point3:
    return (*along(centre, bearing, half_gap_m), centre[2]) if half_gap_m else centre


def one_wire(rig: Rig, hung: Hung, legs) -> tuple[tuple, Port]:
    """Both legs as one wire, fed where they meet."""
    rig.buy("insulator_centre", "feed point")
    rig.buy("strain_relief", "feed point", 2)
    return (conductor("main", hung.points),), Port(name="feed", wire="main", at_m=legs[0])


def balanced_feed(rig: Rig, values, hung: Hung, low_hz: float, *, ratio: int | None = None):
    """Coaxial line with a choke at the middle; a transformer of `ratio` where asked."""
    return coax_feed(rig, values, hung.centre, low_hz, ratio=ratio)
