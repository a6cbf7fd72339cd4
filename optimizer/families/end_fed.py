"""End-fed wires: from a feed point over one support (or up to it) to a tied-off end, with their counterpoise.

Shared by the end-fed families. The return path is a counterpoise of about 0.05 wavelength (common practice, no
source) joined to the first point of the wire; the port sits at the wire's own beginning, in series between the two.
Mast and bearing hang on the nominal length only, so that trimming moves the end and nothing else.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..parts.catalogue import transformer_for
from ..site.model import Site
from ..wires.model import Point3, Port
from .bands import Band
from .common import (
    BEARING,
    apex_parameters,
    apex_top,
    choice,
    chosen,
    close,
    coax_feed,
    conductor,
    end_height,
    end_options,
    feed_options,
    fixed_feed,
    place_named,
)
from .family import NoPlace, Parameter
from .placement import DIRECTIONS, along, bearing_deg
from .planner import run_m
from .rig import BEND_IN_M, FEED_MIN_M, FOLD_SHARE, POST_MAX_M, TIE_M, Leg, Rig, nearest_open

TAIL_LEAST_SHARE = 0.12  # of the wire, beyond its support; less is a sloping wire
RATIOS = (49, 64)


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


def drooped_parameters(site: Site, wishes, wire_m: float) -> list[Parameter]:
    """Placement of a wire over one support."""
    feeds = feed_options(site, wishes)
    post = [
        Parameter(name="take_at", low=0.3, high=0.7),
        Parameter(name="turn_deg", low=-90.0, high=90.0),
    ]
    return [
        *apex_parameters(site, wishes, wire_m=wire_m),
        *choice("feed_at", feeds),
        *(post if "post" in feeds else []),
        BEARING,
        *choice("end_at", end_options(site)),
        end_height(site, wishes),
    ]


def counterpoise_parameter(low: Band) -> Parameter:
    return Parameter(name="counterpoise_m", low=0.03 * low.wavelength_m, high=0.10 * low.wavelength_m)


def hang_over(rig: Rig, values, wire_m: float, nominal_m: float) -> Run:
    """The wire from its feed over a support to its end."""
    apex, where = apex_top(rig, values)
    feed_at = chosen(values, "feed_at", tuple(f for f in feed_options(rig.site, rig.wishes) if f != where))
    end_at = chosen(values, "end_at", end_options(rig.site))
    if feed_at == "post":
        first, bearing, feed = _post_feed(rig, values, apex, nominal_m, end_at)
    else:
        feed = fixed_feed(rig, feed_at)
        first = math.dist(feed, apex)
        tail = nominal_m - first
        if tail < TAIL_LEAST_SHARE * nominal_m:
            raise NoPlace("wire length", TAIL_LEAST_SHARE * nominal_m - tail, "the support is too far from the feed")
        bearing = _tail_bearing(rig, values, apex, feed, tail) if end_at == "free" else 0.0
    leg = _end(rig, values, apex, bearing, wire_m - first, end_at, (where, feed_at))
    rig.apex_ok(feed, apex, leg.points[0])
    rig.span(feed, [Leg((), (apex,), (first,), ""), leg])
    return Run((feed, apex, *leg.points), leg, first, apex)


def _end(rig, values, apex, bearing, length, end_at, used) -> Leg:
    if length <= 0.3:
        raise NoPlace("wire length", 0.3 - length, "nothing left beyond the support")
    if end_at == "free":
        return rig.leg(apex, bearing, length, values["end_m"])
    if end_at in used:
        raise NoPlace("end_at", 0.1, f"{end_at} is in use already")
    return rig.leg_to(apex, rig.at_place(place_named(rig, end_at)), length, end_at)


def _post_feed(rig, values, apex, nominal, end_at):
    """Feed on a post of one's own: (length to the support, bearing of the tail, feed point)."""
    first = values["take_at"] * nominal
    to_feed = run_m(first, apex[2] - FEED_MIN_M)
    turn = 180.0 + values["turn_deg"]
    rooms = rig.plot.lot.rooms(apex)
    if end_at == "free":
        tail = run_m(nominal - first, apex[2] - values["end_m"])
        bearing = values["bearing_deg"]
    else:
        tail, bearing = 0.0, bearing_deg(apex, place_named(rig, end_at).at_m)
    feed_rooms = np.roll(rooms, -round(turn / 5.0))
    feed_ok = feed_rooms >= to_feed + 0.3
    ok = feed_ok & (rooms >= tail * (1 - FOLD_SHARE) + BEND_IN_M)
    if end_at == "free":
        bearing = nearest_open(bearing, ok)
    if bearing is None:
        missing = np.minimum(feed_rooms - to_feed - 0.3, rooms - tail * (1 - FOLD_SHARE) - BEND_IN_M)
        raise NoPlace("lot", float(-missing.max()), "no bearing has room for both sides")
    feed = rig.stand(along(apex[:2], bearing + turn, to_feed), FEED_MIN_M, "feed post")
    return first, bearing, feed


def _tail_bearing(rig, values, apex, feed, tail) -> float:
    """The nearest bearing with room and an apex that is not too sharp."""
    run = run_m(tail, apex[2] - values["end_m"])
    rooms = rig.plot.lot.rooms(apex)
    missing = run * (1 - FOLD_SHARE) + BEND_IN_M - rooms
    back = [f - a for f, a in zip(feed, apex)]
    blunt = run * (DIRECTIONS @ np.array(back[:2])) + back[2] * (values["end_m"] - apex[2]) <= 0
    bearing = nearest_open(values["bearing_deg"], (missing <= 0) & blunt)
    if bearing is None:
        if not blunt.any():
            raise NoPlace("apex angle", 5.0, "every way on from the support is sharper than a right angle")
        raise NoPlace("lot", max(0.01, float(missing[blunt].min())), "no bearing has room for the tail")
    return bearing


def hang_sloped(rig: Rig, values, wire_m: float, nominal_m: float) -> Run:
    """A straight wire from its feed up to a support, a cord taking what is left."""
    wanted = nominal_m * 1.06 + TIE_M + 0.1
    options = feed_options(rig.site, rig.wishes)
    feed_at = chosen(values, "feed_at", options)
    if feed_at == "post":
        top, where = apex_top(rig, values)
        run = run_m(wanted, top[2] - FEED_MIN_M)
        bearing = _straight_bearing(rig, top, values["bearing_deg"], run + 0.3)
        feed = rig.stand(along(top[:2], bearing, run), FEED_MIN_M, "feed post")
    else:
        feed = fixed_feed(rig, feed_at)
        top, where = _top_from(rig, values, feed, feed_at, wanted)
    leg = rig.leg_to(feed, top, wire_m, where)
    rig.span(feed, [leg])
    return Run((feed, *leg.points), leg, 0.0, top)


def _straight_bearing(rig, start, wanted_deg, run) -> float:
    rooms = rig.plot.lot.rooms(start)
    bearing = nearest_open(wanted_deg, rooms >= run)
    if bearing is None:
        raise NoPlace("lot", float(run - rooms.max()), "no straight line that long from there")
    return bearing


def _top_from(rig, values, feed, feed_at, wanted):
    """The high end of a wire fed at a fixed point: a mast where the wire ends, a mast spot or a support."""
    from .common import apex_options

    where = chosen(values, "apex_at", apex_options(rig.site, rig.wishes))
    if where == feed_at:
        raise NoPlace("apex_at", 0.1, f"{where} is in use already")
    if where != "mast":
        return apex_top(rig, values)
    run = run_m(wanted, values["apex_m"] - feed[2])
    bearing = _straight_bearing(rig, feed, values["bearing_deg"], run + 0.8)
    at = along(feed[:2], bearing, run)
    if not rig.plot.mast_area.outline.holds(at):
        raise NoPlace("mast ground", 0.2, "no mast may stand where the wire ends")
    return rig.stand(at, values["apex_m"], "mast"), "mast"


def counterpoise(rig: Rig, run: Run, length_m: float):
    """The return path as a wire, joined to the feed."""
    away = bearing_deg(run.feed, run.points[1])
    points = rig.counterpoise(run.feed, length_m, away)
    return conductor("counterpoise", reversed(points), key="wire_counterpoise", role="counterpoise")


def finish_end_fed(family, rig: Rig, run: Run, values, *, low: Band, ratio, trims, loads=(), serves=(), detail="", tuner=None):
    """Counterpoise, transformer, line and closing."""
    back = counterpoise(rig, run, values["counterpoise_m"])
    transformer = transformer_for(ratio, rig.wishes.power_w)
    feed = coax_feed(rig, run.feed, low.low_hz, transformer=transformer, ratio=float(ratio), tuner=tuner)
    rig.buy("strain_relief", "feed point")
    wires = (conductor("main", run.points), back)
    port = Port(name="feed", wire="main", at_m=0.0)
    return close(family, rig, values, wires, port=port, feed=feed, trims=trims, loads=loads, serves=serves, detail=detail)


def end_reachable(run: Run) -> bool:
    return run.leg.reachable or run.feed[2] <= POST_MAX_M
