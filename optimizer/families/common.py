"""What families share: choices of support and feed point, their parameters, conductors, feed line, closing of a design.

Values a family reads by these names: `apex_at` (mast, a mast spot's or a support's name), `mast_u`, `mast_v` (place in
the allowed mast ground), `apex_m`, `bearing_deg`, `turn_deg`, `cord_m`, `end_at` (free, mast, or a support's name), `feed_at`
(radio, post, or a support's name), `take_at` (share of the wire on the feed's side of its support). A choice with one
option is no parameter. Wire spare and tie lengths are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ..parts.catalogue import transformer_for, tuner_for
from ..parts.conductors import wire_type
from ..parts.ready_made import BOUGHT, OWN
from ..site.model import Site
from ..wires.model import Point3, Wire
from .design import BillItem, Design, Feed, all_of
from .family import NoPlace, Parameter
from .line_outside import FEED
from .pieces import TRIM_SHARE, pieces_of
from .placement import GUY_SHARE, OUT_OF_REACH_M, Place, Plot, plot_of
from .rig import Rig
from .sag import Hung, Sag
from .standing import FEED_MIN_M, TIE_M

WIRE = "wire_pvc_stranded_1_5mm2"
COUNTERPOISE_WIRE = "wire_counterpoise"
CABLES = ("cable_rg58", "cable_rg213")
APEX_LEAST_M = 3.0
MOST_PLACES = 6  # supports offered to the search in one role
PAIR = " - "  # between the names of two supports
FIT_SHARE = 0.65  # a wire folded and drooped takes at least this share of its length in plan


def limit_m(site: Site, wishes) -> float:
    """Highest mast allowed [m]."""
    return site.height_limit_m if wishes.mast_limit_m is None else min(site.height_limit_m, wishes.mast_limit_m)


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


# --- choices and their parameters ----------------------------------------------------------------------------


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
    """`apex_at`, `mast_u`, `mast_v`, `apex_m`; no higher than a wire of `wire_m` can hang down without an apex too sharp: `drop_share` of it."""
    options = apex_options(site, wishes, ground, least_m)
    high = max([limit_m(site, wishes)] + [p.height_m for p in plot_of(site).places if p.name in options])
    if all(o not in ("mast", *plot_of(site).mast_points) for o in options):
        high = max(p.height_m for p in plot_of(site).places if p.name in options)
    area = [Parameter(name=n, low=0.0, high=1.0) for n in ("mast_u", "mast_v")] if "mast" in options else []
    high = max(least_m, min(high, OUT_OF_REACH_M + drop_share * (wire_m + 4.0)))
    low = max(least_m, 0.6 * high)
    return [*choice("apex_at", options), *area, Parameter(name="apex_m", low=min(low, 0.95 * high), high=high)]


def end_parameters(site: Site, wishes) -> list[Parameter]:
    """`cord_m`, from wire to hold: a longer one lifts the wire's end. The hold's height is the rig's `end_m`."""
    return [Parameter(name="cord_m", low=TIE_M, high=8.0)]


BEARING = Parameter(name="bearing_deg", low=0.0, high=360.0)


def length(name: str, around_m: float, low: float = 0.94, high: float = 1.03) -> Parameter:
    """A length that trimming changes, about a rule of thumb."""
    return Parameter(name=name, low=low * around_m, high=high * around_m)


# --- building ------------------------------------------------------------------------------------------------


def apex_foot(rig: Rig, values, where: str, ground: Ground):
    """Plan position and greatest height of what is to hold the middle or the top of a wire."""
    if values["apex_m"] > rig.site.height_limit_m + 1e-9:
        raise NoPlace("height limit", values["apex_m"] - rig.site.height_limit_m, where)
    if where == "mast":
        at = ground.area(rig.plot, rig.wishes).at(values.get("mast_u", 0.5), values.get("mast_v", 0.5))
    elif where in rig.plot.mast_points:
        at = rig.plot.mast_points[where]
    else:
        place = place_named(rig, where)
        return place.at_m, min(values["apex_m"], place.height_m)
    return at, min(values["apex_m"], limit_m(rig.site, rig.wishes))


def apex_top(rig: Rig, where: str, at, height_m: float, use: str = "mast") -> Point3:
    """The hold itself, put up."""
    rig.settled["apex_m"] = height_m
    return rig.top(where, at, height_m, use)


def place_named(rig: Rig, name: str):
    return next(p for p in rig.plot.places if p.name == name)


def fixed_feed(rig: Rig, where: str) -> Point3:
    """Feed point on the radio's wall or at a support."""
    return rig.radio_wall() if where == "radio" else rig.at_place(place_named(rig, where))


def conductor(name: str, points, *, key: str = WIRE, role: str = "radiator") -> Wire:
    kind = wire_type(key)
    return Wire(
        name=name, points_m=tuple(points), radius_m=kind.radius_m, role=role,
        conductivity_s_per_m=kind.conductivity_s_per_m, coating=kind.coating,
    )  # fmt: skip


def line_length_m(site: Site, feed: Point3) -> float:
    """Line from the radio's entry down, along the ground and up to the feed, hung straight over where that is near; 1 m slack.

    Without a radio feature the plan run counts from the lot's centroid.
    """
    if site.radio is None:
        run, entry = math.dist(plot_of(site).centre, feed[:2]), 1.0
    else:
        run, entry = math.dist(site.radio.at_m, feed[:2]), site.radio.height_m
    return run + min(entry + feed[2], run + abs(feed[2] - entry)) + 1.0


def choke_for(low_hz: float, make: str = OWN) -> str:
    """Common practice, no source: the larger choke below 5 MHz."""
    return ("choke_ft240_31_16t_2" if low_hz < 5e6 else "choke_ft240_31_12t") + ("_bought" if make == BOUGHT else "")


def line_parameters(wishes) -> list[Parameter]:
    """`cable`, thin and cheap or thick; `make`: whether all that is wound is own-wound or bought; `use_tuner`: an external tuner costs
    money, so the search may do without."""
    tuner = choice("use_tuner", ("no", "yes")) if wishes.tuner == "external" else []
    return [*choice("cable", CABLES), Parameter(name="make", choices=makes(wishes)), *tuner]


def makes(wishes) -> tuple[str, ...]:
    """Ways to come by what is wound. Ready-made parts cost more and lose more, so they are offered where asked for (`wishes.parts`), or where
    one is in stock or has a price of the user's own."""
    if wishes.parts == BOUGHT:
        return (BOUGHT,)
    named = [key for key, *_ in (*wishes.on_hand, *wishes.prices)]
    return (OWN, BOUGHT) if wishes.parts == "either" or any(key.endswith("_bought") for key in named) else (OWN,)


def make_of(values) -> str:
    return values.get("make", OWN)


def tuner_of(rig: Rig, values, *, balanced: bool = False) -> str | None:
    """Tuner key by the wish list and the design's choice; put on the bill."""
    if rig.wishes.tuner == "external" and values.get("use_tuner", "yes") == "no":
        return None
    key = tuner_for(rig.wishes.tuner, rig.wishes.power_w, balanced=balanced)
    if key:
        rig.buy(key, "at the radio")
    return key


def coax_feed(rig: Rig, values, feed: Point3, low_hz: float, *, ratio: int | None = None, choke_at: str = FEED) -> Feed:
    """Coaxial line with a choke, a transformer where a ratio is given, a tuner where wished, and their parts on the bill."""
    run, choke = line_length_m(rig.site, feed), choke_for(low_hz, make_of(values))
    transformer = transformer_for(ratio, rig.wishes.power_w, bought=make_of(values) == BOUGHT) if ratio else None
    tuner = tuner_of(rig, values)
    cable = values.get("cable", CABLES[0])
    rig.buy(cable, "line from the radio", run)
    rig.buy("plug_pl259", "line from the radio", 2)
    rig.buy(choke, "keeps current off the line" if choke_at == FEED else "keeps current out of the house, where the line enters")
    if transformer:
        rig.buy(transformer, "feed point")
    return Feed(
        line=cable, line_length_m=run, transformer=transformer, impedance_ratio=float(ratio) if ratio else None, choke=choke, choke_at=choke_at, tuner=tuner,
    )  # fmt: skip


def wire_bill(pieces, spare_share: float = TRIM_SHARE) -> dict[tuple[str, str], float]:
    """Conductors as they are cut: (part, use) -> metres."""
    found = {}
    for piece in pieces:
        lying = piece.role == "counterpoise"
        key = (COUNTERPOISE_WIRE, "counterpoise") if lying else (WIRE, "radiator")
        found[key] = found.get(key, 0.0) + piece.cut_m(spare_share)
    return found


def with_spare(design: Design, share: float) -> Design:
    """The design with wire on its bill for pieces cut longer by that share."""
    if share == TRIM_SHARE:
        return design
    metres = wire_bill(pieces_of(design.structure.wires, design.port, design.all_loads), share)
    items = (replace(i, quantity=metres.get((i.part, i.use), i.quantity)) for i in design.bill)
    return replace(design, bill=tuple(items))


def close(family, rig: Rig, values, wires, *, port, feed, trims=(), loads=(), serves=(), detail="", by_band=(), switched_by="") -> Design:
    """The finished design, its wires hanging with their sag."""
    hung = Hung(wires, Sag(rig.lines), port)
    rig.follow(hung)
    structure, port, loads = rig.structure(hung.wires), hung.moved(port), tuple(hung.moved(load) for load in loads)
    by_band = tuple((key, tuple(hung.moved(load) for load in switched)) for key, switched in by_band)
    metres = wire_bill(pieces_of(structure.wires, port, all_of(loads, by_band)))
    return Design(
        family=family.key,
        title=f"{family.title}{', ' + detail if detail else ''}",
        values={**values, **{k: v for k, v in rig.settled.items() if k in values}},
        structure=structure,
        port=port,
        loads=loads,
        feed=feed,
        bill=tuple(BillItem(part=p, quantity=q, use=u) for (p, u), q in (*rig.parts.items(), *metres.items())),
        trims=tuple(trims),
        serves=tuple(serves),
        weak_point=f"{family.weak_point}{_sharp_words(rig.apex_deg)}",
        apex_deg=rig.apex_deg if _is_sharp(rig.apex_deg) else None,
        by_band=by_band,
        switched_by=switched_by,
    )


def _is_sharp(apex_deg: float) -> bool:
    return apex_deg < 89.5


def _sharp_words(apex_deg: float) -> str:
    """What a design says of an apex sharper than a right angle."""
    return f" Its apex of {apex_deg:.0f} degrees is sharper than a right angle, for want of room: the legs work against each other." if _is_sharp(apex_deg) else ""
