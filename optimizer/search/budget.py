"""Which family is tried next.

First everybody gets an equal share, up to two fifths of a fair share; then the family whose best is forecast to end
highest, with a floor for the least tried so that a late bloomer is not starved. Equal shares make the best table
over families, the forecast the best winner.
"""

from __future__ import annotations

from .study import FamilyStudy

EQUAL_PART = 0.4
FLOOR_PART = 0.25


def forecast(study: FamilyStudy, left: int) -> float:
    """Best score expected after `left` more candidates: the rise over the later half of its history, slowing down."""
    if study.solved < 2:
        return study.best
    recent = study.best - study.history[study.solved // 2 - 1]
    return study.best + recent * min(1.0, left / study.solved)


def choose(studies: list[FamilyStudy], *, in_flight: dict[str, int], expected: int) -> FamilyStudy:
    """The family to try next. `expected`: candidates the whole run can solve; ties go to the first listed."""
    fair = max(1.0, expected / len(studies))

    def tried(study: FamilyStudy) -> int:
        return study.turns + in_flight.get(study.family.key, 0)

    total = sum(map(tried, studies))
    least = min(studies, key=tried)
    if tried(least) < EQUAL_PART * fair:
        return least
    if tried(least) < FLOOR_PART * total / len(studies):
        return least
    left = max(0, expected - total)
    return max(studies, key=lambda s: forecast(s, left))
