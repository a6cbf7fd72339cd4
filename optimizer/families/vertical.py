"""Quarter-wave wires up a pole over radials: straight up, or bent over at the top (L).

Both serve the wished band they are cut for and wished bands near three, five ... times it. The straight one takes the
heaviest band that the mast limit lets stand up, the L the heaviest whose quarter wave the lot holds; lowest of equals.
The return path are radials, raised or lying (see `radials`); the foot stands as high as they do.
"""

from __future__ import annotations

import math

from ..site.model import Span
from ..wires.model import Port
from .bands import harmonics, heaviest, names, wished_bands
from .common import (
    APEX_LEAST_M,
    BEARING,
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
    lacking_m,
    length,
    limit_m,
    line_parameters,
    remember,
)
from .design import TrimStep
from .family import Family, NoPlace, Parameter
from .hanging import nearest_open
from .placement import plot_of
from .radials import (
    LYING_M,
    chosen_radials,
    foot_m,
    ground_of,
    lay,
    mast_places,
    quarter_m,
    radial_options,
    radial_words,
)
from .rig import Rig
from .standing import TIE_M, raised_m
from .starts import sifted

TAIL_LEAST_M = 0.6
TOP_SPARE_M = 0.1  # of the mast above its wire


def _served(base, wishes):
    return harmonics(base, wished_bands(wishes), odd_only=True)


def serves(wishes) -> tuple[str, ...]:
    base = heaviest(wished_bands(wishes), lambda b: _served(b, wishes))
    return names(_served(base, wishes)) if base else ()


def _held(site, wishes, key, holds):
    def find():
        return heaviest([b for b in wished_bands(wishes) if holds(b)], lambda b: _served(b, wishes))

    return remember(plot_of(site), (key, wishes), find)


def straight_up_m(base) -> float:
    return quarter_m(base) * 1.03 + TOP_SPARE_M


def _straight_base(site, wishes):
    high = limit_m(site, wishes)
    found = _held(site, wishes, "vertical", lambda b: LYING_M + straight_up_m(b) <= high)
    if found is None:
        shortest = min((straight_up_m(b) for b in wished_bands(wishes)), default=0.0)
        raise NoPlace("mast height", LYING_M + shortest - high, "no quarter wave stands up")
    return found


def _bent_base(site, wishes):
    plot, high = plot_of(site), limit_m(site, wishes)

    def to_spare_m(band):
        return high - 1.5 - raised_m(quarter_m(band)) - 0.75 * quarter_m(band)

    found = _held(site, wishes, "inverted l", lambda b: to_spare_m(b) < 0 and fits(plot, quarter_m(b) * 1.5))
    if found is None:
        long = [1.5 * quarter_m(b) for b in wished_bands(wishes) if to_spare_m(b) < 0]
        if not long:
            raise NoPlace("mast height", min(map(to_spare_m, wished_bands(wishes))), "high enough for every wished quarter wave to stand straight")
        raise NoPlace("lot", lacking_m(plot, long), "no wished band needs and fits a bent quarter wave")
    return found


def mast_parameters(site, wishes, base, radials):
    """Where a mast of one's own stands, over which radials, turned how: supports are not offered."""
    ground = ground_of(base, radials)
    spots = choice("mast_at", mast_places(site, wishes, apex_options(site, wishes, ground), ground))
    area = [p for p in apex_parameters(site, wishes, ground) if p.name not in ("apex_m", "apex_at")]
    return [*spots, *area, *choice("radials", radials), BEARING, *line_parameters(wishes)]


def _straight_parameters(site, wishes):
    base = _straight_base(site, wishes)
    radials = radial_options(site, wishes, base, straight_up_m(base))
    return (*mast_parameters(site, wishes, base, radials), length("wire_m", quarter_m(base)))


def bent_radials(site, wishes, base) -> tuple[str, ...]:
    return radial_options(site, wishes, base, 0.5)


def _bent_parameters(site, wishes):
    base = _bent_base(site, wishes)
    highest = min(limit_m(site, wishes), raised_m(quarter_m(base)) + quarter_m(base) - TAIL_LEAST_M)
    return (
        *mast_parameters(site, wishes, base, bent_radials(site, wishes, base)),
        Parameter(name="apex_m", low=max(APEX_LEAST_M, 0.6 * highest), high=highest),
        Parameter(name="tail_deg", low=0.0, high=360.0), *end_parameters(site, wishes),
        length("wire_m", quarter_m(base)),
    )  # fmt: skip


def put_mast(rig, values, base, height, radials):
    """Top of the mast of that height, at its place."""
    ground = ground_of(base, radials)
    where = chosen(values, "mast_at", mast_places(rig.site, rig.wishes, apex_options(rig.site, rig.wishes, ground), ground))
    at, high = apex_foot(rig, {**values, "apex_m": height}, where, ground)
    if height > high + 1e-9:
        raise NoPlace("mast height", height - high)
    return apex_top(rig, where, at, height)


def _finish(family, rig, values, base, points, wires, reachable, detail):
    served = _served(base, rig.wishes)
    trims = (
        TrimStep(
            element="wire, at its foot", parameter="wire_m", band=base.key, target_mhz=base.centre_mhz, reachable=reachable,
            disturbs=tuple(b.key for b in served if b is not base), note="radials stay as cut, all alike",
        ),
    )  # fmt: skip
    rig.buy("strain_relief", "feed point", 1 + len(wires))
    feed = coax_feed(rig, values, points[0], base.low_hz)
    port = Port(name="feed", wire="main", at_m=0.0)
    return close(
        family, rig, values, (conductor("main", points), *wires), port=port, feed=feed, trims=trims, serves=names(served), detail=detail
    )


def _build_straight(values, site, wishes):
    base = _straight_base(site, wishes)
    options = radial_options(site, wishes, base, straight_up_m(base))
    rig, wire = Rig(site, wishes), values["wire_m"]
    radials = chosen_radials(rig, values, options)
    low = foot_m(radials, base)
    top = put_mast(rig, values, base, low + max(wire + TOP_SPARE_M, straight_up_m(base)), options)
    foot, end = (*top[:2], low), (*top[:2], low + wire)
    rig.cords.append((end, top))
    rig.buy("insulator_end", "wire end")
    rig.buy("cord_2mm", "wire end", math.dist(end, top) + top[2] + 1.0)
    rig.spans.append(Span(holds_m=(foot, top), lengths_m=(math.dist(foot, top),)))
    wires = lay(rig, values, base, foot, radials)
    return _finish(VERTICAL, rig, values, base, (foot, end), wires, True, f"{base.name}, {radial_words(radials)}")


def _build_bent(values, site, wishes):
    base = _bent_base(site, wishes)
    options = bent_radials(site, wishes, base)
    rig = Rig(site, wishes)
    radials = chosen_radials(rig, values, options)
    top = put_mast(rig, values, base, values["apex_m"], options)
    foot = (*top[:2], foot_m(radials, base))
    up = top[2] - foot[2]
    tail, nominal = values["wire_m"] - up, quarter_m(base) - up
    if min(tail, nominal) < 0.3:
        raise NoPlace("wire length", 0.3 - min(tail, nominal), "the mast is taller than the wire is long")
    leg = top_leg(rig, values, top, tail, nominal)
    rig.span(foot, [type(leg)((), (top,), (up,), ""), leg])
    wires = lay(rig, values, base, foot, radials)
    points = (foot, top, *leg.points)
    return _finish(INVERTED_L, rig, values, base, points, wires, leg.reachable, f"{base.name}, {radial_words(radials)}")


def top_leg(rig, values, top, tail, nominal, turn=0.0):
    """A wire from the mast's top, `turn` off `tail_deg` as settled, no steeper than 45 degrees."""
    cord = max(values["cord_m"], _flat_cord(rig, top, nominal))
    missing = rig.missing(top, nominal, rig.end_m, cord, 1.01)
    wanted = rig.settled.get("tail_deg", values["tail_deg"])
    bearing = nearest_open((wanted + turn) % 360.0, missing <= 0)
    if bearing is None:
        raise NoPlace("lot", float(missing.min()), "no bearing has room for the wire from the top")
    rig.settled.setdefault("tail_deg", bearing)
    return rig.leg(top, bearing, tail, rig.end_m, nominal_m=nominal, cord_m=cord)


def _flat_cord(rig, top, nominal):
    """Cord that keeps the tail no steeper than 45 degrees."""
    return max(TIE_M, 1.42 * (top[2] - rig.end_m) - nominal)


def usual_radials(family, site, wishes) -> list[str]:
    """The fullest of the raised and of the lying ones that the family offers there."""
    offered = next((p.choices for p in family.parameters(site, wishes) if p.name == "radials"), ())
    return [r for r in ("4 raised", "8 lying") if r in offered]


def _starts_of(family_of, base_of):
    def starts(site, wishes):
        quarter = quarter_m(base_of(site, wishes))
        return [
            s for radials in usual_radials(family_of(), site, wishes) for s in sifted(family_of(), site, wishes, {"wire_m": 0.98 * quarter, "radials": radials}, most=4)
        ]

    return starts


VERTICAL = Family(
    key="vertical",
    title="Quarter-wave vertical",
    serves=serves,
    parameters=_straight_parameters,
    build=_build_straight,
    starts=_starts_of(lambda: VERTICAL, _straight_base),
    weak_point="Poor for near contacts, hears the house's noise, and loses in poor soil and few radials.",
)

INVERTED_L = Family(
    key="inverted_l",
    title="Inverted L over radials",
    serves=serves,
    parameters=_bent_parameters,
    build=_build_bent,
    starts=_starts_of(lambda: INVERTED_L, _bent_base),
    weak_point="Low feed resistance, loss in few or low radials, and radials across the garden at head height.",
)
