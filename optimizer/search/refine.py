"""The full storey for the leaders: more frequencies, more patterns, finer trimming; then ranked again."""

from __future__ import annotations

from collections.abc import Callable

from ..evaluate import Evaluation
from .book import Book
from .clock import Clock
from .crew import Job
from .settings import SearchSettings
from .variety import distinct

SPARE_ROWS = 2


def refined(book: Book, crew, clock: Clock, settings: SearchSettings, report: Callable[[], None]) -> list[Evaluation]:
    """Leaders judged at the full storey; a leader whose turn did not come keeps its coarse figures."""
    leaders = distinct(
        book.found.values(), rows=settings.rows + SPARE_ROWS, per_family=settings.rows_per_family + 1
    )
    keys = [book.key(leader.design, settings.full) for leader in leaders]
    waiting = {}
    for key, leader in zip(keys, leaders):
        if book.known(key) is None:
            waiting[key] = Job(leader.family, leader.values, settings.full, key)
            crew.submit(waiting[key])
    while waiting and not clock.late():
        for job, outcome in crew.collect():
            if waiting.pop(job.tag, None) is not None:
                book.record(job.tag, job, outcome)
        report()
    rows = [_row(book, key, leader) for key, leader in zip(keys, leaders)]
    dropped = {id(leader) for row, leader in zip(rows, leaders) if row is None}
    book.found = {key: e for key, e in book.found.items() if id(e) not in dropped}
    return [row for row in rows if row is not None]


def _row(book: Book, key: str, leader: Evaluation) -> Evaluation | None:
    """The refined leader; itself where it was not refined; None where it broke down or leaves its limits."""
    outcome = book.known(key)
    if outcome is None:
        return leader
    if isinstance(outcome, str):
        return None
    evaluation = book.judged(outcome)
    return evaluation if evaluation.fits else None
