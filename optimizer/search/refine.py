"""The full storey for the leaders: more frequencies, more patterns, finer trimming; then ranked again."""

from __future__ import annotations

from collections.abc import Callable

from ..evaluate import Evaluation
from .book import Book
from .clock import Clock
from .crew import Job, Unfinished
from .settings import SearchSettings
from .variety import distinct

SPARE_ROWS = 2


def leaders_of(book: Book, settings: SearchSettings) -> list[Evaluation]:
    """What may come into the table: some more than it has rows."""
    return distinct(book.found.values(), rows=settings.rows + SPARE_ROWS, per_family=settings.rows_per_family + 1)


def refined(leaders: list[Evaluation], book: Book, crew, clock: Clock, settings: SearchSettings, report: Callable[[], None]) -> None:
    """Measure at the full storey those leaders that are not known there; one whose values mean another design here as it stands."""
    keys = {book.key(e.design, settings.full): e for e in leaders}
    fresh = {key: e for key, e in keys.items() if book.known(key) is None}
    jobs = [Job(e.family, e.values, settings.full, key, design=None if book.rebuilds(e) else e.design) for key, e in fresh.items()]
    worked_off(jobs, book, crew, clock, report)


def full_rows(leaders: list[Evaluation], book: Book, settings: SearchSettings) -> list[Evaluation]:
    """The leaders as known at the full storey; one whose turn did not come keeps its coarse figures, one that broke down there or leaves
    its limits is dropped, from the book too."""
    rows, dropped = [], set()
    for leader in leaders:
        entry = book.known(book.key(leader.design, settings.full))
        row = leader if entry is None else book.judged(entry)
        if row is not None and row.fits:
            rows.append(row)
            continue
        dropped.add(id(leader))
        if row is not None:
            book.note_missed(row)
    book.found = {key: e for key, e in book.found.items() if id(e) not in dropped}
    return rows


def worked_off(jobs: list[Job], book: Book, crew, clock: Clock, report: Callable[[], None]) -> None:
    """Hand in jobs as there is room and record all that comes back, until none is left or the time is up; what is begun is finished."""
    queue, flying = list(jobs), set()

    def may_go() -> bool:
        return bool(queue) and (not clock.over() or bool(queue[0].token))

    while (flying or may_go()) and not clock.late():
        while may_go() and len(flying) < crew.workers:
            flying.add(queue[0].key)
            clock.asked()
            crew.submit(queue.pop(0))
        done = crew.collect()
        for job, outcome in done:
            flying.discard(job.key)
            clock.answered()
            if isinstance(outcome, Unfinished):
                queue.insert(0, book.advanced(job, outcome))
            else:
                book.record(job.key, job, outcome)
        book.ledger.commit()
        for job, outcome in done:
            if job.steps and not isinstance(outcome, Unfinished):
                book.ledger.forget_steps(job.key)
        report()
