"""Flat loop: one full wave held level at its corners by four masts or by trees and posts that stand there, fed at the corner nearest the radio.

Serves the wished band it is cut for and wished bands near its whole multiples. Of the bands whose rectangle the lot
holds it takes the one that serves most weight, the lowest of equals. The masts stand a little outside the rectangle and
cords pull its corners out, so that trimming moves no mast. A mast spot is not enough: four masts need ground of their own.
"""

from __future__ import annotations

import math

import numpy as np

from ..wires.model import Port
from .bands import heaviest, names, wished_bands
from .choices import BEARING, Ground, choice, chosen, length, limit_m, line_parameters, remember
from .common import close, coax_feed, conductor, place_named
from .design import TrimStep
from .family import Family, NoPlace, Parameter
from .hanging import nearest_open
from .loops import RATIOS, closed, of_length, round_m, served_by
from .outline import BINS, DIRECTIONS
from .placement import plot_of
from .rig import Rig, hung_span
from .ring import JOIN, drawn_in, ring_options
from .standing import POST_MAX_M
from .starts import sifted

SPARE = 1.07  # masts' rectangle over the nominal wire's
MASTS = "four masts"
SHARES = (0.25, 0.5)  # short side over half the way round


def serves(wishes) -> tuple[str, ...]:
    base = heaviest(wished_bands(wishes), lambda b: served_by(b, wishes))
    return names(served_by(base, wishes)) if base else ()


def _base(site, wishes):
    plot = plot_of(site)

    def find():
        return heaviest([b for b in wished_bands(wishes) if _held_by(site, wishes, b)], lambda b: served_by(b, wishes))

    found = remember(plot, ("flat loop", wishes), find)
    if found is None and limit_m(site, wishes) < POST_MAX_M:
        raise NoPlace("mast height", POST_MAX_M - limit_m(site, wishes), "four corners need masts, or a ring of supports")
    if found is None:
        raise NoPlace("lot", _lacking_m(site, wishes), "no ground for four masts that far apart, and no ring of supports")
    return found


def _held_by(site, wishes, base) -> tuple[str, ...]:
    """What can hold the corners: masts of one's own, rings of supports."""
    plot, high = plot_of(site), limit_m(site, wishes)

    def find():
        rings = ring_options([p for p in plot.places if p.height_m >= POST_MAX_M], round_m(base))
        try:
            masts = (MASTS,) if plot.mast_area and high >= POST_MAX_M and _ground(base).area(plot, wishes) else ()
        except NoPlace:
            masts = ()
        return (*rings, *masts)

    return remember(plot, ("corners", base, wishes), find)


def _lacking_m(site, wishes) -> float:
    """Room that the ground lacks for the smallest loop between four masts [m]."""
    bands, plot = wished_bands(wishes), plot_of(site)
    try:
        _ground(min(bands, key=round_m)).area(plot, wishes) if plot.mast_area else None
    except NoPlace as missed:
        return missed.short_by
    return SPARE * SHARES[0] * min(map(round_m, bands)) / 4  # no mast ground at all


def _ground(base) -> Ground:
    """Ground for the middle: half the narrowest rectangle's short side to all sides, half its long side to two."""
    half = SPARE * round_m(base) / 4
    short, long = SHARES[0] * half, (1 - SHARES[1]) * half

    def missing(points, rooms):
        return np.maximum(short - rooms.min(axis=1), long - rooms.max(axis=1))

    return Ground(("flat loop", round(half, 6)), missing)


def parameters(site, wishes):
    base, high = _base(site, wishes), limit_m(site, wishes)
    options = _held_by(site, wishes, base)
    rings = [p.height_m for p in plot_of(site).places] if options != (MASTS,) else []
    high = max(rings + ([high] if MASTS in options else []))
    own = [*(Parameter(name=n, low=0.0, high=1.0) for n in ("mast_u", "mast_v")), BEARING]
    own += [Parameter(name="short_share", low=SHARES[0], high=SHARES[1])]
    return (
        *choice("corners_at", options),
        *(own if MASTS in options else []),
        Parameter(name="corner_m", low=min(3.0, 0.95 * high), high=high),
        length("round_m", round_m(base), 0.96, 1.04),
        Parameter(name="ratio", choices=RATIOS),
        *line_parameters(wishes),
    )


def build(values, site, wishes):
    base = _base(site, wishes)
    rig = Rig(site, wishes)
    where = chosen(values, "corners_at", _held_by(site, wishes, base))
    tops, outline = _masts(rig, values, base) if where == MASTS else _ring(rig, values, where)
    inner = of_length(values["round_m"], lambda m: closed(outline(m)))[:-1]
    near = site.radio.at_m if site.radio else rig.plot.centre
    count, height = len(tops), tops[0][2]
    first = min(range(count), key=lambda i: math.dist(tops[i][:2], near))
    for corner, top in zip(inner, tops):
        if math.dist(corner, top) < 0.1:
            raise NoPlace("wire length", 0.1 - math.dist(corner, top), "the wire is longer than its masts are apart")
        rig.cords.append((corner, top))
        rig.buy("insulator_end", "corner")
        rig.buy("cord_2mm", "corner", math.dist(corner, top) + height + 1.0)
    lengths = tuple(math.dist(a, b) for a, b in zip(tops, [*tops[1:], tops[0]]))
    rig.spans.append(hung_span(closed(tops), lengths))
    rig.lines.append(closed(inner))
    points = [inner[(first - 2 + i) % count] for i in range(count + 1)]  # from a corner on, that the feed's is no end of the wire
    at_m = math.dist(points[0], points[1]) + math.dist(points[1], points[2])
    feed = coax_feed(rig, values, points[2], base.low_hz, ratio=values["ratio"])
    served = served_by(base, wishes)
    trims = (
        TrimStep(
            element="wire, at the feed", parameter="round_m", band=base.key, target_mhz=base.centre_mhz, reachable=True,
            disturbs=tuple(b.key for b in served if b is not base), note="let the feed's corner down by its halyard",
        ),
    )  # fmt: skip
    return close(
        FAMILY, rig, values, (conductor("loop", points),), port=Port(name="feed", wire="loop", at_m=at_m), feed=feed,
        trims=trims, serves=names(served), detail=base.name,
    )  # fmt: skip


def _masts(rig, values, base):
    """Tops of four masts of one's own, and the rectangle of a given way round between them."""
    middle = _ground(base).area(rig.plot, rig.wishes).at(values["mast_u"], values["mast_v"])
    height, share = min(values["corner_m"], rig.mast_limit_m), values["short_share"]
    rig.settled["corner_m"] = height
    way = math.radians(_bearing(rig, values, middle, SPARE * round_m(base)))
    tops = [rig.stand(c[:2], height, "mast") for c in _corners(middle, way, share, SPARE * round_m(base), height)]
    return tops, lambda m: _corners(middle, way, share, m, height)


def _ring(rig, values, where):
    """Holds on the supports of a ring, level with the lowest of them, and its outline drawn in to a given way round."""
    places = [place_named(rig, name) for name in where.split(JOIN)]
    height = min(values["corner_m"], *(p.height_m for p in places))
    rig.settled["corner_m"] = height
    tops = [rig.at_place(p, height) for p in places]
    return tops, lambda m: drawn_in(tops, m)


def _bearing(rig, values, middle, around) -> float:
    """The nearest bearing of the long side that leaves all four masts on mast ground."""
    ground, share = rig.plot.mast_area.outline, values["short_share"]
    ways = DIRECTIONS[: BINS // 2]
    long, short = 0.25 * around * (1 - share) * ways, 0.25 * around * share * ways[:, ::-1] * (1.0, -1.0)
    corners = np.array(middle) + np.stack((long + short, long - short, -long - short, short - long), axis=1)
    held = ground.hold_mask(corners.reshape(-1, 2)).reshape(-1, 4).all(axis=1)
    bearing = nearest_open(values["bearing_deg"], np.concatenate((held, held)))
    if bearing is None:
        short_by = min(max(ground.outside_m(c) for c in four) for four in corners)
        raise NoPlace("lot", short_by, "no ground for masts at all four corners")
    rig.settled["bearing_deg"] = bearing
    return bearing


def _corners(middle, way, short_share, around, height):
    """Corners of a level rectangle, in order, its long side along `way` (radians from north)."""
    short, long = 0.5 * around * short_share, 0.5 * around * (1 - short_share)
    sin, cos = math.sin(way), math.cos(way)
    return [
        (middle[0] + a * sin * long / 2 + b * cos * short / 2, middle[1] + a * cos * long / 2 - b * sin * short / 2, height)
        for a, b in ((1, 1), (1, -1), (-1, -1), (-1, 1))
    ]


def starts(site, wishes):
    size = round_m(_base(site, wishes))
    high = next(p.high for p in parameters(site, wishes) if p.name == "corner_m")
    sizes = [{"round_m": size, "short_share": share, "corner_m": lift * high} for lift in (1.0, 0.7) for share in (0.5, 0.35)]
    found = [s for size in sizes for s in sifted(FAMILY, site, wishes, size, most=3)]
    return [{**s, "ratio": RATIOS[i % len(RATIOS)]} for i, s in enumerate(found)]


FAMILY = Family(
    key="loop_flat",
    title="Flat full-wave loop",
    serves=serves,
    parameters=parameters,
    build=build,
    starts=starts,
    weak_point="Four masts with their guys; low down it serves near contacts and little else.",
)
