"""How far a band is usable: its covered share, with a little credit for coming near.

A curve that nowhere meets the limit still says how far off it is. That credit (at most `NEAR_MISS`) keeps the
ranking of near misses in order and gives the search a slope to climb; it never outweighs covered spectrum.
"""

from __future__ import annotations

NEAR_MISS = 0.15


def reach(*, covered_share: float, swr_best: float, swr_worst: float, swr_limit: float) -> float:
    """0..1: covered share plus near-miss credit for the rest of the segment."""
    near = 0.5 * (closeness(swr_best, swr_limit) + closeness(swr_worst, swr_limit))
    return covered_share + (1.0 - covered_share) * NEAR_MISS * near


def closeness(swr: float, swr_limit: float) -> float:
    """1 at or under the limit, falling as limit over SWR."""
    return min(1.0, swr_limit / swr)
