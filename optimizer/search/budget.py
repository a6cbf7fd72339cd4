"""Which family is tried next, and how.

First everybody gets a few turns. Then turns go by halves: one half scouts, with random candidates of all families within sight of the best, for what one lucky
place showed of a family is not what it can do; the other half is evolution's, in the family that may yet end highest: its best, and a margin
for how widely its candidates scatter that shrinks with its turns (as the upper bounds of bandits do). A floor for the least tried, so that a late bloomer is not
starved. So of all kinds worth a row as many random candidates are seen as equal shares for everybody would give, with half of the turns left to climb.
"""

from __future__ import annotations

import math

from .study import FamilyStudy

FIRST_PART = 0.2  # of a fair share
IN_SIGHT = 0.7  # of the best score
FLOOR_PART = 0.2
SCOUTS_PART = 0.5
MARGIN = 1.0


def choose(studies: list[FamilyStudy], *, in_flight: dict[str, int], expected: int) -> tuple[FamilyStudy, bool]:
    """(the family to try next, whether to scout). `expected`: candidates the whole run can solve; ties go to the first listed."""
    fair = max(1.0, expected / len(studies))

    def tried(study: FamilyStudy) -> int:
        return study.turns + in_flight.get(study.family.key, 0)

    total, best = sum(map(tried, studies)), max(s.best for s in studies)
    least = min(studies, key=tried)
    if tried(least) < max(1.0, FIRST_PART * fair) or tried(least) < FLOOR_PART * total / len(studies):
        return least, False
    if sum(s.scouted for s in studies) < SCOUTS_PART * (total - FIRST_PART * fair * len(studies)):
        return min((s for s in studies if s.best >= IN_SIGHT * best), key=lambda s: s.scouted), True
    return max(studies, key=lambda s: s.best + MARGIN * s.spread * math.sqrt(math.log(total) / tried(s))), False
