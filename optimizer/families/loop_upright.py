"""Upright loop: a triangle of one full wave hung from its top, its base out of reach, fed at a corner or mid-base.

Serves the wished band it is cut for and wished bands near its whole multiples, where it is two, three ... waves round.
Of the bands whose triangle the lot and the mast hold it takes the one that serves most weight, the lowest of equals.
"""

from __future__ import annotations

import math

import numpy as np

from ..wires.model import Port
from .bands import heaviest, names, wished_bands
from .centre_fed import both_ways
from .choices import BEARING, apex_options, apex_parameters, choice, chosen, length, limit_m, line_parameters, remember
from .common import apex_foot, apex_top, close, coax_feed, conductor
from .design import TrimStep
from .family import Family, NoPlace, Parameter
from .hanging import BEND_IN_M, nearest_open
from .loops import RATIOS, of_length, round_m, served_by
from .outline import BINS, DIRECTIONS, along, rolled
from .placement import plot_of
from .rig import Rig, hung_span
from .standing import FEED_MIN_M, POST_MAX_M, TIE_M, raised_m
from .starts import sifted

FEEDS = ("corner", "base")


def serves(wishes) -> tuple[str, ...]:
    base = heaviest(wished_bands(wishes), lambda b: served_by(b, wishes))
    return names(served_by(base, wishes)) if base else ()


def half_base_m(round_m: float, height_m: float) -> float:
    """Half the base of a triangle of that perimeter and height: from (p/2 - b)^2 = b^2 + h^2 [m]; NoPlace if too low."""
    half = round_m / 2
    base = (half * half - height_m * height_m) / (2 * half)
    if base <= 0.1 * half:
        raise NoPlace("wire length", 0.1 * half - base, "the loop is too small for a support that high")
    return base


def _triangle(apex, bearing, half, low):
    left, right = ((*along(apex, bearing + turn, half), low) for turn in (180.0, 0.0))
    return apex, left, right, apex


def _base(site, wishes):
    plot, high = plot_of(site), limit_m(site, wishes)
    tallest = max([high, *(p.height_m for p in plot.places)])

    def too_low_m(band):
        return 0.12 * round_m(band) - (tallest - FEED_MIN_M)

    def too_wide_m(band):
        return 2 * half_base_m(round_m(band), min(tallest - FEED_MIN_M, 0.4 * round_m(band))) + 2 - plot.reach_m

    def find():
        held = [b for b in wished_bands(wishes) if too_low_m(b) < 0 and too_wide_m(b) <= 0]
        return heaviest(held, lambda b: served_by(b, wishes))

    found = remember(plot, ("upright loop", wishes), find)
    if found is None:
        wide = [too_wide_m(b) for b in wished_bands(wishes) if too_low_m(b) < 0]
        if not wide:
            raise NoPlace("mast height", min(map(too_low_m, wished_bands(wishes))), "no full-wave triangle stands up")
        raise NoPlace("lot", min(wide), "no full-wave triangle fits under that height")
    return found


def _ground(site, wishes, base):
    """Ground with room for the base under the highest apex, one half each way."""
    rise = min(max(limit_m(site, wishes), *(p.height_m for p in plot_of(site).places), 0.0) - 2.6, 0.4 * round_m(base))
    need = half_base_m(1.03 * round_m(base), rise) + TIE_M + 0.1
    return both_ways((2 * (need - BEND_IN_M),) * 2)


def _least_base_m(base) -> float:
    """A base of that height sags to out of reach."""
    return min(raised_m(0.5 * round_m(base)), POST_MAX_M - 0.2)


def parameters(site, wishes):
    base = _base(site, wishes)
    placement = [p for p in apex_parameters(site, wishes, _ground(site, wishes, base)) if p.name != "apex_m"]
    high = max(limit_m(site, wishes), *(p.height_m for p in plot_of(site).places), 0.0)
    return (
        *placement,
        Parameter(name="apex_m", low=min(4.0, 0.95 * high), high=high),
        Parameter(name="base_m", low=_least_base_m(base), high=POST_MAX_M),
        BEARING,
        length("round_m", round_m(base), 0.96, 1.05),
        *choice("fed_at", FEEDS),
        Parameter(name="ratio", choices=RATIOS),
        *line_parameters(wishes),
    )


def build(values, site, wishes):
    base = _base(site, wishes)
    rig = Rig(site, wishes)
    where = chosen(values, "apex_at", apex_options(site, wishes, _ground(site, wishes, base)))
    at, high = apex_foot(rig, values, where, _ground(site, wishes, base))
    low = values["base_m"]
    high = min(high, low + 0.4 * round_m(base))
    apex = apex_top(rig, where, at, high)
    bearing = _bearing(rig, values, apex, half_base_m(1.03 * round_m(base), high - low))
    points = of_length(values["round_m"], lambda m: _triangle(apex, bearing, half_base_m(m, high - low), low))
    corners = points[1:3]
    half = 0.5 * math.dist(*corners)
    posts = [_corner_post(rig, c, bearing + turn) for c, turn in zip(corners, (180.0, 0.0))]
    side = math.dist(apex, corners[0])
    rig.spans.append(hung_span((posts[0], apex, posts[1]), (side + TIE_M, side + TIE_M)))
    rig.spans.append(hung_span(posts, (2 * half + 2 * TIE_M,)))
    rig.lines.append(points)
    at_m = side if values.get("fed_at", FEEDS[0]) == "corner" else side + half
    feed_xy = corners[0] if at_m == side else (*at, low)
    feed = coax_feed(rig, values, feed_xy, base.low_hz, ratio=values["ratio"])
    served = served_by(base, wishes)
    trims = (
        TrimStep(
            element="wire, at the feed", parameter="round_m", band=base.key, target_mhz=base.centre_mhz, reachable=True,
            disturbs=tuple(b.key for b in served if b is not base),
        ),
    )  # fmt: skip
    port = Port(name="feed", wire="loop", at_m=at_m)
    return close(
        FAMILY, rig, values, (conductor("loop", points),), port=port, feed=feed, trims=trims, serves=names(served), detail=base.name
    )


def _bearing(rig, values, apex, half):
    rooms = rig.plot.lot.rooms(apex) - half - TIE_M - 0.1
    if len(rig.plot.blocked.array):
        posts = np.array(apex[:2]) + DIRECTIONS * (half + TIE_M)
        rooms = np.minimum(rooms, -rig.plot.blocked.depths(posts))
    both = np.minimum(rooms, rolled(rooms, BINS // 2))
    bearing = nearest_open(values["bearing_deg"], both >= 0)
    if bearing is None:
        raise NoPlace("lot", -float(both.max()), "no bearing has room for the base")
    rig.settled["bearing_deg"] = bearing
    return bearing


def _corner_post(rig, corner, bearing):
    post = rig.stand(along(corner, bearing, TIE_M), corner[2], "post at a corner")
    rig.cords.append((corner, post))
    rig.buy("insulator_end", "corner")
    rig.buy("cord_2mm", "corner", TIE_M + corner[2] + 1.0)
    return post


def starts(site, wishes):
    base = _base(site, wishes)
    found = sifted(FAMILY, site, wishes, {"round_m": round_m(base), "base_m": 0.1 + _least_base_m(base)})
    return [{**s, "fed_at": FEEDS[i % 2]} for i, s in enumerate(found)]


FAMILY = Family(
    key="loop_upright",
    title="Upright full-wave loop",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    weak_point="A tall support for its size, and a base wire low over the garden.",
)
