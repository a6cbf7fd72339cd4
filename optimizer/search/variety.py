"""Choosing the table's rows: every family worth a look, no two that stand nearly alike, few of one family."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from ..evaluate import Evaluation

ALIKE_M, ALIKE_SHARE = 3.0, 0.13  # the lesser of this and of this share of all the wire counts
SAMPLE_M = 1.0
WORTH_A_LOOK = 0.5


def alike(a: Evaluation, b: Evaluation) -> bool:
    """Same family, and every point of either's wires near the other's, whichever end is called the first: within `ALIKE_M`, or on small wires `ALIKE_SHARE`."""
    if a.family != b.family:
        return False
    one, other = _along(a), _along(b)
    apart = np.linalg.norm(one[:, None] - other[None], axis=2)
    return bool(max(apart.min(axis=0).max(), apart.min(axis=1).max()) < min(ALIKE_M, ALIKE_SHARE * SAMPLE_M * max(len(one), len(other))))


def _along(evaluation: Evaluation) -> np.ndarray:
    """Points about every `SAMPLE_M` along all wires, (n, 3)."""
    points = []
    for wire in evaluation.design.structure.wires:
        corners = np.array(wire.points_m)
        s = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))))
        at = np.linspace(0.0, s[-1], 2 + int(s[-1] / SAMPLE_M))
        points.append(np.column_stack([np.interp(at, s, corners[:, c]) for c in range(3)]))
    return np.concatenate(points)


def distinct(evaluations: Iterable[Evaluation], *, rows: int, per_family: int) -> list[Evaluation]:
    """At most `rows` of them, best first: the best of every family worth a look, then what scores next.

    At most `per_family` of one family, none alike. A family is worth a look from `WORTH_A_LOOK` of the best score on.
    """
    ranked = sorted(evaluations, key=lambda e: -e.total)
    heads: dict[str, Evaluation] = {}
    for one in ranked:
        heads.setdefault(one.family, one)
    chosen = [e for e in heads.values() if e.total >= WORTH_A_LOOK * ranked[0].total][:rows]
    for one in ranked:
        if len(chosen) >= rows:
            break
        same = [c for c in chosen if c.family == one.family]
        if len(same) < per_family and not any(alike(one, c) for c in same):
            chosen.append(one)
    return sorted(chosen, key=lambda e: -e.total)


def front(evaluations: Iterable[Evaluation]) -> list[Evaluation]:
    """Those that nothing beats in both: the performance of none that costs no more is as good. Best first."""
    found: list[Evaluation] = []
    for one in sorted(evaluations, key=lambda e: (e.cost, -e.score.performance)):
        if not found or one.score.performance > found[-1].score.performance:
            found.append(one)
    return found[::-1]
