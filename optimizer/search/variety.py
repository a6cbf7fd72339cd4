"""Choosing the table's rows: the best first, but no two that stand nearly alike, and few of one family."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ..evaluate import Evaluation

ALIKE_M = 0.8


def alike(a: Evaluation, b: Evaluation) -> bool:
    """Same family, and every wire's points within `ALIKE_M` of the other's."""
    if a.family != b.family:
        return False
    wires_a, wires_b = a.design.structure.wires, b.design.structure.wires
    if [len(w.points_m) for w in wires_a] != [len(w.points_m) for w in wires_b]:
        return False
    pairs = ((p, q) for w, v in zip(wires_a, wires_b) for p, q in zip(w.points_m, v.points_m))
    return all(math.dist(p, q) < ALIKE_M for p, q in pairs)


def distinct(evaluations: Iterable[Evaluation], *, rows: int, per_family: int) -> list[Evaluation]:
    """At most `rows` of them, best first, at most `per_family` of one family, none alike."""
    chosen: list[Evaluation] = []
    for one in sorted(evaluations, key=lambda e: -e.total):
        same = [c for c in chosen if c.family == one.family]
        if len(same) < per_family and not any(alike(one, c) for c in same):
            chosen.append(one)
        if len(chosen) >= rows:
            break
    return chosen
