"""The main job: a site and a wish list in, a ranked table of distinct designs out.

    families that serve ──► ask ──► hard limits ──► ledger or crew ──► judge ──► tell
                                                                        │
    table ◄── judge ◄── full storey of the leaders ◄────────────────────┘

One coordinator asks and tells; only measuring is handed to the crew. Stopped early (Ctrl-C, or an event from outside) it
returns what there is. What comes back is committed to the ledger before anything else is done with it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import islice

from ..errors import NothingFits
from ..evaluate import Evaluation
from ..families.design import Design
from ..physics.wishes import WishList
from ..site.model import Site
from .again import but_for_money, rows_for_less
from .answer import answered
from .book import Book
from .clock import Clock
from .crew import crew_for
from .earlier import measured_earlier, with_earlier
from .hands import Hands, hands_for
from .ledger import Ledger
from .probe import changes_that_let_in
from .reasons import reason_of
from .refine import full_rows, leaders_of, refined
from .searching import SEARCHING, Searching
from .settings import Progress, RankResult, SearchSettings
from .showing import Showing
from .spread_out import spread_out, spread_rows
from .variety import distinct
from .warm import Before

FIRST_AHEAD = 6  # of the rows that the next smaller budgets would bring in, made ready whatever the time
MOST_AHEAD = 60  # rows that less money would bring in, made ready while gardens are worked off


def rank_site(
    site: Site,
    wishes: WishList,
    settings: SearchSettings,
    progress: Callable[[Progress], None] | None = None,
    *,
    before: Before | None = None,
    earlier: Iterable[Design] = (),
    show: Callable[[RankResult], None] | None = None,
    stop=None,
    hands: Hands | None = None,
) -> RankResult:
    """Search all families and return the table.

    progress : called often with how far the search is
    before   : the earlier run that this one goes on from under other limits
    earlier  : designs of an earlier run, the best first, to be held to today's limits as they stand
    show     : called with a table of what there is so far, first as soon as it has some families, later when it got better
    stop     : an event (`is_set`) that ends the run within a second; the result says `interrupted`
    hands    : processes or a cluster to work with, kept for the next lot; without it they are hired and let go here
    Raises NothingFits with the reason per family and the smallest relaxations.
    """
    own = hands_for(settings.workers, settings.cluster) if hands is None else None
    try:
        with Ledger(settings.ledger) as ledger:
            return _Run(site, wishes, settings, ledger, hands or own, progress, before, tuple(earlier), show, stop).done()
    finally:
        if own is not None:
            own.leave()


class _Run:
    """One search from its first candidate to its table."""

    def __init__(self, site, wishes, settings, ledger, hands, progress, before, earlier, show, stop):
        self.site, self.wishes, self.settings = site, wishes, settings
        self.clock = Clock(settings, stop)
        self.crew = crew_for(site, wishes, hands, self.clock.stopped)
        self.book = Book(site, wishes, settings.weights, ledger)
        self.progress, self.show, self.showing = progress, show, Showing()
        self.searching = Searching(self.book, self.crew, self.clock, settings, before, self.report)
        self.designs, self.earlier = earlier, []
        self.interrupted = False
        self.rows: list[Evaluation] = []
        self.for_less, self.ahead = rows_for_less(self.book, settings), 0

    def done(self) -> RankResult:
        try:
            self.earlier = measured_earlier(self.designs, self.book, self.crew, self.clock, self.settings, lambda: self.report("earlier designs"))
            self.searching.run()
            self._refine()
        except KeyboardInterrupt:
            self.interrupted = True
        finally:
            self.crew.close()
        self.interrupted |= self.clock.stopped()
        result = answered(self.leaders(), self.book, self.searching, self.clock, interrupted=self.interrupted)
        if result.rows and not self.interrupted:
            self.for_less = rows_for_less(self.book, self.settings)  # anew, for gardens have changed the table
            for row in islice(self.for_less, self.settings.rows + FIRST_AHEAD):
                self.book.safety(row)
        while result.rows and not self.interrupted and not self.clock.over() and self._look_ahead():
            pass
        if not result.rows and not self.interrupted:
            dear = but_for_money(self.book, self.settings)
            raise NothingFits(result.rejected | {k: reason_of(e) for k, e in dear.items()}, changes_that_let_in(self.searching, dear))
        return result

    def _refine(self) -> None:
        """Leaders at the full storey until none of them is dropped there for a limit, then in gardens."""
        while True:
            leaders = leaders_of(self.book, self.settings)
            refined(leaders, self.book, self.crew, self.clock, self.settings, lambda: self.report("refining"))
            self.rows = full_rows(leaders, self.book, self.settings)
            if len(self.rows) == len(leaders) or self.clock.over():
                break
        self.rows = with_earlier(self.rows, self.earlier)
        spread_out(self.rows, self.book, self.crew, self.clock, self.settings, self._trimming)
        self.rows = spread_rows(self.rows, self.book, self.settings)

    def _look_ahead(self) -> bool:
        """Compute what is to be told of one more row that less money would bring into the table, so that a smaller budget finds it ready."""
        row = next((row for row in self.for_less if not self.book.is_told(row)), None) if self.ahead < MOST_AHEAD else None
        if row is not None:
            self.book.safety(row)
            self.ahead += 1
        return row is not None

    def _trimming(self) -> None:
        self._look_ahead()
        self.report("trimming in gardens")

    def leaders(self) -> list[Evaluation]:
        """The table's rows as things stand."""
        found = self.rows or [*self.book.found.values(), *self.earlier]
        return distinct(found, rows=self.settings.rows, per_family=self.settings.rows_per_family)

    def report(self, stage: str) -> None:
        """Tell the caller how far it is; while searching, show what there is where that is worth it."""
        if self.show is not None and stage == SEARCHING:
            rows = self.showing.rows(self.book, self.clock.elapsed_s)
            if rows:
                self.show(answered(rows, self.book, self.searching, self.clock, interrupted=True))
        if self.progress is None:
            return
        seen, best = self.searching, next(iter(self.book.best()), None)
        self.progress(
            Progress(
                tried=seen.tried, rejected=sum(s.ruled_out for s in seen.studies.values()), reused=seen.reused,
                best=best.total if best else None, best_title=best.design.title if best else "",
                elapsed_s=self.clock.elapsed_s, left_s=self.clock.left_s(seen.tried),
                share=self.clock.share(seen.tried), stage=stage, leaders=self.leaders,
            )
        )  # fmt: skip
