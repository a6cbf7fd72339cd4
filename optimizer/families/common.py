"""What families share in building: what holds the wire, conductors, feed line, closing of a design.

Wire spare and tie lengths are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import replace

from ..parts.catalogue import part, transformer_for, tuner_for
from ..parts.conductors import wire_type
from ..parts.ready_made import BOUGHT, OWN
from ..site.model import Site
from ..wires.model import Point3, Wire
from .choices import CABLES, Ground, limit_m, make_of
from .design import BillItem, Design, Feed, all_of
from .family import NoPlace
from .line_outside import FEED
from .pieces import most_share, pieces_of, spares_m
from .placement import plot_of
from .rig import Rig
from .sag import Hung, Sag

WIRE = "wire_pvc_stranded_1_5mm2"
COUNTERPOISE_WIRE = "wire_counterpoise"


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


def wire_bill(pieces, spares) -> dict[tuple[str, str], float]:
    """Conductors as they are cut, each with its spare: (part, use) -> metres."""
    found = {}
    for piece, spare_m in zip(pieces, spares):
        lying = piece.role == "counterpoise"
        key = (COUNTERPOISE_WIRE, "counterpoise") if lying else (WIRE, "radiator")
        found[key] = found.get(key, 0.0) + piece.cut_m(spare_m)
    return found


def with_spare(design: Design, uncut: Design | None, cut_m: dict[str, float]) -> Design:
    """The design with wire on its bill for its lengths as first cut. `uncut`: built with those, None where that does not stand."""
    pieces, longer = (pieces_of(d.structure.wires, d.port, d.all_loads) if d else () for d in (design, uncut))
    metres = wire_bill(pieces, spares_m(pieces, longer, most_share(cut_m, design.values)))
    items = (replace(i, quantity=metres.get((i.part, i.use), i.quantity)) for i in design.bill)
    return replace(design, bill=tuple(items))


def _bought(rig: Rig) -> list[BillItem]:
    """What the rig takes: added up, but each length that comes off one piece for itself."""
    lots = ((p, u, q if part(p).in_one_piece else [sum(q)]) for (p, u), q in rig.parts.items())
    return [BillItem(part=p, quantity=each, use=u) for p, u, q in lots for each in q]


def close(family, rig: Rig, values, wires, *, port, feed, trims=(), loads=(), serves=(), detail="", by_band=(), switched_by="") -> Design:
    """The finished design, its wires hanging with their sag."""
    hung = Hung(wires, Sag(rig.lines), port)
    rig.follow(hung)
    structure, port, loads = rig.structure(hung.wires), hung.moved(port), tuple(hung.moved(load) for load in loads)
    by_band = tuple((key, tuple(hung.moved(load) for load in switched)) for key, switched in by_band)
    pieces = pieces_of(structure.wires, port, all_of(loads, by_band))
    metres = wire_bill(pieces, [p.share_m() for p in pieces])
    return Design(
        family=family.key,
        title=f"{family.title}{', ' + detail if detail else ''}",
        values={**values, **{k: v for k, v in rig.settled.items() if k in values}},
        structure=structure,
        port=port,
        loads=loads,
        feed=feed,
        bill=(*_bought(rig), *(BillItem(part=p, quantity=q, use=u) for (p, u), q in metres.items())),
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
