"""Which family is tried next, and how.

First everybody gets a few turns, and in a run that goes on from an earlier one all its starts. Then turns are of two kinds.

    scouts     random candidates, the more of a family the more it promises
    climbers   in the family that promises most, and the less the longer it has not grown, so that none that has come to its end keeps the turns

A family's promise is its best score, or that of a candidate that missed a limit when solved (exposure, say), less a fixed cost: so one that has
only just not come through is not taken for hopeless; but no more than the best of all counts. One that has not come to the end of its first climb
counts as half as far behind. A floor for the least tried, so that a late bloomer is not starved.
For the same reason scouts go to families far behind too in the first half of a run; then they keep to the leading ones.
"""

from __future__ import annotations

import math

from .study import FamilyStudy

FIRST_PART = 0.3  # of a fair share
FLOOR_PART = 0.2
SCOUTS_PART = 0.5
SCOUTS_BEHIND, LATE_SCOUTS_BEHIND, CLIMBERS_BEHIND = 16.0, 8.0, 6.0  # of a score of 100: so far behind the best a family gets 1/e of its turns
LATE = 0.5  # of a run
UNCLIMBED = 0.5  # of how far it is behind counts where a family was never climbed to a summit
LEAST_SHARE = 0.1
PATIENCE = 20  # turns without growth that halve what a family gets


def choose(studies: list[FamilyStudy], *, in_flight: dict[str, int], expected: int) -> tuple[FamilyStudy, bool]:
    """(the family to try next, whether to scout). `expected`: candidates the whole run can solve; ties go to the first listed."""
    fair = max(1.0, expected / len(studies))

    def tried(study: FamilyStudy) -> int:
        return study.turns + in_flight.get(study.family.key, 0)

    total = sum(map(tried, studies))
    least = min(studies, key=tried)
    if tried(least) < max(1.0, FIRST_PART * fair) or tried(least) < FLOOR_PART * total / len(studies):
        return least, False
    waiting = [s for s in studies if s.first and s.queued]
    if waiting:
        return min(waiting, key=tried), False
    best = max(s.best for s in studies)
    behind = {s.family.key: best - min(s.promise, best) for s in studies}
    scouts_behind = SCOUTS_BEHIND if total < LATE * expected else LATE_SCOUTS_BEHIND
    if sum(s.scouted for s in studies) < SCOUTS_PART * (total - sum(max(FIRST_PART * fair, s.first) for s in studies)):
        return min(studies, key=lambda s: (s.scouted + 1) / max(LEAST_SHARE, math.exp(-behind[s.family.key] / scouts_behind))), True

    def hope(study: FamilyStudy) -> float:
        return math.exp(-behind[study.family.key] * (1.0 if study.climbed else UNCLIMBED) / CLIMBERS_BEHIND) / (1.0 + study.stale / PATIENCE)

    return max(studies, key=hope), False
