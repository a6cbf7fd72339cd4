"""The leaders of a ranking built and trimmed in an ensemble of gardens, best first, as far as time goes; then ranked again.

A row judged so counts with the score of a stated quantile of its gardens. A row whose turn did not come has no spread; its
nominal score is lowered by what the judged rows lost on the median, so that nobody leads for want of a test.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from statistics import median

from ..evaluate import Evaluation, Measurement
from .book import Book
from .clock import Clock
from .crew import Job
from .settings import SearchSettings

TRIALS_A_ROW = 20  # with a number of trials instead of a time: one row judged for so many


def spread_out(
    rows: list[Evaluation], book: Book, crew, clock: Clock, settings: SearchSettings, report: Callable[[], None]
) -> list[Evaluation]:
    """The rows, those judged over gardens with their spread; rows that leave their limits are dropped."""
    if not settings.members or not rows:
        return rows
    storey = replace(settings.full, name="spread", members=settings.members, swr_limit=book.wishes.swr_limit)
    rows = sorted(rows, key=lambda e: -e.total)
    keys = [book.key(row.design, storey) for row in rows]
    queue = [(k, r) for k, r in list(zip(keys, rows))[: _most(settings)] if book.known(k) is None]
    flying: set[str] = set()
    while flying or (queue and not clock.over()):
        if clock.late():
            break
        while queue and len(flying) < crew.workers and not clock.over():
            key, row = queue.pop(0)
            flying.add(key)
            crew.submit(Job(row.family, row.values, storey, key))
        for job, outcome in crew.collect():
            if job.tag in flying:
                flying.discard(job.tag)
                book.record(job.tag, job, outcome)
        report()
    return _ranked([_judged(book, key, row) for key, row in zip(keys, rows)])


def _most(settings: SearchSettings) -> int:
    """How many rows may be judged; time is the only limit where the run has one."""
    if settings.trials is None or settings.seconds is not None:
        return settings.rows
    return max(1, min(settings.rows, settings.trials // TRIALS_A_ROW))


def _judged(book: Book, key: str, row: Evaluation) -> Evaluation | None:
    outcome = book.known(key)
    if outcome is None:
        return row
    if not isinstance(outcome, Measurement):  # broke down: no spread
        return row
    evaluation = book.judged(outcome)
    return evaluation if evaluation.fits else None


def _ranked(rows: list[Evaluation | None]) -> list[Evaluation]:
    rows = [row for row in rows if row is not None]
    kept = [row.settled / row.score.total for row in rows if row.settled is not None and row.score.total > 0]
    if not kept:
        return rows
    share = median(kept)
    return [row if row.settled is not None else replace(row, settled=share * row.score.total) for row in rows]
