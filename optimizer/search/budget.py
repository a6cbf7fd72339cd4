"""Which family is tried next, and how.

First everybody gets a few turns. Then turns go by halves: one half scouts, with random candidates, the more of a family the more it may
come to, for what one lucky place showed of a family is not what it can do; the other half is evolution's, in the family that may yet end highest.
What a family may come to is its best, and a margin for how widely its candidates scatter that shrinks with its turns (as the upper bounds of
bandits do). A floor for the least tried, so that a late bloomer is not starved. So of the better kinds as many random candidates are seen as equal
shares for everybody would give, with half of the turns left to climb.
"""

from __future__ import annotations

import math

from .study import FamilyStudy

FIRST_PART = 0.2  # of a fair share
FLOOR_PART = 0.2
SCOUTS_PART = 0.5
NEARNESS = 2  # power of a family's part of the best hope that its share of scouts goes by
LEAST_SHARE = 0.05
MARGIN = 1.0


def choose(studies: list[FamilyStudy], *, in_flight: dict[str, int], expected: int) -> tuple[FamilyStudy, bool]:
    """(the family to try next, whether to scout). `expected`: candidates the whole run can solve; ties go to the first listed."""
    fair = max(1.0, expected / len(studies))

    def tried(study: FamilyStudy) -> int:
        return study.turns + in_flight.get(study.family.key, 0)

    total = sum(map(tried, studies))
    least = min(studies, key=tried)
    if tried(least) < max(1.0, FIRST_PART * fair) or tried(least) < FLOOR_PART * total / len(studies):
        return least, False
    if sum(s.scouted for s in studies) < SCOUTS_PART * (total - FIRST_PART * fair * len(studies)):
        hopes = {s.family.key: _hope(s, s.solved, total) for s in studies}
        most = max(*hopes.values(), 1e-9)
        return min(studies, key=lambda s: (s.scouted + 1) / max(LEAST_SHARE, (hopes[s.family.key] / most) ** NEARNESS)), True
    return max(studies, key=lambda s: _hope(s, tried(s), total)), False


def _hope(study: FamilyStudy, turns: int, total: int) -> float:
    """Score that the family may yet come to."""
    return study.best + MARGIN * study.spread * math.sqrt(math.log(total) / max(1, turns))
