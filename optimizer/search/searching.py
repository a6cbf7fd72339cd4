"""The search itself: who is asked next, what becomes of a candidate, when it is enough.

A family's study is opened when its turn first comes, so that work starts at once. A turn asks until a candidate keeps the
limits of place; misses are told unsolved. What the ledger knows is told without a solve.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from ..evaluate import Evaluation, not_placed, place
from ..families.catalogue import FAMILIES
from ..families.family import Family, NoPlace
from .book import Book
from .budget import choose
from .clock import Clock
from .crew import Job
from .reasons import only_money, outscored, reason_of
from .settings import SearchSettings
from .study import UNIFORM, FamilyStudy, family_study
from .warm import BESIDE_STORED, Before, far_behind, warm_starts

SEARCHING = "searching"
REJECTIONS_A_TURN = 25
SCOUTING = 60  # rejections allowed in the first turns of a family that nothing has fitted yet


class Searching:
    """State of one search: a study a family, counters, and what may still be asked."""

    def __init__(self, book: Book, crew, clock: Clock, settings: SearchSettings, before: Before | None, report: Callable[[str], None]):
        self.book, self.crew, self.clock, self.settings, self.report = book, crew, clock, settings, report
        self.site, self.wishes = book.site, book.wishes
        serving = [f for f in FAMILIES.values() if f.serves(self.wishes)]
        self.unopened = [(family, settings.seed + 1000 * i) for i, family in enumerate(serving)]
        self.families = len(serving)
        self.studies: dict[str, FamilyStudy] = {}
        self.no_place: dict[str, Evaluation] = {}
        self.before = before
        self.tried = self.reused = 0
        self.failed: Counter = Counter()
        self.flying: Counter = Counter()

    def run(self) -> None:
        """Ask, place, measure, judge, tell, until time or trials are used up."""
        self.book.take_over(self.settings.coarse, {f.key for f, _ in self.unopened})
        while not self.clock.used_up(self.tried):
            while self.flying.total() < self.crew.capacity and not self.clock.enough(self.tried + self.flying.total()):
                if not self._hand_in_one():
                    break
            if not self.flying.total() and not self._askable():
                break
            self._take_back()
        while self.flying.total() and not self.clock.late():
            self._take_back()

    # ---- asking ----

    def _hand_in_one(self) -> bool:
        """Ask one family until a candidate keeps the limits; False when there is nobody to ask, or no time."""
        study, scouting = self._next()
        if study is None:
            return False
        study.scouted += scouting
        for _ in range(REJECTIONS_A_TURN if study.turns > 1 else SCOUTING):
            trial, values = study.ask(scouting=scouting)
            placed = place(self.site, self.wishes, study.family, values)
            self.clock.placed()
            if placed.fits:
                self._measure(study, trial, placed)
                return True
            study.tell_missed(trial, placed)
            if self.clock.used_up(self.tried):
                return False
        study.barren += 1
        self.report(SEARCHING)
        return True

    def _next(self) -> tuple[FamilyStudy | None, bool]:
        """A family not yet opened, else the one whose turn it is, and whether to scout; None when there is nobody left to ask."""
        while self.unopened:
            study = self._opened(*self.unopened.pop(0))
            if study is not None:
                return study, False
        studies = self._askable()
        if self.settings.sampler == UNIFORM and studies:
            return min(studies, key=lambda s: s.turns + self.flying[s.family.key]), False
        return choose(studies, in_flight=self.flying, expected=self.clock.expected(self.tried)) if studies else (None, False)

    def _opened(self, family: Family, seed: int) -> FamilyStudy | None:
        """The family's study, what an earlier run found best first in its queue; None where it cannot stand at all.

        Not where the table is promised to hang on seed and trials alone: there the search replays itself.
        """
        goes_on = self.settings.trials is None or self.settings.workers > 1 or bool(self.settings.cluster)
        before = self.before if goes_on else None
        stored = warm_starts(family, self.book, before) if goes_on else []
        own = BESIDE_STORED if before and stored and not far_behind(family, self.book) else None
        stands = lambda values: place(self.site, self.wishes, family, values).fits  # noqa: E731
        try:
            study = family_study(family, self.site, self.wishes, seed=seed, sampler=self.settings.sampler, stored=stored, stands=stands, own=own)
        except NoPlace as missed:
            self.no_place[family.key] = not_placed(family, {}, missed)
            return None
        self.studies[family.key] = study
        study.first = study.queued if before else 0
        return study

    def _askable(self) -> list[FamilyStudy]:
        """Opened families still worth asking."""
        return [s for s in self.studies.values() if not s.hopeless]

    # ---- telling ----

    def _measure(self, study: FamilyStudy, trial, placed: Evaluation) -> None:
        """From the ledger where it is known, else through the crew."""
        study.stood += 1
        key = self.book.key(placed.design, self.settings.coarse)
        entry = self.book.known(key)
        if entry is None:
            self.flying[study.family.key] += 1
            self.clock.asked()
            self.crew.submit(Job(study.family.key, placed.values, self.settings.coarse, key, (study, trial)))
            return
        self.reused += 1
        study.give_back(trial)
        self._tell(study, trial, key, self.book.judged(entry), entry.failure)

    def _take_back(self) -> None:
        """Commit what has come back first, then learn from it."""
        done = [(job, outcome, self.book.record(job.key, job, outcome)) for job, outcome in self.crew.collect()]
        self.book.ledger.commit()
        for job, outcome, evaluation in done:
            study, trial = job.tag
            self.flying[job.family] -= 1
            self._tell(study, trial, job.key, evaluation, outcome)
            self.clock.answered()
        self.report(SEARCHING)

    def _tell(self, study: FamilyStudy, trial, key: str, evaluation: Evaluation | None, reason) -> None:
        self.tried += 1
        if evaluation is None:
            self.failed[reason] += 1
            study.tell_failed(trial, reason)
            return
        study.tell(trial, evaluation)
        if evaluation.fits:
            self.book.found[key] = evaluation

    # ---- why not ----

    def why_not(self, family: Family) -> str:
        """Why none of the family is offered."""
        if self.book.best(family.key):
            return outscored(self.book.best(family.key)[0])
        study, stored = self.studies.get(family.key), self.book.came_nearest(family.key)
        untried = any(family is f for f, _ in self.unopened)
        if stored is not None and (untried or only_money(stored)):
            return reason_of(stored)
        if study is None:
            return "not tried" if untried else reason_of(self.no_place.get(family.key))
        nearest = study.nearest_solved or stored
        if study.solved and nearest is not None:
            return reason_of(nearest)
        if study.solved:
            return "stands, but leaves its limits when trimmed or could not be computed"
        return "not tried long enough" if study.nearest is None or study.stood else reason_of(study.nearest)
