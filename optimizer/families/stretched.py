"""Centre-fed wires stretched between two holds: supports that stand there, or two masts of one's own; the feed hangs in the air.

The feed comes as near to the radio as the spare cord allows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from ..wires.model import Point3
from .choices import PAIR, Ground, remember
from .common import apex_foot
from .family import NoPlace
from .hanging import Leg, nearest_open, step
from .outline import BINS, DIRECTIONS, along, bearing_deg
from .placement import OUT_OF_REACH_M, plot_of
from .rig import hung_span
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


def stretched(rig, where, legs, nominal, half_gap_m) -> Hung:
    """Between two supports: a straight line through both tops, its feed as near to the radio as spare cord allows."""
    first, last = (next(p for p in rig.plot.places if p.name == n) for n in where.split(PAIR))
    return _taut(rig, rig.at_place(first), rig.at_place(last), where, legs, nominal, half_gap_m)


def _half_line_m(legs, half_gap_m=0.0) -> float:
    return 0.5 * sum(legs) + half_gap_m + TIE_M + 0.2


def two_masts_option(site, wishes, legs, apexes) -> tuple[str, ...]:
    """Offered where mast ground holds two masts that far apart."""
    if "mast" not in apexes:
        return ()

    def find():
        try:
            two_masts_ground(plot_of(site), legs).area(plot_of(site), wishes)
            return (TWO_MASTS,)
        except NoPlace:
            return ()

    return remember(plot_of(site), (TWO_MASTS, tuple(legs), wishes), find)


def two_masts_ground(plot, legs) -> Ground:
    """Ground from which, on one bearing at least, both ways lead to mast ground."""
    half = _half_line_m(legs)

    def missing(points, rooms):
        holds = plot.mast_area.outline.hold_mask
        ends = [holds((points[:, None] + way * half * DIRECTIONS).reshape(-1, 2)).reshape(len(points), BINS) for way in (1, -1)]
        return np.where((ends[0] & ends[1]).any(axis=1), -1.0, 0.5)

    return Ground((TWO_MASTS, round(half, 6)), missing)


def between_masts(rig, values, legs, nominal, ground, half_gap_m) -> Hung:
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
