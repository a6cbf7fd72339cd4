"""The design's wires solved once more for the sheet: SWR a little beyond each segment, and where it radiates.

Everything comes from the wire cases in the design's file, so the sheet shows the design as filed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..criteria.gain import FAR_ELEVATION_DEG, NEAR_ELEVATION_DEG
from ..families.line_outside import FEED
from ..field.solver import solve
from ..field.sweep import curve
from ..figures import BEFORE_PORT, HALF_WIDTH_DEG
from ..network.feedpoint import look
from ..physics.wishes import BandWish
from ..spread import FAR_DEG, NEAR_DEG, shown_hz  # noqa: F401 (the cuts: for users of the sky)
from .built import Built

NODES = 9
DENSE = 161
ELEVATIONS_DEG = np.arange(1.0, 90.5, 1.0)
BEARINGS_DEG = np.arange(0.0, 360.0, 5.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class SolvedBand:
    """freq_hz, swr (N,): at the radio; meter (N,): there without a tuner. gain_db (E, B): the sky at the segment's centre, per watt from the
    radio [dBi]; near_dbi, far_dbi: its means where near and far contacts leave."""

    wish: BandWish
    freq_hz: np.ndarray
    swr: np.ndarray
    meter: np.ndarray
    near_dbi: float
    far_dbi: float
    gain_db: np.ndarray


def solved_bands(built: Built) -> tuple[SolvedBand, ...]:
    """Every wished segment that the design's file holds."""
    return tuple(_solved(built, wish) for wish in built.wishes.bands if wish.key in built.cases)


def _solved(built: Built, wish: BandWish) -> SolvedBand:
    nodes = np.linspace(*shown_hz(wish.low_hz, wish.high_hz), NODES)
    case = built.cases[wish.key]
    solution = solve(case.wires, case.ports, case.loads, case.ground, nodes)
    fine = np.linspace(nodes[0], nodes[-1], DENSE)
    z = curve(nodes, solution.z_ohm, fine)
    swr, meter = (np.asarray(look(fine, z, feed).swr_radio, float) for feed in (built.feed, replace(built.feed, tuner=None)))
    middle = NODES // 2
    delivered = float(np.asarray(look(nodes, solution.z_ohm, built.feed).delivered)[middle]) * (1.0 - choke_share(built, wish.key))
    pattern = solution.pattern(middle)
    gain = pattern.gain(ELEVATIONS_DEG[:, None], BEARINGS_DEG[None, :]) * delivered
    near, far = (mean_dbi(pattern, wish, ends) + 10 * float(np.log10(delivered)) for ends in (NEAR_ELEVATION_DEG, FAR_ELEVATION_DEG))
    return SolvedBand(
        wish=wish, freq_hz=fine, swr=swr, meter=meter, near_dbi=near, far_dbi=far, gain_db=10 * np.log10(np.maximum(gain, 1e-6)),
    )  # fmt: skip


def choke_share(built: Built, key: str) -> float:
    """Of the port's power, what a choke at the feed takes, as filed: the case is solved without the line's outside."""
    budget = built.content["bands"][key].get("power_budget", {})
    port = sum(share for name, share in budget.items() if name not in BEFORE_PORT)
    return budget.get("choke", 0.0) / port if built.feed.choke_at == FEED and port else 0.0


def mean_dbi(pattern, wish: BandWish, elevations_deg) -> float:
    """Mean gain between two elevations, all bearings or about the wished one, as the table's figures are [dBi]."""
    return pattern.gain_mean_dbi(*elevations_deg, bearing_deg=wish.bearing_deg, half_width_deg=HALF_WIDTH_DEG)
