"""What a change of band asks of the operator's hands, in minutes, and its worth.

    change  mean minutes from one wished segment to another, every pair counted by the product of its weights
    worth   1 where nothing is to be done, linear down to 0 at `ALL_GONE_MIN`

Links and the like: a walk out and back, then either both ends let go and tied again, the links coming into reach (`ENDS`), or the middle or
the mast let down and raised again too (`MIDDLE`). A tuner: its own time, at the desk. Minutes are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from itertools import combinations

ALL_GONE_MIN = 6.0  # longer than that outside, and the band is not changed in an evening
ENDS, MIDDLE = "ends", "middle"
WORK_MIN = {ENDS: 3.0, MIDDLE: 6.0}
WALK_M_PER_MIN = 60.0


def handling(change_min: float) -> float:
    """0..1: worth of a mean change of band that takes so many minutes."""
    return min(1.0, max(0.0, 1.0 - change_min / ALL_GONE_MIN))


def outdoor_min(work: str, way_m: float) -> float:
    """Minutes outside for one change: `work` is ENDS or MIDDLE, `way_m` the way from the radio to the wire."""
    return WORK_MIN[work] + 2.0 * way_m / WALK_M_PER_MIN


def mean_change_min(weights: Sequence[float], states: Sequence[Hashable], *, outdoor_min: float, retune_min: float) -> float:
    """Mean minutes for a change of segment; out of doors only where the wire's `states` differ. Zero for a single segment."""
    pairs = [(weights[i] * weights[j], states[i] != states[j]) for i, j in combinations(range(len(weights)), 2)]
    total = sum(weight for weight, _ in pairs)
    return sum(weight * (retune_min + outdoor_min * differs) for weight, differs in pairs) / total if total else 0.0
