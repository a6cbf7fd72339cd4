"""The design's wires solved once more for the sheet: SWR a little beyond each segment, and where it radiates.

Everything comes from the wire cases in the design's file, so the sheet shows the design as filed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..field.solver import solve
from ..field.sweep import curve
from ..network.feedpoint import look
from ..physics.wishes import BandWish
from .built import Built

BEYOND_SHARE = 0.35  # of the segment's width, shown either side
BEYOND_LEAST = 0.006  # of the frequency
NODES = 9
DENSE = 161
ELEVATIONS_DEG = np.arange(1.0, 90.5, 1.0)
BEARINGS_DEG = np.arange(0.0, 360.0, 5.0)
FAR_DEG, NEAR_DEG = 15.0, 60.0


@dataclass(frozen=True, kw_only=True, eq=False)
class SolvedBand:
    """freq_hz, swr (N,): at the radio. gain_db (E, B): the sky at the segment's centre, per watt from the radio [dBi]."""

    wish: BandWish
    freq_hz: np.ndarray
    swr: np.ndarray
    gain_db: np.ndarray


def solved_bands(built: Built) -> tuple[SolvedBand, ...]:
    """Every wished segment that the design's file holds."""
    return tuple(_solved(built, wish) for wish in built.wishes.bands if wish.key in built.cases)


def _solved(built: Built, wish: BandWish) -> SolvedBand:
    beyond = max(BEYOND_SHARE * (wish.high_hz - wish.low_hz), BEYOND_LEAST * wish.centre_hz)
    nodes = np.linspace(wish.low_hz - beyond, wish.high_hz + beyond, NODES)
    case = built.cases[wish.key]
    solution = solve(case.wires, case.ports, case.loads, case.ground, nodes)
    fine = np.linspace(nodes[0], nodes[-1], DENSE)
    swr = look(fine, curve(nodes, solution.z_ohm, fine), built.feed).swr_radio
    middle = NODES // 2
    delivered = float(np.asarray(look(nodes, solution.z_ohm, built.feed).delivered)[middle])
    gain = solution.pattern(middle).gain(ELEVATIONS_DEG[:, None], BEARINGS_DEG[None, :]) * delivered
    return SolvedBand(wish=wish, freq_hz=fine, swr=np.asarray(swr, float), gain_db=10 * np.log10(np.maximum(gain, 1e-6)))
