"""Return paths of a vertical: raised radials of a quarter wave, or wires lying close to the soil.

Raised ones leave the foot out of reach, at equal turns about `bearing_deg`, each to a post; a single one is the trade's counterpoise. Lying ones run from the foot
`LYING_M` above the soil to stakes, evenly all round, each as long as the lot, houses and trees let it, at most
an eighth of a wavelength: lying wire is slow, and more of it does little (common practice, no source). Both are solved
as the wires they are. The choice `radials` is read as "4 raised", "8 lying".
"""

from __future__ import annotations

import math

import numpy as np

from ..site.model import Anchor, Span
from .bands import Band
from .choices import Ground, chosen, limit_m
from .common import conductor
from .family import NoPlace
from .hanging import BEND_IN_M, FOLD_SHARE, nearest_open
from .outline import BEARINGS_DEG, BINS, along, rolled
from .placement import Plot, plot_of
from .rig import Rig
from .standing import TIE_M, raised_m

LYING_M = 0.03
RAISED = ("2 raised", "3 raised", "4 raised", "1 raised")  # the last: a counterpoise
LYING = ("4 lying", "8 lying")
LYING_LEAST_M = 1.0
LYING_SHARE = 0.125  # of the wavelength
SPREAD_DEG = 120.0  # two raised radials; more stand evenly


def quarter_m(band: Band) -> float:
    return band.half_wave_m / 2


def foot_m(choice: str, base: Band) -> float:
    return raised_m(quarter_m(base)) if choice in RAISED else LYING_M


def radial_options(site, wishes, base: Band, up_m: float) -> tuple[str, ...]:
    """What a mast that must carry `up_m` of wire may stand over; NoPlace where it is too short for either."""
    high = limit_m(site, wishes)
    options = tuple(r for r in (*RAISED, *LYING) if foot_m(r, base) + up_m <= high + 1e-9)
    if not options:
        raise NoPlace("mast height", LYING_M + up_m - high, "too short for the wire up it")
    return options


def ground_of(base: Band, options) -> Ground:
    """Ground with room for two radials at a right angle: raised ones folded, lying ones short."""
    raised = quarter_m(base) * (1 - FOLD_SHARE) + BEND_IN_M
    need = LYING_LEAST_M + 0.2 if set(options) & set(LYING) else raised

    def missing(points, rooms):
        return (need - np.minimum(rooms, np.roll(rooms, BINS // 4, axis=1))).min(axis=1)

    return Ground(("vertical", need), missing)


def radial_words(choice: str) -> str:
    """The choice for a title."""
    return "one raised counterpoise" if choice == "1 raised" else f"{choice} radials"


def chosen_radials(rig: Rig, values, options) -> str:
    """The choice among the options, kept as settled."""
    rig.settled["radials"] = chosen(values, "radials", options)
    return rig.settled["radials"]


def lay(rig: Rig, values, base: Band, foot, choice: str) -> list:
    """All radials of the choice, placed."""
    count = int(choice.split()[0])
    return _raised(rig, values, base, foot, count) if choice in RAISED else _lying(rig, values, base, foot, count)


def _raised(rig: Rig, values, base, foot, count):
    """Turned together to where all find room, folded at need."""
    quarter, wires = quarter_m(base), []
    turn = min(SPREAD_DEG, 360.0 / count)
    alone = rig.missing(foot, quarter, foot[2], TIE_M, 0.0)
    turns = [(i - 0.5 * (count - 1)) * turn for i in range(count)]
    missing = np.maximum.reduce([rolled(alone, -round(t * BINS / 360.0)) for t in turns])
    middle = nearest_open(values["bearing_deg"], missing <= 0)
    if middle is None:
        raise NoPlace("lot", float(missing.min()), "no room for all radials")
    rig.settled["bearing_deg"] = middle
    for i, off in enumerate(turns):
        leg = rig.leg(foot, middle + off, 0.98 * quarter, foot[2], nominal_m=quarter)
        rig.span(foot, [leg])
        wires.append(conductor(f"radial {i + 1}", (foot, *leg.points), key="wire_counterpoise", role="counterpoise"))
    return wires


def _lying(rig: Rig, values, base, foot, count):
    rooms, wires = _rooms_on_ground(rig.plot, foot, tuple(rig.holds)), []
    wanted = LYING_SHARE * base.wavelength_m
    step = BINS // count
    shift = int(values["bearing_deg"] * BINS / 360.0) % step
    for i in range(count):
        at = shift + i * step
        run = min(wanted, float(rooms[at]) - 0.15)
        if run < LYING_LEAST_M:
            continue
        end = (*along(foot[:2], float(BEARINGS_DEG[at]), run), LYING_M)
        rig.anchors.append(Anchor(at_m=end[:2], kind="stake"))
        rig.buy("stake_end", "radials")
        rig.spans.append(Span(holds_m=(foot, end), lengths_m=(math.dist(foot, end),)))
        wires.append(conductor(f"radial {i + 1}", (foot, end), key="wire_counterpoise", role="counterpoise"))
    if len(wires) < count // 2:
        room = sorted(float(rooms[shift + i * step]) for i in range(count))[-(count // 2)]
        raise NoPlace("lot", LYING_LEAST_M + 0.15 - room, "no ground for half of the lying radials")
    return wires


def _rooms_on_ground(plot: Plot, foot, holds) -> np.ndarray:
    """Room for a lying wire along every bearing, clear of lot line, houses with their clearance, keep-outs and trees, (BINS,) [m]."""
    barred = [plot.lot, plot.blocked, *plot.obstacles.barring_ground(holds)]
    return np.minimum.reduce([outline.rooms(foot) for outline in barred])


def mast_places(site, wishes, options, ground: Ground) -> tuple[str, ...]:
    """Those of the apex options where a mast of one's own may stand."""
    plot = plot_of(site)
    found = tuple(o for o in options if o == "mast" or o in plot.mast_points)
    if not found:
        raise NoPlace("support", 0.1, "no ground for a mast of its own")
    return found
