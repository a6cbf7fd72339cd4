"""A small contest between all families on one lot: the best of each one's first starts, trimmed and judged coarsely."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.evaluate import COARSE, Evaluation, evaluate
from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace

STARTS = 4


@dataclass(frozen=True)
class Entry:
    family: str
    best: Evaluation


def contest(site, wishes, families=tuple(FAMILIES), starts=STARTS) -> list[Entry]:
    """Entries that keep every limit, best first."""
    found = []
    for key in families:
        runs = [e for e in _tried(site, wishes, FAMILIES[key], starts) if e.fits]
        if runs:
            found.append(Entry(key, max(runs, key=lambda e: e.total)))
    return sorted(found, key=lambda e: -e.best.total)


def _tried(site, wishes, family, starts):
    if not family.serves(wishes):
        return
    try:
        proposals = list(family.starts(site, wishes))[:starts]
    except NoPlace:
        return
    for values in proposals:
        yield evaluate(site, wishes, family, values, COARSE)
