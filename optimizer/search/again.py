"""A table from stored work alone: nothing is searched, nothing solved but what a new row has to tell of its safety.

For changed weights, or a budget or mast limit that only got tighter: all that was found is judged again.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from copy import copy
from dataclasses import replace
from time import monotonic

from ..criteria.cost import budget_margin
from ..evaluate import Evaluation
from ..physics.wishes import WishList
from ..site.model import Site
from .book import Book
from .keys import design_key, versions
from .ledger import Ledger
from .reasons import outscored, reason_of
from .refine import full_rows, leaders_of
from .settings import RankResult, SearchSettings
from .spread_out import spread_rows
from .variety import distinct


def rank_again(site: Site, wishes: WishList, settings: SearchSettings, told: dict[str, str]) -> RankResult:
    """The table under these wishes and weights; without rows where nothing stored fits.

    told : family key → why it was not offered before, kept where stored work says nothing better
    """
    began = monotonic()
    with Ledger(settings.ledger) as ledger:
        book = Book(site, wishes, settings.weights, ledger)
        book.take_over(settings.coarse, tighter=True)
        rows = _table(book, settings)
        return RankResult(
            rows=tuple(rows), rejected=_why_not(book, rows, told), relaxations=(), tried=0, reused=book.taken_over, ruled_out=0, failed={},
            elapsed_s=monotonic() - began, interrupted=False, versions=versions(), weights=settings.weights, note=book.ledger.note, safety=tuple(book.safety(row) for row in rows),
        )  # fmt: skip


def rows_for_less(book: Book, settings: SearchSettings) -> Iterator[Evaluation]:
    """Rows that smaller and smaller budgets would bring into the table, each once: the dearest row left out, and again."""
    told: set[str] = set()
    found, purse = book.found, copy(book)
    while found:
        purse.found, purse.nearest = dict(found), dict(book.nearest)
        rows = _table(purse, settings)
        for row in rows:
            key = design_key(row.design)
            if key not in told:
                told.add(key)
                yield row
        dearest = min(max((row.cost for row in rows), default=math.inf), max(e.cost for e in found.values()))
        found = {key: e for key, e in found.items() if e.cost < dearest}


def but_for_money(book: Book, settings: SearchSettings) -> dict[str, Evaluation]:
    """Family key → the cheapest of what is stored that keeps every limit but the budget, as known best."""
    if book.wishes.budget is None:
        return {}
    purse = Book(book.site, replace(book.wishes, budget=None), book.weights, book.ledger)
    for storey in (settings.coarse, settings.full):
        purse.take_over(storey, tighter=True)
    rows = spread_rows(full_rows(list(purse.found.values()), purse, settings), purse, settings)
    dear = sorted((row for row in rows if row.cost > book.wishes.budget), key=lambda row: -row.cost)
    return {row.family: replace(row, margins=row.margins | {"budget": budget_margin(row.cost, book.wishes.budget)}) for row in dear}


def _table(book: Book, settings: SearchSettings) -> list[Evaluation]:
    rows = spread_rows(full_rows(leaders_of(book, settings), book, settings), book, settings)
    return distinct(rows, rows=settings.rows, per_family=settings.rows_per_family)


def _why_not(book: Book, rows: list[Evaluation], told: dict[str, str]) -> dict[str, str]:
    offered = {row.family for row in rows}
    best = {key: book.best(key) for key in sorted({e.family for e in book.found.values()})}
    fresh = {k: reason_of(book.came_nearest(k)) for k in book.nearest} | {k: outscored(e[0]) for k, e in best.items()}
    return {k: why for k, why in (told | fresh).items() if k not in offered}
