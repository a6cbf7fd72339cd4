"""Where a search begins that knows an earlier run: its best, as they stood, and fitted to today's ranges and limits.

With a taller mast allowed, a good design is tried with its own raised by as much. The same spot may then have no room for the guys, or the wires stand
too steep; a little aside there is room. Placing costs a millisecond, so some hundreds of random steps, each wider than the one before, are no search.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from ..families.family import Family, NoPlace
from ..families.wished import of_today
from ..physics.wishes import WishList
from ..site.model import Site
from .book import Book
from .space import inside, stretched
from .surface import Coding
from .variety import distinct

MOST, AS_THEY_STOOD = 4, 2  # different designs of one family; of these as they stood, where they are tried otherwise too
FAR_BEHIND = 0.8  # of the best of all: a family whose best is less may bloom under other limits, so all its hand-made starts are tried, and only its best stored one
BESIDE_STORED = 3  # hand-made starts of the others
STEPS = 120
WIDEST = 0.3  # of a parameter's range


@dataclass(frozen=True, kw_only=True)
class Before:
    """An earlier run: its site and wishes; family key → values of its rows, the best first."""

    site: Site
    wishes: WishList
    rows: dict[str, list[dict]] = field(default_factory=dict)


def far_behind(family: Family, book: Book) -> bool:
    """Is what is stored of the family far behind the best of all?"""
    mine, best = book.best(family.key), book.best()
    return bool(mine) and mine[0].total < FAR_BEHIND * best[0].total


def warm_starts(family: Family, book: Book, before: Before | None) -> list[dict]:
    """Values to begin with: different designs among the best that the book holds of the family, else what stood with another tuner or make of parts,
    else the earlier run's rows; first stretched to today's ranges, where they moved, with today's choices, then as they were."""
    most = 1 if before and far_behind(family, book) else MOST
    best = _best(book.found, family, most) or (_best(book.outdated, family, most) if before else [])
    kept = [e.values for e in best] or (before.rows.get(family.key, []) if before else [])
    if not kept or before is None:
        return kept
    try:
        ranges = family.parameters(before.site, before.wishes), family.parameters(book.site, book.wishes)
    except NoPlace:
        return kept
    raised = [of_today(stretched(values, *ranges), book.wishes) for values in kept]
    anew = [now for now, then in zip(raised, kept) if now != then]
    return anew + kept[: AS_THEY_STOOD if anew else MOST]


def _best(stored: dict, family: Family, most: int) -> list:
    return distinct((e for e in stored.values() if e.family == family.key), rows=most, per_family=most)


def mended(values: dict, space: dict, stands: Callable[[dict], bool], seed: int) -> dict:
    """The values, or where they do not stand, the first of the steps that do; as they are where none does. Choices stay as they are.

    stands : of values, does that keep every limit of place?
    """
    coding, rng = Coding(space), np.random.default_rng(seed)
    numbers, choices = coding.point(inside(values, space))
    for step in np.linspace(0.0, WIDEST, STEPS):
        near = coding.folded(numbers + step * rng.standard_normal(len(numbers)))
        if stands(aside := values | coding.values((near, choices))):
            return aside
    return values
