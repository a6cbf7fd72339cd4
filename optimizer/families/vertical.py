"""Quarter-wave wire straight up a pole over radials.

Serves the wished band it is cut for, the heaviest that the mast limit lets stand up, and wished bands near three, five ... times it;
the lowest of equals.
"""

from __future__ import annotations

import math

from ..site.model import Span
from .bands import wished_bands
from .choices import length, limit_m
from .family import Family, NoPlace
from .radials import (
    LYING_M,
    chosen_radials,
    foot_m,
    lay,
    quarter_m,
    radial_options,
    radial_words,
)
from .rig import Rig
from .upright import TOP_SPARE_M, finish, held, mast_parameters, put_mast, serves, starts_of, straight_up_m


def _base(site, wishes):
    high = limit_m(site, wishes)
    found = held(site, wishes, "vertical", lambda b: LYING_M + straight_up_m(b) <= high)
    if found is None:
        shortest = min((straight_up_m(b) for b in wished_bands(wishes)), default=0.0)
        raise NoPlace("mast height", LYING_M + shortest - high, "no quarter wave stands up")
    return found


def _parameters(site, wishes):
    base = _base(site, wishes)
    radials = radial_options(site, wishes, base, straight_up_m(base))
    return (*mast_parameters(site, wishes, base, radials), length("wire_m", quarter_m(base)))


def _build(values, site, wishes):
    base = _base(site, wishes)
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
    return finish(FAMILY, rig, values, base, (foot, end), wires, True, f"{base.name}, {radial_words(radials)}")


FAMILY = Family(
    key="vertical",
    title="Quarter-wave vertical",
    serves=serves,
    parameters=_parameters,
    build=_build,
    starts=starts_of(lambda: FAMILY, _base),
    weak_point="Poor for near contacts, hears the house's noise, and loses in poor soil and few radials.",
)
