"""The leaders of a ranking built and trimmed in an ensemble of gardens, best first, as far as time goes; then ranked again.

A row judged so counts with the score of a stated quantile of its gardens. A row whose turn did not come has no spread; its
nominal score is lowered by what the judged rows lost on the median, so that nobody leads for want of a test.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from statistics import median

from ..evaluate import Evaluation, Storey
from .book import Book
from .clock import Clock
from .crew import Job
from .refine import worked_off
from .settings import SearchSettings

TRIALS_A_ROW = 20  # with a number of trials instead of a time: one row judged for so many


def storey_of(book: Book, settings: SearchSettings) -> Storey:
    about = {"swr_limit": book.wishes.swr_limit, "garden_weights": settings.garden_weights}
    return replace(settings.full, name="spread", members=settings.members, **about)


def spread_out(rows: list[Evaluation], book: Book, crew, clock: Clock, settings: SearchSettings, report: Callable[[], None]) -> None:
    """Build and trim the rows in all gardens, best first, as far as that is not known."""
    storey = storey_of(book, settings)
    best = sorted(rows, key=lambda e: -e.total)[: _most(settings)] if settings.members else []
    best = [row for row in best if book.rebuilds(row)]  # a design taken over as it stood cannot be trimmed anew
    jobs = [Job(row.family, row.values, storey, book.key(row.design, storey)) for row in best]
    worked_off([book.begun(j) for j in jobs if book.known(j.key) is None], book, crew, clock, report)


def spread_rows(rows: list[Evaluation], book: Book, settings: SearchSettings) -> list[Evaluation]:
    """The rows, those judged over gardens with their spread; rows that leave their limits are dropped."""
    if not settings.members:
        return rows
    storey = storey_of(book, settings)
    return _ranked([_judged(book, book.key(row.design, storey), row) for row in rows])


def _most(settings: SearchSettings) -> int:
    """How many rows may be judged; time is the only limit where the run has one."""
    if settings.trials is None or settings.seconds is not None:
        return settings.rows
    return max(1, min(settings.rows, settings.trials // TRIALS_A_ROW))


def _judged(book: Book, key: str, row: Evaluation) -> Evaluation | None:
    entry = book.known(key)
    evaluation = book.judged(entry) if entry else None
    if evaluation is None:  # not judged, or broke down: no spread
        return row
    return evaluation if evaluation.fits else None


def _ranked(rows: list[Evaluation | None]) -> list[Evaluation]:
    rows = [row for row in rows if row is not None]
    kept = [row.settled / row.score.total for row in rows if row.settled is not None and row.score.total > 0]
    if not kept:
        return rows
    share = median(kept)
    return [row if row.settled is not None else replace(row, settled=share * row.score.total) for row in rows]
