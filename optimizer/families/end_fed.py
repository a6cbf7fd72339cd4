"""End-fed wires over one support: from a feed point over it to a tied-off end.

Shared by the end-fed families, with `end_fed_sloped` (straight up to a support) and `end_fed_return` (return path and closing). Mast and bearing hang on the nominal length only, so that trimming moves the end and nothing else.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..site.model import Site
from ..wires.model import Point3
from .choices import (
    APEX_LEAST_M,
    BEARING,
    apex_options,
    apex_parameters,
    choice,
    chosen,
    end_options,
    end_parameters,
    feed_options,
    line_parameters,
)
from .common import apex_foot, apex_top, conductor, fixed_feed, place_named
from .end_fed_ground import feed_missing, ground_both, ground_near, over_ground
from .family import NoPlace, Parameter
from .hanging import Leg, nearest_open
from .line_outside import FEED, RADIO
from .outline import DIRECTIONS, along, bearing_deg, rolled
from .planner import run_m
from .rig import APEX_MIN_DEG, Rig, sharper_deg
from .sharp import drop_share, least_deg, run_over_drop, sharp_at_need
from .standing import FEED_MIN_M, TIE_M

TAIL_LEAST_SHARE = 0.12  # of the wire, beyond its support; less is a sloping wire
STRAIGHT_SPARE = 1.035  # of the nominal wire, kept straight so that trimming moves no mast
GROUND_ENDS = ("free", "mast")
END_MAST_M = 6.0  # a light pole at the far end (common practice, no source)


@dataclass(frozen=True)
class Run:
    """A hung end-fed wire: points from the feed to the end, the leg that ends it, length up to the support."""

    points: tuple[Point3, ...]
    leg: Leg
    first_m: float
    apex: Point3

    @property
    def feed(self) -> Point3:
        return self.points[0]


def choke_parameters(site: Site) -> list[Parameter]:
    """`choke_at`: at the feed, with a counterpoise; or where the line enters the house, the line's outside up to it being the way back: hand-made starts have it there, for most do better so."""
    return choice("choke_at", (RADIO, FEED) if site.radio is not None else (FEED,))


def drooped_parameters(site: Site, wishes, wire_m: float) -> list[Parameter]:
    """Placement of a wire of `wire_m` over one support."""

    def structure(values):
        rig = Rig(site, wishes)
        return rig.structure((conductor("main", hang_over(rig, values, wire_m, wire_m).points),))

    return sharp_at_need(site, ("over", wire_m, wishes), lambda deg: placed_over(site, wishes, wire_m, deg), or_free_end(structure))


def placed_over(site: Site, wishes, wire_m: float, apex_deg: float = APEX_MIN_DEG) -> list[Parameter]:
    """Placement of a wire of at most `wire_m`, with apexes down to that angle."""
    feeds = feed_options(site, wishes)
    post = [
        Parameter(name="take_at", low=0.3, high=0.7),
        Parameter(name="turn_deg", low=-90.0, high=90.0),
    ]
    return [
        *apex_parameters(site, wishes, over_ground(site, wishes, wire_m, apex_deg), wire_m=wire_m, drop_share=drop_share(apex_deg)),
        *choice("feed_at", feeds),
        *(post if "post" in feeds else []),
        BEARING,
        *choice("end_at", end_options(site)),
        *end_parameters(site, wishes),
        *line_parameters(wishes),
        *choke_parameters(site),
    ]


def hang_over(rig: Rig, values, wire_m: float, nominal_m: float, longest_m: float | None = None) -> Run:
    """The wire from its feed over a support to its end. `longest_m`: what `drooped_parameters` was asked with."""
    longest_m = longest_m or nominal_m
    rig.apex_least_deg = least_deg(values)
    where = chosen(values, "apex_at", apex_options(rig.site, rig.wishes, over_ground(rig.site, rig.wishes, longest_m, rig.apex_least_deg)))
    feed_at = chosen(values, "feed_at", tuple(f for f in feed_options(rig.site, rig.wishes) if f != where))
    end_at = chosen(values, "end_at", tuple(e for e in end_options(rig.site) if e in GROUND_ENDS or e not in (where, feed_at)))
    hang = _over_from_post if feed_at == "post" else _over_from_fixed
    feed, apex, bearing, first, tail = hang(rig, values, where, feed_at, end_at, nominal_m, longest_m)
    rig.settled["bearing_deg"] = bearing
    length = wire_m - first
    if length <= 0.3:
        raise NoPlace("wire length", 0.3 - length, "nothing left beyond the support")
    if end_at == "free":
        leg = rig.leg(apex, bearing, length, rig.end_m, nominal_m=tail, cord_m=values["cord_m"])
    elif end_at == "mast":
        leg = _leg_to_mast(rig, apex, bearing, length, _end_of(rig, values, end_at)[0], tail, values["cord_m"])
    else:
        leg = rig.leg_to(apex, rig.at_place(place_named(rig, end_at)), length, end_at)
    rig.apex_ok(feed, apex, leg.points[0])
    rig.span(feed, [Leg((), (apex,), (first,), ""), leg])
    return Run((feed, apex, *leg.points), leg, first, apex)


def or_free_end(build):
    """`build(values, ...)`, and where the wanted end cannot hold that wire, the same with a free end."""

    def with_free_end(values, *lot):
        try:
            return build(values, *lot)
        except NoPlace:
            if values.get("end_at", "free") == "free":
                raise
            return build({**values, "end_at": "free"}, *lot)

    return with_free_end


def _leg_to_mast(rig, apex, bearing, length, height, tail, cord_m) -> Leg:
    """The tail to a mast of its own, as far out as the cord and the mast ground allow; that hangs on the nominal tail only."""
    for share in (1.0, 0.5, 0.0):
        cord = TIE_M + share * max(0.0, cord_m - TIE_M)
        foot = along(apex[:2], bearing, run_m(STRAIGHT_SPARE * tail + cord, apex[2] - height))
        if rig.plot.mast_area.outline.holds(foot):
            return rig.leg_to(apex, rig.stand(foot, height, "mast"), length, "mast")
    raise NoPlace("mast ground", rig.plot.mast_area.outline.outside_m(foot), "no mast may stand where the wire ends")


def _end_of(rig, values, end_at):
    """Height of the hold at the end, and its plan position where that is given."""
    if end_at == "free":
        return rig.end_m, None
    if end_at == "mast":
        return max(rig.end_m, min(END_MAST_M, rig.mast_limit_m)), None
    place = place_named(rig, end_at)
    return place.height_m, place.at_m


def _over_from_post(rig, values, where, feed_at, end_at, nominal, longest):
    """Feed on a post of one's own: (feed, apex, bearing of the tail, length to the apex, tail)."""
    first = values["take_at"] * nominal
    tail, turn = nominal - first, 180.0 + values["turn_deg"]
    end_m, end_xy = _end_of(rig, values, end_at)
    at, high = apex_foot(rig, values, where, ground_both(longest, rig.apex_least_deg))
    straight = math.cos(math.radians(values["turn_deg"]))

    def sharp(height):
        drops = height - FEED_MIN_M, height - end_m
        runs = [math.sqrt(max(line * line - d * d, 0.0)) for line, d in zip((first, tail + values["cord_m"]), drops)]
        return sharper_deg(runs, drops, straight, rig.apex_least_deg)

    apex = apex_top(rig, where, at, rig.blunt_height(high, min(high, APEX_LEAST_M), sharp))
    to_feed = run_m(first, apex[2] - FEED_MIN_M)
    missing = rolled(feed_missing(rig, apex, to_feed), -round(turn / 5.0))
    if end_xy is None:
        missing = np.maximum(missing, rig.missing(apex, tail, end_m, values["cord_m"], 1.01 * run_over_drop(rig.apex_least_deg)))
        bearing = nearest_open(values["bearing_deg"], missing <= 0)
    else:
        bearing = bearing_deg(apex, end_xy)
    if bearing is None:
        raise NoPlace("lot", float(missing.min()), "no bearing has room for both sides")
    feed = rig.stand(along(apex[:2], bearing + turn, to_feed), FEED_MIN_M, "feed post")
    return feed, apex, bearing, first, tail


def _over_from_fixed(rig, values, where, feed_at, end_at, nominal, longest):
    """Feed on the radio's wall or at a support: as `_over_from_post`."""
    feed = fixed_feed(rig, feed_at)
    end_m, end_xy = _end_of(rig, values, end_at)
    at, high = apex_foot(rig, values, where, ground_near(feed, longest, rig.apex_least_deg))
    run = math.dist(feed[:2], at)

    def tail_at(height):
        return nominal - math.hypot(run, height - feed[2])

    lacking = TAIL_LEAST_SHARE * nominal - tail_at(min(high, APEX_LEAST_M))
    if lacking > 0:
        raise NoPlace("wire length", lacking, "the support is too far from the feed")

    def sharp(height):
        drops, tail = (height - feed[2], height - end_m), tail_at(height)
        if tail < TAIL_LEAST_SHARE * nominal:
            return rig.apex_least_deg
        return sharper_deg((run, math.sqrt(max((tail + values["cord_m"]) ** 2 - drops[1] ** 2, 0.0))), drops, 1.0, rig.apex_least_deg)

    height = rig.blunt_height(high, min(high, APEX_LEAST_M), sharp)
    apex, tail = apex_top(rig, where, at, height), tail_at(height)
    if end_xy is not None:
        return feed, apex, bearing_deg(apex, end_xy), nominal - tail, tail
    missing = rig.missing(apex, tail, end_m, values["cord_m"], 0.0)
    drop = apex[2] - end_m
    tail_run = np.minimum(rig.plot.lot.rooms(apex), math.sqrt(max((tail + values["cord_m"]) ** 2 - drop * drop, 0.01)))
    back = np.array(feed[:2]) - np.array(at)
    lines = math.hypot(run, apex[2] - feed[2]) * np.hypot(tail_run, drop)
    cosines = (tail_run * (DIRECTIONS @ back) + (apex[2] - feed[2]) * drop) / lines
    sharp = rig.apex_least_deg - np.degrees(np.arccos(np.clip(cosines, -1.0, 1.0)))
    bearing = nearest_open(values["bearing_deg"], (missing <= 0) & (sharp <= 0))
    if bearing is None:
        if not (sharp <= 0).any():
            raise NoPlace("apex angle", float(sharp.min()), f"every way on from the support is sharper than {rig.apex_least_deg:.0f} degrees")
        raise NoPlace("lot", float(missing[sharp <= 0].min()), "no bearing has room for the tail")
    return feed, apex, bearing, nominal - tail, tail
