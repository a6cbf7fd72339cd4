"""End-fed wires straight up to a support: fed low, on a post, at the house or at another support; a cord takes what the wire leaves over.

Mast and bearing hang on the nominal length only, so that trimming moves the end and nothing else.
"""

from __future__ import annotations

import math

import numpy as np

from .choices import APEX_LEAST_M, Ground, anywhere, apex_options, chosen, feed_options, limit_m
from .common import apex_foot, apex_top, fixed_feed
from .end_fed import STRAIGHT_SPARE, Run
from .end_fed_ground import feed_missing
from .family import NoPlace
from .hanging import nearest_open
from .outline import DIRECTIONS, along
from .planner import run_m
from .rig import Rig
from .standing import FEED_MIN_M, TIE_M


def straight_m(nominal_m: float) -> float:
    """Line from feed to hold that a straight wire needs, trimming and tie included [m]."""
    return STRAIGHT_SPARE * nominal_m + TIE_M


def hang_sloped(rig: Rig, values, wire_m: float, nominal_m: float) -> Run:
    """A straight wire from its feed up to a support, a cord taking what is left."""
    wanted = straight_m(nominal_m)
    feed_at = chosen(values, "feed_at", feed_options(rig.site, rig.wishes))
    tops = tuple(o for o in apex_options(rig.site, rig.wishes, anywhere()) if o != feed_at)
    if not tops:
        raise NoPlace("support", APEX_LEAST_M, "no second support for the high end")
    where = chosen(values, "apex_at", tops)
    if feed_at == "post":
        at, high = apex_foot(rig, values, where, _ground_far(rig, nominal_m))
        top = apex_top(rig, where, at, high)
        run = run_m(wanted, top[2] - FEED_MIN_M)
        bearing = _straight_bearing(rig, values, feed_missing(rig, top, run))
        feed = rig.stand(along(top[:2], bearing, run), FEED_MIN_M, "feed post")
    else:
        feed = fixed_feed(rig, feed_at)
        top = _top_from(rig, values, feed, where, wanted)
    leg = rig.leg_to(feed, top, wire_m, where)
    rig.span(feed, [leg])
    return Run((feed, *leg.points), leg, 0.0, top)


def _straight_bearing(rig, values, missing) -> float:
    bearing = nearest_open(values["bearing_deg"], missing <= 0)
    if bearing is None:
        raise NoPlace("lot", float(missing.min()), "no straight line that long from there")
    rig.settled["bearing_deg"] = bearing
    return bearing


def _ground_far(rig, nominal) -> Ground:
    """Ground from which a straight wire finds room."""
    need = math.sqrt(max((STRAIGHT_SPARE * nominal + TIE_M) ** 2 - (limit_m(rig.site, rig.wishes) - FEED_MIN_M) ** 2, 0.0)) + 0.3
    return Ground(("far", need), lambda points, rooms: need - rooms.max(axis=1))


def _top_from(rig, values, feed, where, wanted):
    """The high end of a wire fed at a fixed point: a mast where the wire ends, a mast spot or a support."""
    if where != "mast":
        return apex_top(rig, where, *apex_foot(rig, values, where, anywhere()))
    height = min(values["apex_m"], limit_m(rig.site, rig.wishes))
    run = run_m(wanted, height - feed[2])
    ends = np.array(feed[:2]) + DIRECTIONS * run
    missing = run + 0.8 - rig.plot.lot.rooms(feed)
    ground = rig.plot.mast_area.outline
    for i in np.flatnonzero(~ground.hold_mask(ends)):
        missing[i] = max(missing[i], ground.edge_m(ends[i]))
    bearing = _straight_bearing(rig, values, missing)
    at = along(feed[:2], bearing, run)
    if not rig.plot.mast_area.outline.holds(at):
        raise NoPlace("mast ground", rig.plot.mast_area.outline.outside_m(at), "no mast may stand where the wire ends")
    return apex_top(rig, where, at, height)
