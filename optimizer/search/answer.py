"""The answer of a run: its rows with what is to be told of each, and why the other kinds of wire are not among them."""

from __future__ import annotations

from ..evaluate import Evaluation
from .book import Book
from .keys import versions
from .settings import RankResult


def answered(rows: list[Evaluation], book: Book, searching, clock, *, interrupted: bool) -> RankResult:
    """Result of a search, as far as it has come."""
    from ..families.catalogue import FAMILIES

    offered = {e.family for e in rows}
    return RankResult(
        rows=tuple(rows), rejected={f.key: searching.why_not(f) for f in FAMILIES.values() if f.key not in offered}, relaxations=(),
        tried=searching.tried, reused=searching.reused, ruled_out=sum(t.ruled_out for t in searching.studies.values()),
        failed=dict(searching.failed), elapsed_s=clock.elapsed_s, interrupted=interrupted, versions=versions(), weights=book.weights, note=book.ledger.note,
        safety=tuple(book.safety(row) for row in rows),
    )  # fmt: skip
