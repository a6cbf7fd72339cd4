"""When a table of what there is so far is worth showing: early, then rarely, and only when it got better.

First as soon as `FAMILIES` kinds of wire fit, or after `FIRST_S` with what fits by then; again when the best or the number of kinds has grown and the
run is half as long again as it was. A table so early holds the best of each kind, a few rows, at the storey of the search.
"""

from __future__ import annotations

from ..evaluate import Evaluation
from .book import Book
from .variety import distinct

FAMILIES = 4
FIRST_S = 8.0
LONGER = 1.5
ROWS = 6


class Showing:
    """Remembers what was shown last."""

    def __init__(self):
        self.at_s: float | None = None
        self.best, self.families = 0.0, 0

    def rows(self, book: Book, elapsed_s: float) -> list[Evaluation]:
        """Rows to show now; none where it is not time."""
        if not book.found or (self.at_s is not None and elapsed_s < LONGER * self.at_s):
            return []
        families = len({e.family for e in book.found.values()})
        best = max(e.total for e in book.found.values())
        if self.at_s is None and families < FAMILIES and elapsed_s < FIRST_S:
            return []
        if best <= self.best and families <= self.families:
            return []
        self.at_s, self.best, self.families = max(elapsed_s, 1.0), best, families
        return distinct(book.found.values(), rows=ROWS, per_family=1)
