"""The main job: a site and a wish list in, a ranked table of distinct designs out.

    families that serve ──► ask ──► hard limits ──► ledger or crew ──► judge ──► tell
                                                                        │
    table ◄── judge ◄── full storey of the leaders ◄────────────────────┘

One coordinator asks and tells; only measuring is handed to the crew. Stopped early (Ctrl-C) it returns what there is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from ..errors import NothingFits
from ..evaluate import Evaluation, Measurement, not_placed, place
from ..families.catalogue import FAMILIES
from ..families.family import NoPlace
from ..physics.wishes import WishList
from ..safety import safety_of
from ..site.model import Site
from .book import Book
from .budget import choose
from .clock import Clock
from .crew import Job, crew_for
from .keys import versions
from .ledger import Ledger
from .probe import nearest, reason_of, relaxations, warm_up
from .refine import refined
from .settings import Progress, RankResult, SearchSettings
from .spread_out import spread_out
from .study import FamilyStudy, family_study
from .variety import distinct

REJECTIONS_A_TURN = 25
SCOUTING = 150  # rejections allowed in the first turns of a family that nothing has fitted yet
GIVE_UP_AFTER = 400  # candidates ruled out with none that fits
WARM_STARTS = 6


def rank_site(
    site: Site,
    wishes: WishList,
    settings: SearchSettings,
    progress: Callable[[Progress], None] | None = None,
    starts: dict[str, list[dict]] | None = None,
) -> RankResult:
    """Search all families and return the table. `starts`: family key → values to try first (an earlier run's best).

    Raises NothingFits with the reason per family and the smallest relaxations.
    """
    warm_up(site, wishes)
    with Ledger(settings.ledger) as ledger:
        run = _Run(site, wishes, settings, ledger, progress)
        run.take_over(starts or {})
        try:
            run.search()
            run.rows = refined(run.book, run.crew, run.clock, settings, lambda: run.report("refining"))
            run.rows = spread_out(run.rows, run.book, run.crew, run.clock, settings, lambda: run.report("trimming in gardens"))
        except KeyboardInterrupt:
            run.interrupted = True
        finally:
            run.crew.close()
        return run.result()


class _Run:
    """State of one search: a study a family, counters, and what has been found so far."""

    def __init__(self, site: Site, wishes: WishList, settings: SearchSettings, ledger: Ledger, progress):
        self.site, self.wishes, self.settings, self.ledger, self.progress = site, wishes, settings, ledger, progress
        self.clock = Clock(settings)
        self.book = Book(site, wishes, settings.weights, ledger)
        self.studies: dict[str, FamilyStudy] = {}
        self.no_place: dict[str, Evaluation] = {}
        for i, family in enumerate(f for f in FAMILIES.values() if f.serves(wishes)):
            self._open_study(family, settings.seed + 1000 * i)
        self.tried = self.reused = 0
        self.failed: Counter = Counter()
        self.flying: Counter = Counter()
        self.rows: list[Evaluation] = []
        self.interrupted = False
        self.crew = crew_for(site, wishes, settings.workers)

    def _open_study(self, family, seed: int) -> None:
        try:
            self.studies[family.key] = family_study(
                family, self.site, self.wishes, seed=seed, sampler=self.settings.sampler
            )
        except NoPlace as missed:
            self.no_place[family.key] = not_placed(family, {}, missed)

    def take_over(self, starts: dict[str, list[dict]]) -> None:
        """Stored work counts; its best and the given starts are tried first.

        Not where the table is promised to depend on seed and trials alone: there the search replays itself.
        """
        self.book.take_over(self.settings.coarse, self.studies)
        if self.settings.trials is not None and self.settings.workers <= 1:
            return
        for key, study in self.studies.items():
            for values in starts.get(key, []) + [e.values for e in self.book.best(key, WARM_STARTS)]:
                study.enqueue(values)

    # ---- searching ----

    def search(self) -> None:
        """Ask, place, measure, judge, tell, until time or trials are used up."""
        while not self.clock.used_up(self.tried):
            while self.flying.total() < self.crew.capacity and not self.clock.enough(self.tried + self.flying.total()):
                if not self._hand_in_one():
                    break
            if not self.flying.total() and not self._open():
                break
            self._take_back()
        while self.flying.total() and not self.clock.late():
            self._take_back()

    def _open(self) -> list[FamilyStudy]:
        """Families still worth asking."""
        return [s for s in self.studies.values() if s.fitting or s.solved or s.ruled_out < GIVE_UP_AFTER]

    def _hand_in_one(self) -> bool:
        """Ask one family until a candidate keeps the limits; False when there is nobody to ask, or no time."""
        studies = self._open()
        if not studies:
            return False
        study = choose(studies, in_flight=self.flying, expected=self.clock.expected(self.tried))
        for _ in range(REJECTIONS_A_TURN if study.turns > 1 else SCOUTING):
            trial, values = study.ask()
            placed = place(self.site, self.wishes, study.family, values)
            if placed.fits:
                self._measure(study, trial, placed)
                return True
            study.tell_missed(trial, placed)
            if self.clock.used_up(self.tried):
                return False
        study.barren += 1
        self.report("searching")
        return True

    def _measure(self, study: FamilyStudy, trial, placed: Evaluation) -> None:
        """From the ledger where it is known, else through the crew."""
        key = self.book.key(placed.design, self.settings.coarse)
        outcome = self.book.known(key)
        if outcome is None:
            self.flying[study.family.key] += 1
            self.crew.submit(Job(study.family.key, placed.values, self.settings.coarse, (study, trial, key)))
            return
        self.reused += 1
        evaluation = self.book.judged(outcome) if isinstance(outcome, Measurement) else None
        self._tell(study, trial, key, evaluation, outcome)

    def _take_back(self) -> None:
        for job, outcome in self.crew.collect():
            study, trial, key = job.tag
            self.flying[job.family] -= 1
            self._tell(study, trial, key, self.book.record(key, job, outcome), outcome)
        self.ledger.tick()
        self.report("searching")

    def _tell(self, study: FamilyStudy, trial, key: str, evaluation: Evaluation | None, outcome) -> None:
        self.tried += 1
        if evaluation is None:
            self.failed[outcome] += 1
            study.tell_failed(trial, outcome)
            return
        study.tell(trial, evaluation)
        if evaluation.fits:
            self.book.found[key] = evaluation

    # ---- the answer ----

    def leaders(self) -> list[Evaluation]:
        """The table's rows as things stand."""
        found = self.rows or list(self.book.found.values())
        return distinct(found, rows=self.settings.rows, per_family=self.settings.rows_per_family)

    def result(self) -> RankResult:
        rows = self.leaders()
        offered = {e.family for e in rows}
        rejected = {f.key: self._why_not(f) for f in FAMILIES.values() if f.key not in offered}
        if not rows and not self.interrupted:
            came_nearest = self.no_place | {k: s.came_nearest for k, s in self.studies.items() if s.came_nearest is not None}
            powers = {k: s.power for k, s in self.studies.items() if s.power is not None}
            changes = relaxations(FAMILIES.values(), self.site, self.wishes, came_nearest, powers)
            raise NothingFits(rejected, [c.text for c in changes])
        return RankResult(
            rows=tuple(rows), rejected=rejected, relaxations=(), tried=self.tried, reused=self.reused,
            ruled_out=sum(t.ruled_out for t in self.studies.values()), failed=dict(self.failed),
            elapsed_s=self.clock.elapsed_s, interrupted=self.interrupted, versions=versions(),
            safety=tuple(safety_of(self.site, self.wishes, row) for row in rows),
        )  # fmt: skip

    def _why_not(self, family) -> str:
        study = self.studies.get(family.key)
        if study is None:
            return reason_of(family, self.no_place.get(family.key))
        if self.book.best(family.key):
            best = self.book.best(family.key)[0].total
            return f"fits, but its best scores {best:.1f}, too little for a row"
        if study.solved and study.nearest_solved is not None:
            return reason_of(family, study.nearest_solved)
        if study.solved:
            return "stands, but leaves its limits when trimmed or could not be computed"
        missed = study.nearest if study.ruled_out >= GIVE_UP_AFTER or self.interrupted else None
        missed = missed or nearest(family, self.site, self.wishes)
        return "not tried long enough" if missed is None or missed.fits else reason_of(family, missed)

    def report(self, stage: str) -> None:
        """Tell the caller how far it is."""
        if self.progress is None:
            return
        best = next(iter(self.book.best()), None)
        self.progress(
            Progress(
                tried=self.tried, rejected=sum(s.ruled_out for s in self.studies.values()), reused=self.reused,
                best=best.total if best else None, best_title=best.design.title if best else "",
                elapsed_s=self.clock.elapsed_s, left_s=self.clock.left_s(self.tried),
                share=self.clock.share(self.tried), stage=stage, leaders=self.leaders,
            )
        )  # fmt: skip
