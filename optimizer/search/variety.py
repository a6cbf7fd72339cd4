"""Choosing the table's rows: every family worth a look, no two that stand nearly alike, few of one family."""

from __future__ import annotations

import math
from collections.abc import Iterable

from ..evaluate import Evaluation

ALIKE_M = 1.5
WORTH_A_LOOK = 0.5


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
