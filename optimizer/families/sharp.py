"""Apexes sharper than a right angle, where nothing else fits.

The trade's limit is a right angle at the support (common practice, no source): sharper legs work against each other. On a lot so narrow that no wire
of that length hangs with a blunt apex, `apex_least_deg` becomes a parameter, down to 60 degrees; such a design says so.
"""

from __future__ import annotations

import math

from .choices import remember
from .family import NoPlace, Parameter
from .likely import stands
from .placement import Plot, plot_of
from .rig import APEX_MIN_DEG

APEX_LEAST_DEG = 60.0
SHARP = Parameter(name="apex_least_deg", low=APEX_LEAST_DEG, high=APEX_MIN_DEG)
TRIES = 200


def least_deg(values) -> float:
    """The sharpest apex these values allow."""
    return values.get(SHARP.name, APEX_MIN_DEG)


def run_share(apex_deg: float) -> float:
    """Plan run of a leg whose apex is that sharp, over that of a leg at a right angle."""
    return math.sin(math.radians(0.5 * apex_deg)) / math.sin(math.radians(0.5 * APEX_MIN_DEG))


def drop_share(apex_deg: float) -> float:
    """What an apex that sharp may be above the ends, over the whole wire; the trade's 0.36 at a right angle."""
    return 0.5 * math.cos(math.radians(0.5 * apex_deg)) + 0.36 - 0.5 * math.cos(math.radians(0.5 * APEX_MIN_DEG))


def run_over_drop(apex_deg: float, straight: float = 1.0) -> float:
    """Plan run over drop of two like legs with that apex; `straight`: cosine of the turn between them in plan."""
    cos = math.cos(math.radians(apex_deg))
    return math.sqrt((1.0 - cos) / (straight + cos))


def may_hang_sharp(plot: Plot, length_m: float) -> bool:
    """A rough first look: could a wire that long be hung with the sharpest apex?"""
    return math.sin(math.radians(0.5 * APEX_LEAST_DEG)) * length_m <= plot.reach_m


def sharp_at_need(site, key, placed, structure) -> list[Parameter]:
    """Parameters with a blunt apex, or where only a sharper one hangs on that lot, those with `SHARP` among them.

    placed(deg): placement with apexes down to that angle, or NoPlace; structure(values): the wire alone, hung; `key` tells equal askings apart.
    """
    try:
        blunt, missed = placed(APEX_MIN_DEG), None
    except NoPlace as found:
        blunt, missed = None, found

    def needed() -> bool:
        if blunt and stands(structure, site, blunt, TRIES):
            return False
        try:
            return stands(structure, site, [*placed(APEX_LEAST_DEG), SHARP], TRIES)
        except NoPlace:
            return False

    if remember(plot_of(site), ("sharp", *key), needed):
        return [*placed(APEX_LEAST_DEG), SHARP]
    if missed:
        raise missed
    return blunt
