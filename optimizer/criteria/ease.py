"""How easily a design is trimmed: from the ground or not, how many cuts and folds, how much the bands pull on each other.

Half is reaching the trim points without lowering anything ("worth money and skin"); a quarter each is few moves (two are as good as
none, twelve or more worth nothing) and lengths that leave other bands alone. Common practice, no source.
"""

from __future__ import annotations

FREE_MOVES, MOST_MOVES = 2.0, 12.0


def ease(*, reachable_share: float, moves: float, interaction: float) -> float:
    """0..1. `reachable_share`: of the trim steps; `interaction`: 0 where no length moves another's band, 1 where it moves nothing else."""
    few = min(1.0, max(0.0, (MOST_MOVES - moves) / (MOST_MOVES - FREE_MOVES)))
    return 0.5 * reachable_share + 0.25 * few + 0.25 * (1.0 - interaction)
