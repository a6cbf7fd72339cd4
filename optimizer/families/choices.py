"""Choices of support and feed point and their parameters, which families share.

Values a family reads by these names: `apex_at` (mast, a mast spot's or a support's name), `mast_u`, `mast_v` (place in
the allowed mast ground), `apex_m`, `bearing_deg`, `turn_deg`, `cord_m`, `end_at` (free, mast, or a support's name), `feed_at`
(radio, post, or a support's name), `take_at` (share of the wire on the feed's side of its support). A choice with one
option is no parameter.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..parts.ready_made import OWN
from ..site.model import Site
from .family import NoPlace, Parameter
from .placement import GUY_SHARE, OUT_OF_REACH_M, Place, Plot, plot_of
from .standing import FEED_MIN_M, TIE_M, limit_m
from .wished import EXTERNAL, makes

CABLES = ("cable_rg58", "cable_rg213")
APEX_LEAST_M = 3.0
MOST_PLACES = 6  # supports offered to the search in one role
PAIR = " - "  # between the names of two supports
FIT_SHARE = 0.65  # a wire folded and drooped takes at least this share of its length in plan


def fits(plot: Plot, length_m: float) -> bool:
    """A rough first look: could a wire that long be hung on this lot at all?"""
    return FIT_SHARE * length_m <= plot.reach_m


def lacking_m(plot: Plot, lengths_m) -> float:
    """What the lot's diagonal lacks for the shortest of these wires by the same rough look [m]."""
    return max(0.0, FIT_SHARE * min(lengths_m, default=0.0) - plot.reach_m)


def remember(plot: Plot, key, make):
    """`make()` once per plot and key."""
    if key not in plot.memo:
        if len(plot.memo) > 500:
            plot.memo.clear()
        plot.memo[key] = make()
    return plot.memo[key]


@dataclass(frozen=True)
class Ground:
    """What a family asks of the place for its middle or high support: `missing` as `Plot.mast_ground` wants it.

    `key` tells equal askings apart from others; placement hangs on nothing else, so it may hold no trimmed length.
    """

    key: tuple
    missing: Callable

    def area(self, plot: Plot, wishes):
        """Map of the mast ground worth trying; NoPlace where there is none."""
        high = limit_m(plot.site, wishes)
        return plot.mast_ground((*self.key, high), self.missing, 0.85 * high)


def anywhere() -> Ground:
    return Ground(("anywhere",), lambda points, rooms: np.full(len(points), -1.0))


def apex_options(site: Site, wishes, ground: Ground, least_m: float = APEX_LEAST_M) -> tuple[str, ...]:
    """What can hold a wire up: free mast ground, mast spots, tall enough supports, with room around. NoPlace if none."""
    plot = plot_of(site)
    return remember(plot, ("apex", ground.key, wishes, least_m), lambda: _apex_options(plot, wishes, ground, least_m))


def _apex_options(plot: Plot, wishes, ground, least_m):
    options, limit, short = [], limit_m(plot.site, wishes), math.inf
    spots = {p.name: p.at_m for p in _tallest(plot, least_m)}
    if limit >= least_m:
        guyed = {n: at for n, at in plot.mast_points.items() if plot.guy_rooms(at).max() >= GUY_SHARE * 0.7 * limit + 0.15}
        spots = {**guyed, **spots}
        try:
            options += ["mast"] if plot.mast_area and ground.area(plot, wishes) else []
        except NoPlace as missed:
            short = missed.short_by
    for name, at in spots.items():
        missing = plot.short_at(at, ground.missing)
        short = min(short, missing)
        options += [name] if missing <= 0 else []
    if options:
        return tuple(options)
    if short < math.inf:
        raise NoPlace("lot", short, "no support has that much room around it")
    highest = max([limit if plot.mast_area else 0.0, *(p.height_m for p in plot.places)])
    raise NoPlace("support", max(0.01, least_m - highest), f"nothing holds a wire {least_m} m up")


def _tallest(plot: Plot, least_m: float) -> list[Place]:
    """The few tallest places, at least that high."""
    return sorted((p for p in plot.places if p.height_m >= least_m), key=lambda p: -p.height_m)[:MOST_PLACES]


def end_options(site: Site) -> tuple[str, ...]:
    """A stake or thin post anywhere, a mast of one's own, or something that stands there."""
    plot = plot_of(site)
    masts = ("mast",) if plot.mast_area else ()
    return ("free", *masts, *(p.name for p in _tallest(plot, OUT_OF_REACH_M)))


def feed_options(site: Site, wishes) -> tuple[str, ...]:
    """Where an end-fed wire may begin: the radio's wall, a support, a post of one's own."""
    plot = plot_of(site)
    radio = ("radio",) if site.radio is not None and plot.lot.holds(site.radio.at_m) else ()
    posts = ("post",) if limit_m(site, wishes) >= FEED_MIN_M else ()
    options = (*radio, *posts, *(p.name for p in _tallest(plot, FEED_MIN_M)))
    if not options:
        raise NoPlace("feed point", FEED_MIN_M - limit_m(site, wishes), "neither radio entry nor support nor post can carry the feed")
    return options


def choice(name: str, options) -> list[Parameter]:
    return [Parameter(name=name, choices=tuple(options))] if len(options) > 1 else []


def chosen(values, name: str, options) -> str:
    """The option picked; the first one where it is not to be had (in use already, or not there)."""
    picked = values.get(name, options[0])
    return picked if picked in options else options[0]


def apex_parameters(site: Site, wishes, ground: Ground, *, wire_m=math.inf, least_m=APEX_LEAST_M, drop_share=0.36) -> list[Parameter]:
    """`apex_at`, `mast_u`, `mast_v`, `apex_m`; no higher than a wire of `wire_m` can hang down without an apex too sharp: `drop_share` of it. As low as may be, however
    tall a mast is allowed: a low wire may have room for what a high one has not."""
    options = apex_options(site, wishes, ground, least_m)
    high = max([limit_m(site, wishes)] + [p.height_m for p in plot_of(site).places if p.name in options])
    if all(o not in ("mast", *plot_of(site).mast_points) for o in options):
        high = max(p.height_m for p in plot_of(site).places if p.name in options)
    area = [Parameter(name=n, low=0.0, high=1.0) for n in ("mast_u", "mast_v")] if "mast" in options else []
    high = max(least_m, min(high, OUT_OF_REACH_M + drop_share * (wire_m + 4.0)))
    return [*choice("apex_at", options), *area, Parameter(name="apex_m", low=min(least_m, 0.95 * high), high=high)]


def end_parameters(site: Site, wishes) -> list[Parameter]:
    """`cord_m`, from wire to hold: a longer one lifts the wire's end. The hold's height is the rig's `end_m`."""
    return [Parameter(name="cord_m", low=TIE_M, high=8.0)]


BEARING = Parameter(name="bearing_deg", low=0.0, high=360.0)


def length(name: str, around_m: float, low: float = 0.94, high: float = 1.03) -> Parameter:
    """A length that trimming changes, about a rule of thumb."""
    return Parameter(name=name, low=low * around_m, high=high * around_m)


def line_parameters(wishes) -> list[Parameter]:
    """`cable`, thin and cheap or thick; `make`: whether all that is wound is own-wound or bought; `use_tuner`: an external tuner costs
    money, so the search may do without."""
    tuner = choice("use_tuner", ("no", "yes")) if wishes.tuner == EXTERNAL else []
    return [*choice("cable", CABLES), Parameter(name="make", choices=makes(wishes)), *tuner]


def make_of(values) -> str:
    return values.get("make", OWN)
