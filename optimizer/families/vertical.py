"""Quarter-wave wires up a pole over elevated radials: straight up, or bent over at the top (L).

Both serve the wished band they are cut for and wished bands near three, five ... times it. The straight one takes the
heaviest band that the mast limit lets stand up, the L the heaviest whose quarter wave the lot holds; lowest of equals.
The foot is out of reach on the mast itself; two to four radials of a quarter wave leave it, folded where the lot is
narrow, and are the return path.
"""

from __future__ import annotations

import math

import numpy as np

from ..site.model import Span
from ..wires.model import Port
from .bands import harmonics, heaviest, names, wished_bands
from .common import (
    APEX_LEAST_M,
    BEARING,
    Ground,
    apex_foot,
    apex_options,
    apex_parameters,
    apex_top,
    choice,
    chosen,
    close,
    coax_feed,
    conductor,
    end_parameters,
    fits,
    length,
    limit_m,
    line_parameters,
    remember,
)
from .design import TrimStep
from .family import Family, NoPlace, Parameter
from .outline import BINS
from .placement import OUT_OF_REACH_M, plot_of
from .rig import BEND_IN_M, FOLD_SHARE, TIE_M, Rig, nearest_open
from .starts import sifted

FOOT_M = 2.6
COUNTS = (2, 3, 4)
TAIL_LEAST_M = 0.6


def _served(base, wishes):
    return harmonics(base, wished_bands(wishes), odd_only=True)


def serves(wishes) -> tuple[str, ...]:
    base = heaviest(wished_bands(wishes), lambda b: _served(b, wishes))
    return names(_served(base, wishes)) if base else ()


def _quarter(band):
    return band.half_wave_m / 2


def _held(site, wishes, key, holds):
    def find():
        return heaviest([b for b in wished_bands(wishes) if holds(b)], lambda b: _served(b, wishes))

    return remember(plot_of(site), (key, wishes), find)


def _straight_base(site, wishes):
    high = limit_m(site, wishes)
    found = _held(site, wishes, "vertical", lambda b: FOOT_M + _quarter(b) * 1.03 + 0.1 <= high)
    if found is None:
        shortest = min((_quarter(b) for b in wished_bands(wishes)), default=0.0)
        raise NoPlace("mast height", max(0.01, FOOT_M + 1.03 * shortest + 0.1 - high), "no quarter wave stands up")
    return found


def _bent_base(site, wishes):
    plot, high = plot_of(site), limit_m(site, wishes)
    found = _held(site, wishes, "inverted l", lambda b: FOOT_M + 0.75 * _quarter(b) > high - 1.5 and fits(plot, _quarter(b) * 1.5))
    if found is None:
        raise NoPlace("lot", 0.1, "no wished band needs and fits a bent quarter wave")
    return found


def _ground(base) -> Ground:
    """Ground with room for two radials, folded, at a right angle."""
    need = _quarter(base) * (1 - FOLD_SHARE) + BEND_IN_M

    def missing(points, rooms):
        return (need - np.minimum(rooms, np.roll(rooms, BINS // 4, axis=1))).min(axis=1)

    return Ground(("vertical", need), missing)


def _radial_parameters(base):
    return (
        length("radial_m", _quarter(base), 0.9, 1.05),
        Parameter(name="radials", choices=COUNTS),
        Parameter(name="spread_deg", low=60.0, high=180.0),
    )


def _mast_only(parameters):
    """A quarter wave goes up its own mast: supports are not offered, nor a height of their own."""
    return [p for p in parameters if p.name not in ("apex_m", "apex_at")]


def _straight_parameters(site, wishes):
    base = _straight_base(site, wishes)
    spots = choice("mast_at", _mast_options(site, wishes, base))
    return (
        *spots, *_mast_only(apex_parameters(site, wishes, _ground(base))), BEARING,
        length("wire_m", _quarter(base)), *_radial_parameters(base), *line_parameters(wishes),
    )  # fmt: skip


def _bent_parameters(site, wishes):
    base = _bent_base(site, wishes)
    spots = choice("mast_at", _mast_options(site, wishes, base))
    highest = min(limit_m(site, wishes), FOOT_M + _quarter(base) - TAIL_LEAST_M)
    return (
        *spots, *_mast_only(apex_parameters(site, wishes, _ground(base))),
        Parameter(name="apex_m", low=max(APEX_LEAST_M, 0.6 * highest), high=highest),
        BEARING, Parameter(name="tail_deg", low=0.0, high=360.0), *end_parameters(site, wishes),
        length("wire_m", _quarter(base)), *_radial_parameters(base), *line_parameters(wishes),
    )  # fmt: skip


def _mast_options(site, wishes, base):
    plot = plot_of(site)
    options = tuple(o for o in apex_options(site, wishes, _ground(base)) if o == "mast" or o in plot.mast_points)
    if not options:
        raise NoPlace("support", 0.1, "no ground for a mast of its own")
    return options


def _mast(rig, values, base, height):
    where = chosen(values, "mast_at", _mast_options(rig.site, rig.wishes, base))
    at, high = apex_foot(rig, {**values, "apex_m": height}, where, _ground(base))
    if height > high + 1e-9:
        raise NoPlace("mast height", height - high)
    return apex_top(rig, where, at, height)


def _radials(rig: Rig, values, base, foot):
    """Radials at equal turns about `bearing_deg`, to posts, turned together to where all find room."""
    count, quarter, wires = values["radials"], _quarter(base), []
    turn = min(values["spread_deg"], 360.0 / count)
    alone = rig.missing(foot, quarter, OUT_OF_REACH_M, TIE_M, 0.0)
    turns = [(i - 0.5 * (count - 1)) * turn for i in range(count)]
    missing = np.maximum.reduce([np.roll(alone, -round(t * BINS / 360.0)) for t in turns])
    middle = nearest_open(values["bearing_deg"], missing <= 0)
    if middle is None:
        raise NoPlace("lot", max(0.01, float(missing.min())), "no room for all radials")
    rig.settled["bearing_deg"] = middle
    for i, off in enumerate(turns):
        leg = rig.leg(foot, middle + off, values["radial_m"], OUT_OF_REACH_M, nominal_m=quarter)
        rig.span(foot, [leg])
        wires.append(conductor(f"radial {i + 1}", (foot, *leg.points), key="wire_counterpoise", role="counterpoise"))
    return wires


def _finish(family, rig, values, base, points, wires, reachable, detail):
    served = _served(base, rig.wishes)
    trims = (
        TrimStep(
            element="wire, at its foot", parameter="wire_m", band=base.key, target_mhz=base.centre_mhz, reachable=reachable,
            disturbs=tuple(b.key for b in served if b is not base), note="radials stay as cut, all alike",
        ),
    )  # fmt: skip
    rig.buy("strain_relief", "feed point", 1 + values["radials"])
    feed = coax_feed(rig, values, points[0], base.low_hz)
    port = Port(name="feed", wire="main", at_m=0.0)
    return close(
        family, rig, values, (conductor("main", points), *wires), port=port, feed=feed, trims=trims, serves=names(served), detail=detail
    )


def _build_straight(values, site, wishes):
    base = _straight_base(site, wishes)
    rig = Rig(site, wishes)
    wire = values["wire_m"]
    top = _mast(rig, values, base, FOOT_M + max(wire, 1.03 * _quarter(base)) + 0.1)
    foot, end = (*top[:2], FOOT_M), (*top[:2], FOOT_M + wire)
    rig.cords.append((end, top))
    rig.spans.append(Span(holds_m=(foot, top), lengths_m=(math.dist(foot, top),)))
    radials = _radials(rig, values, base, foot)
    return _finish(VERTICAL, rig, values, base, (foot, end), radials, True, f"{base.name}, {values['radials']} radials")


def _build_bent(values, site, wishes):
    base = _bent_base(site, wishes)
    rig = Rig(site, wishes)
    top = _mast(rig, values, base, values["apex_m"])
    foot = (*top[:2], FOOT_M)
    up = top[2] - FOOT_M
    tail, nominal = values["wire_m"] - up, _quarter(base) - up
    if tail < 0.3:
        raise NoPlace("wire length", 0.3 - tail, "the mast is taller than the wire is long")
    cord = max(values["cord_m"], _flat_cord(rig, top, nominal))
    missing = rig.missing(top, nominal, rig.end_m, cord, 1.01)
    bearing = nearest_open(values["tail_deg"], missing <= 0)
    if bearing is None:
        raise NoPlace("lot", max(0.01, float(missing.min())), "no bearing has room for the tail")
    rig.settled["tail_deg"] = bearing
    leg = rig.leg(top, bearing, tail, rig.end_m, nominal_m=nominal, cord_m=cord)
    rig.span(foot, [type(leg)((), (top,), (up,), ""), leg])
    radials = _radials(rig, values, base, foot)
    points = (foot, top, *leg.points)
    return _finish(INVERTED_L, rig, values, base, points, radials, leg.reachable, f"{base.name}, {values['radials']} radials")


def _flat_cord(rig, top, nominal):
    """Cord that keeps the tail no steeper than 45 degrees."""
    return max(TIE_M, 1.42 * (top[2] - rig.end_m) - nominal)


def _starts_of(family_of, base_of):
    def starts(site, wishes):
        quarter = _quarter(base_of(site, wishes))
        lengths = {"wire_m": 0.98 * quarter, "radial_m": 0.98 * quarter, "spread_deg": 120.0, "radials": 3}
        return sifted(family_of(), site, wishes, lengths)

    return starts


VERTICAL = Family(
    key="vertical",
    title="Quarter-wave vertical with elevated radials",
    serves=serves,
    parameters=_straight_parameters,
    build=_build_straight,
    starts=_starts_of(lambda: VERTICAL, _straight_base),
    weak_point="Poor for near contacts, hears the house's noise, and loses in poor soil and few radials.",
)

INVERTED_L = Family(
    key="inverted_l",
    title="Inverted L with elevated radials",
    serves=serves,
    parameters=_bent_parameters,
    build=_build_bent,
    starts=_starts_of(lambda: INVERTED_L, _bent_base),
    weak_point="Low feed resistance, loss in few or low radials, and radials across the garden at head height.",
)
