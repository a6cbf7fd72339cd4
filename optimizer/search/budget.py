"""Which family is tried next, and how.

First everybody gets a few turns. Then turns go by halves.

    scouts     random candidates, the more of a family the more it may come to: its best, and a margin for how widely its candidates scatter that
               shrinks with their number (as the upper bounds of bandits do); for what one lucky place showed of a family is not what it can do
    evolution  in the family that may most likely beat the best of all: the nearer to it, measured by its own scatter, the sooner; and the later the
               longer it has not grown, so that none that has come to its end keeps the turns

A floor for the least tried, so that a late bloomer is not starved. So of the better kinds as many random candidates are seen as equal shares for everybody
would give, with half of the turns left to climb.
"""

from __future__ import annotations

import math

from .study import FamilyStudy

FIRST_PART = 0.2  # of a fair share
FLOOR_PART = 0.2
SCOUTS_PART = 0.5
MARGIN = 1.0
NEARNESS = 2  # power of a family's part of the best hope that its share of scouts goes by
LEAST_SHARE = 0.05
PATIENCE = 50  # turns without growth that halve what is expected of a family
LEAST_SCATTER = 1.0  # of a score of 100


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
        hopes = {s.family.key: s.best + MARGIN * s.spread * math.sqrt(math.log(total) / max(1, s.solved)) for s in studies}
        most = max(*hopes.values(), 1e-9)
        return min(studies, key=lambda s: (s.scouted + 1) / max(LEAST_SHARE, (hopes[s.family.key] / most) ** NEARNESS)), True
    best = max(s.best for s in studies)
    return max(studies, key=lambda s: math.exp((s.best - best) / max(s.spread, LEAST_SCATTER)) / (1.0 + s.stale / PATIENCE)), False
