"""What quarter-wave wires up a pole share: bands, their mast, the wires from its top, radials, closing.

The return path are radials, raised or lying (see `radials`); the foot stands as high as they do.
"""

from __future__ import annotations

from ..wires.model import Port
from .bands import harmonics, heaviest, names, wished_bands
from .choices import BEARING, apex_options, apex_parameters, choice, chosen, line_parameters, remember
from .common import apex_foot, apex_top, close, coax_feed, conductor
from .design import TrimStep
from .family import NoPlace
from .hanging import nearest_open
from .placement import plot_of
from .radials import (
    chosen_radials,
    foot_m,
    ground_of,
    mast_places,
    quarter_m,
    radial_options,
)
from .rig import Rig
from .standing import TIE_M
from .starts import sifted

TOP_SPARE_M = 0.1  # of the mast above its wire


def served(base, wishes):
    return harmonics(base, wished_bands(wishes), odd_only=True)


def serves(wishes) -> tuple[str, ...]:
    base = heaviest(wished_bands(wishes), lambda b: served(b, wishes))
    return names(served(base, wishes)) if base else ()


def held(site, wishes, key, holds):
    def find():
        return heaviest([b for b in wished_bands(wishes) if holds(b)], lambda b: served(b, wishes))

    return remember(plot_of(site), (key, wishes), find)


def straight_up_m(base) -> float:
    return quarter_m(base) * 1.03 + TOP_SPARE_M


def mast_parameters(site, wishes, base, radials):
    """Where a mast of one's own stands, over which radials, turned how: supports are not offered."""
    ground = ground_of(base, radials)
    spots = choice("mast_at", mast_places(site, wishes, apex_options(site, wishes, ground), ground))
    area = [p for p in apex_parameters(site, wishes, ground) if p.name not in ("apex_m", "apex_at")]
    return [*spots, *area, *choice("radials", radials), BEARING, *line_parameters(wishes)]


def bent_radials(site, wishes, base) -> tuple[str, ...]:
    return radial_options(site, wishes, base, 0.5)


def put_mast(rig, values, base, height, radials):
    """Top of the mast of that height, at its place."""
    ground = ground_of(base, radials)
    where = chosen(values, "mast_at", mast_places(rig.site, rig.wishes, apex_options(rig.site, rig.wishes, ground), ground))
    at, high = apex_foot(rig, {**values, "apex_m": height}, where, ground)
    if height > high + 1e-9:
        raise NoPlace("mast height", height - high)
    return apex_top(rig, where, at, height)


def under_a_mast(values, site, wishes, base):
    """Rig, radials as chosen, top of a mast of `apex_m` and the foot below it, for what goes up the mast and on from its top."""
    options = bent_radials(site, wishes, base)
    rig = Rig(site, wishes)
    radials = chosen_radials(rig, values, options)
    top = put_mast(rig, values, base, values["apex_m"], options)
    return rig, radials, top, (*top[:2], foot_m(radials, base))


def finish(family, rig, values, base, points, wires, reachable, detail):
    bands = served(base, rig.wishes)
    trims = (
        TrimStep(
            element="wire, at its foot", parameter="wire_m", band=base.key, target_mhz=base.centre_mhz, reachable=reachable,
            disturbs=tuple(b.key for b in bands if b is not base), note="radials stay as cut, all alike",
        ),
    )  # fmt: skip
    rig.buy("strain_relief", "feed point", 1 + len(wires))
    feed = coax_feed(rig, values, points[0], base.low_hz)
    port = Port(name="feed", wire="main", at_m=0.0)
    return close(
        family, rig, values, (conductor("main", points), *wires), port=port, feed=feed, trims=trims, serves=names(bands), detail=detail
    )


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


def starts_of(family_of, base_of):
    def starts(site, wishes):
        quarter = quarter_m(base_of(site, wishes))
        return [
            s for radials in usual_radials(family_of(), site, wishes) for s in sifted(family_of(), site, wishes, {"wire_m": 0.98 * quarter, "radials": radials}, most=4)
        ]

    return starts
