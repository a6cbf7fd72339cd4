"""Centre-fed wires: two legs off one support, or stretched between two; shared by all dipoles.

`apex_at` names a support in the middle, or a pair "A - B" between which the wire hangs with its feed in the air;
the feed as near to the radio as the spare cord allows. Placement hangs on the nominal legs only, so that trimming moves the ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from ..wires.model import Point3, Port
from .common import (
    APEX_LEAST_M,
    BEARING,
    PAIR,
    Ground,
    apex_foot,
    apex_options,
    apex_parameters,
    apex_top,
    choice,
    chosen,
    coax_feed,
    conductor,
    end_parameters,
    line_parameters,
    remember,
)
from .family import NoPlace, Parameter
from .hanging import BEND_IN_M, Leg, nearest_open, step
from .outline import BINS, DIRECTIONS, along, bearing_deg, rolled
from .placement import OUT_OF_REACH_M, plot_of
from .rig import APEX_MIN_DEG, Rig, hung_span, sharper_deg
from .sharp import drop_share, least_deg, run_over_drop, run_share, sharp_at_need
from .standing import TIE_M

TWO_MASTS = "two masts"


@dataclass(frozen=True)
class Hung:
    """Both legs from the centre outward."""

    centre: Point3
    back: Leg
    forward: Leg
    bearing_deg: float
    flat: bool = False

    @property
    def points(self) -> tuple[Point3, ...]:
        return (*reversed(self.back.points), self.centre, *self.forward.points)

    @property
    def reachable(self) -> bool:
        return self.back.reachable and self.forward.reachable


def pair_options(site, wire_m: float) -> tuple[str, ...]:
    """Pairs of supports between which that much wire can be stretched."""
    places = plot_of(site).places
    return tuple(
        f"{a.name}{PAIR}{b.name}"
        for a, b in combinations(places, 2)
        if math.dist(a.top_m, b.top_m) >= 1.03 * wire_m + 2 * TIE_M and min(a.height_m, b.height_m) >= OUT_OF_REACH_M
    )


def hung_options(site, wishes, legs, least_m=None, apex_deg=APEX_MIN_DEG) -> tuple[str, ...]:
    """Everything the middle or the ends may hang from; `legs`: the longest nominal ones; `least_m`: the shortest wire that other values
    may ask for, to be stretched between two supports; `apex_deg`: the sharpest apex allowed."""
    pairs = pair_options(site, least_m or sum(legs))
    try:
        apexes = apex_options(site, wishes, both_ways(legs, apex_deg))
        return (*apexes, *pairs, *_two_masts_option(site, wishes, legs, apexes))
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
        return _stretched(rig, where, legs, nominal, half_gap_m)
    if where == TWO_MASTS:
        return _between_masts(rig, values, legs, nominal, _two_masts_ground(rig.plot, longest), half_gap_m)
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


def _stretched(rig, where, legs, nominal, half_gap_m) -> Hung:
    """Between two supports: a straight line through both tops, its feed as near to the radio as spare cord allows."""
    first, last = (next(p for p in rig.plot.places if p.name == n) for n in where.split(PAIR))
    return _taut(rig, rig.at_place(first), rig.at_place(last), where, legs, nominal, half_gap_m)


def _half_line_m(legs, half_gap_m=0.0) -> float:
    return 0.5 * sum(legs) + half_gap_m + TIE_M + 0.2


def _two_masts_option(site, wishes, legs, apexes) -> tuple[str, ...]:
    """Offered where mast ground holds two masts that far apart."""
    if "mast" not in apexes:
        return ()

    def find():
        try:
            _two_masts_ground(plot_of(site), legs).area(plot_of(site), wishes)
            return (TWO_MASTS,)
        except NoPlace:
            return ()

    return remember(plot_of(site), (TWO_MASTS, tuple(legs), wishes), find)


def _two_masts_ground(plot, legs) -> Ground:
    """Ground from which, on one bearing at least, both ways lead to mast ground."""
    half = _half_line_m(legs)

    def missing(points, rooms):
        holds = plot.mast_area.outline.hold_mask
        ends = [holds((points[:, None] + way * half * DIRECTIONS).reshape(-1, 2)).reshape(len(points), BINS) for way in (1, -1)]
        return np.where((ends[0] & ends[1]).any(axis=1), -1.0, 0.5)

    return Ground((TWO_MASTS, round(half, 6)), missing)


def _between_masts(rig, values, legs, nominal, ground, half_gap_m) -> Hung:
    """Between two masts of one's own, the middle of their line at the place that is searched."""
    at, high = apex_foot(rig, values, "mast", ground)
    half = _half_line_m(nominal, half_gap_m)
    middle, area = np.array(at), rig.plot.mast_area.outline
    stand = area.hold_mask(middle + DIRECTIONS * half) & area.hold_mask(middle - DIRECTIONS * half)
    bearing = nearest_open(values["bearing_deg"], stand)
    if bearing is None:
        ends = [[area.outside_m(e) for e in middle + way * half * DIRECTIONS] for way in (1, -1)]
        raise NoPlace("mast ground", min(map(max, zip(*ends))), "no two masts that far apart")
    feet = [along(at, bearing + turn, half) for turn in (180.0, 0.0)]
    for foot in feet:
        if not area.holds(foot):
            raise NoPlace("mast ground", area.outside_m(foot), "no mast may stand at the wire's end")
    rig.settled |= {"bearing_deg": bearing, "apex_m": high}
    a, b = (rig.stand(foot, high, "mast") for foot in feet)
    return _taut(rig, a, b, TWO_MASTS, legs, nominal, half_gap_m)


def _taut(rig, a: Point3, b: Point3, where, legs, nominal, half_gap_m) -> Hung:
    """A straight wire with cords between two holds."""
    distance = math.dist(a, b)
    spare = distance - sum(nominal) - 2 * half_gap_m - 2 * TIE_M
    first_m = TIE_M + nominal[0] + half_gap_m
    middle = min(max(_abreast_m(rig.site, a, b), first_m), first_m + max(spare, 0.0))
    cords = (middle - half_gap_m - legs[0], distance - middle - half_gap_m - legs[1])
    if min(cords) < 0.2:
        raise NoPlace("wire length", 0.2 - min(cords), f"{where} are too near for that wire")
    ends = step(a, b, cords[0]), step(b, a, cords[1])
    low = min(e[2] for e in ends)
    if low < OUT_OF_REACH_M:
        raise NoPlace("end height", OUT_OF_REACH_M - low)
    for hold, end in zip((a, b), ends):
        rig.cords.append((end, hold))
        rig.buy("insulator_end", "wire end")
        rig.buy("cord_2mm", "wire end", math.dist(end, hold) + hold[2] + 1.0)
    back = Leg((ends[0],), (a,), (middle,), where)
    forward = Leg((ends[1],), (b,), (distance - middle,), where)
    rig.lines.append((a, b))
    rig.spans.append(hung_span((a, b), (distance,)))
    return Hung(step(a, b, middle), back, forward, bearing_deg(a, b), flat=True)


def _abreast_m(site, a: Point3, b: Point3) -> float:
    """Where along the line from a to b the radio, or without one the lot's middle, lies abreast [m]."""
    x, y = site.radio.at_m if site.radio else plot_of(site).centre
    share = ((x - a[0]) * (b[0] - a[0]) + (y - a[1]) * (b[1] - a[1])) / math.dist(a[:2], b[:2]) ** 2
    return share * math.dist(a, b)


def one_wire(rig: Rig, hung: Hung, legs) -> tuple[tuple, Port]:
    """Both legs as one wire, fed where they meet."""
    rig.buy("insulator_centre", "feed point")
    rig.buy("strain_relief", "feed point", 2)
    return (conductor("main", hung.points),), Port(name="feed", wire="main", at_m=legs[0])


def balanced_feed(rig: Rig, values, hung: Hung, low_hz: float, *, ratio: int | None = None):
    """Coaxial line with a choke at the middle; a transformer of `ratio` where asked."""
    return coax_feed(rig, values, hung.centre, low_hz, ratio=ratio)
