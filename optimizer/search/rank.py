"""The main job: a site and a wish list in, a ranked table of distinct designs out.

    families that serve ──► ask ──► hard limits ──► ledger or crew ──► judge ──► tell
                                                                        │
    table ◄── judge ◄── full storey of the leaders ◄────────────────────┘

One coordinator asks and tells; only measuring is handed to the crew. Stopped early (Ctrl-C) it returns what there is.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable

from ..errors import NothingFits
from ..evaluate import Evaluation, Measurement, judge, not_placed, place
from ..families.catalogue import FAMILIES
from ..families.family import NoPlace
from ..physics.wishes import WishList
from ..site.model import Site
from .budget import choose
from .crew import Job, crew_for
from .keys import design_key, evaluation_key, problem_key, versions
from .ledger import Entry, Ledger
from .probe import nearest, reason_of, relaxations
from .settings import Progress, RankResult, SearchSettings
from .study import FamilyStudy, family_study
from .variety import distinct

REJECTIONS_A_TURN = 25
SCOUTING = 150  # rejections allowed in the first turns of a family that nothing has fitted yet
GIVE_UP_AFTER = 600  # candidates ruled out with none that fits
DEFAULT_SECONDS = 60.0
LEADERS_PART = 0.15  # of the time, kept for the full storey of the leaders
WARM_STARTS = 6
FULL_COSTS = 4.0  # coarse evaluations, a first guess


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
    with Ledger(settings.ledger) as ledger:
        run = _Run(site, wishes, settings, ledger, progress, starts or {})
        try:
            run.search()
            run.finish()
        except KeyboardInterrupt:
            run.interrupted = True
        finally:
            run.crew.close()
        return run.result()


class _Run:
    """State of one search: studies, counters and what has been found so far."""

    def __init__(self, site, wishes, settings, ledger, progress, starts):
        self.site, self.wishes, self.settings, self.ledger, self.progress = site, wishes, settings, ledger, progress
        self.began = time.monotonic()
        self.problem = problem_key(site, wishes)
        known = ledger.load(self.problem)
        self.families = [f for f in FAMILIES.values() if f.serves(wishes)]
        self.studies: dict[str, FamilyStudy] = {}
        self.no_place: dict[str, Evaluation] = {}
        for i, family in enumerate(self.families):
            self._open_study(family, settings.seed + 1000 * i)
        self.found: dict[str, Evaluation] = {}
        self.tried = self.reused = 0
        self.failed: Counter = Counter()
        self.flying: Counter = Counter()
        self.interrupted = False
        self.solve_s: float | None = None
        self.crew = crew_for(site, wishes, settings.workers)
        self._take_over(known, starts)

    def _open_study(self, family, seed: int) -> None:
        try:
            self.studies[family.key] = family_study(
                family, self.site, self.wishes, seed=seed, sampler=self.settings.sampler
            )
        except NoPlace as missed:
            self.no_place[family.key] = not_placed(family, {}, missed)

    # -- searching -------------------------------------------------------------------------------------------

    def search(self) -> None:
        """Ask, place, measure, judge, tell, until time or trials are used up."""
        while not self._used_up():
            while sum(self.flying.values()) < self.crew.capacity and not self._asked_enough():
                if not self._hand_in_one():
                    break
            if not sum(self.flying.values()) and not self._open():
                break
            self._take_back()
        while sum(self.flying.values()) and not self._late():
            self._take_back()

    def _hand_in_one(self) -> bool:
        """Ask one family until a candidate keeps the limits; False when there was nobody to ask."""
        studies = self._open()
        if not studies:
            return False
        study = choose(studies, in_flight=self.flying, expected=self._expected())
        for _ in range(REJECTIONS_A_TURN if study.turns > 1 else SCOUTING):
            trial, values = study.ask()
            placed = place(self.site, self.wishes, study.family, values)
            if placed.fits:
                self._measure(study, trial, placed)
                return True
            study.tell_missed(trial, placed)
            if self._used_up():
                return False
        study.barren += 1
        self._report("searching")
        return True

    def _measure(self, study: FamilyStudy, trial, placed: Evaluation) -> None:
        """From the ledger where it is known, else through the crew."""
        key = evaluation_key(self.problem, placed.design, self.settings.coarse)
        entry = self.ledger.get(key)
        if entry is not None:
            self.reused += 1
            self._tell(study, trial, key, entry.found or entry.failure)
            return
        self.flying[study.family.key] += 1
        self.crew.submit(Job(study.family.key, placed.values, self.settings.coarse, (study, trial, key)))

    def _take_back(self) -> None:
        for job, outcome in self.crew.collect():
            study, trial, key = job.tag
            self.flying[job.family] -= 1
            self._record(key, job, outcome)
            self._tell(study, trial, key, outcome)
        self.ledger.tick()
        self._report("searching")

    def _tell(self, study, trial, key, outcome) -> None:
        self.tried += 1
        if not isinstance(outcome, Measurement):
            self.failed[outcome] += 1
            study.tell_failed(trial, outcome)
            return
        evaluation = judge(self.site, self.wishes, study.family, outcome, self.settings.weights)
        study.tell(trial, evaluation)
        if evaluation.fits:
            self.found[key] = evaluation

    def _record(self, key: str, job: Job, outcome) -> None:
        found = outcome if isinstance(outcome, Measurement) else None
        design = place(self.site, self.wishes, FAMILIES[job.family], found.values).design if found else None
        self.ledger.add(
            Entry(
                key=key, problem=self.problem, family=job.family, storey=job.storey.name, asked=job.values,
                design=design_key(design) if design else "", found=found, failure="" if found else outcome,
            )
        )  # fmt: skip

    # -- what an earlier run left ----------------------------------------------------------------------------

    def _take_over(self, known: tuple[Entry, ...], starts: dict[str, list[dict]]) -> None:
        """Judge stored measurements that still hold; the best of them and given starts are tried first."""
        for entry in known:
            if entry.found is None or entry.storey != self.settings.coarse.name or entry.family not in self.studies:
                continue
            evaluation = judge(self.site, self.wishes, FAMILIES[entry.family], entry.found, self.settings.weights)
            if evaluation.fits and design_key(evaluation.design) == entry.design:
                self.found[entry.key] = evaluation
        if self.settings.trials is not None and self.settings.workers <= 1:
            starts = {}  # the promised table depends on seed and trials alone: the search replays itself
        else:
            starts = {k: starts.get(k, []) + self._best_values(k) for k in self.studies}
        for key, values in starts.items():
            for one in values if key in self.studies else ():
                self.studies[key].enqueue(one)

    def _best_values(self, family: str) -> list[dict]:
        mine = sorted((e for e in self.found.values() if e.family == family), key=lambda e: -e.total)
        return [e.values for e in mine[:WARM_STARTS]]

    # -- finishing -------------------------------------------------------------------------------------------

    def finish(self) -> None:
        """The full storey for the leaders."""
        self._report("refining")
        wanted = {}
        for leader in self._leaders(extra=2):
            key = evaluation_key(self.problem, leader.design, self.settings.full)
            wanted[key] = leader
            if self.ledger.get(key) is None:
                self.crew.submit(Job(leader.family, leader.values, self.settings.full, key))
                self.flying["leaders"] += 1
        while self.flying["leaders"] > 0 and not self._late():
            for job, outcome in self.crew.collect():
                if isinstance(job.tag, str):
                    self.flying["leaders"] -= 1
                    self._record(job.tag, job, outcome)
            self._report("refining")
        self.refined = {k: self._refined(k, e) for k, e in wanted.items()}

    refined: dict = {}

    def _refined(self, key: str, leader: Evaluation) -> Evaluation | None:
        entry = self.ledger.get(key)
        if entry is None or entry.found is None:
            return leader if entry is None else None
        again = judge(self.site, self.wishes, FAMILIES[leader.family], entry.found, self.settings.weights)
        return again if again.fits else None

    def _leaders(self, extra: int = 0) -> list[Evaluation]:
        s = self.settings
        return distinct(self.found.values(), rows=s.rows + extra, per_family=s.rows_per_family + (extra > 0))

    def result(self) -> RankResult:
        rows = [e for e in self.refined.values() if e is not None] or self._leaders()
        rows = distinct(rows, rows=self.settings.rows, per_family=self.settings.rows_per_family)
        offered = {e.family for e in rows}
        rejected = {f.key: self._why_not(f) for f in FAMILIES.values() if f.key not in offered}
        if not rows and not self.interrupted:
            raise NothingFits(rejected, [r.text for r in relaxations(FAMILIES.values(), self.site, self.wishes)])
        return RankResult(
            rows=tuple(rows), rejected=rejected, relaxations=(), tried=self.tried, reused=self.reused,
            ruled_out=sum(s.ruled_out for s in self.studies.values()), failed=dict(self.failed),
            elapsed_s=time.monotonic() - self.began, interrupted=self.interrupted, versions=versions(),
        )  # fmt: skip

    def _why_not(self, family) -> str:
        study = self.studies.get(family.key)
        if study is None:
            return reason_of(family, self.no_place.get(family.key))
        if study.fitting:
            return "fits, but others of its kind or better scores fill the table"
        if study.solved:
            return "stands, but leaves its limits when trimmed or could not be computed"
        missed = study.nearest if study.ruled_out >= GIVE_UP_AFTER or self.interrupted else None
        missed = missed or nearest(family, self.site, self.wishes)
        return "not tried long enough" if missed is None or missed.fits else reason_of(family, missed)

    # -- clocks ----------------------------------------------------------------------------------------------

    @property
    def elapsed_s(self) -> float:
        return time.monotonic() - self.began

    @property
    def seconds(self) -> float | None:
        """Time allowed, None when only trials count."""
        if self.settings.seconds is None and self.settings.trials is None:
            return DEFAULT_SECONDS
        return self.settings.seconds

    def _open(self) -> list[FamilyStudy]:
        """Families still worth asking."""
        return [s for s in self.studies.values() if s.fitting or s.solved or s.ruled_out < GIVE_UP_AFTER]

    def _asked_enough(self) -> bool:
        trials = self.settings.trials
        return trials is not None and self.tried + sum(self.flying.values()) >= trials

    def _used_up(self) -> bool:
        trials = self.settings.trials
        late = self.seconds is not None and self.elapsed_s > (1.0 - LEADERS_PART) * self.seconds
        return late or (trials is not None and self.tried >= trials)

    def _late(self) -> bool:
        return self.seconds is not None and self.elapsed_s > 1.2 * self.seconds + 2.0

    def _expected(self) -> int:
        """Candidates the whole run will have solved, from its pace so far."""
        if self.settings.trials is not None:
            return self.settings.trials
        pace = self.tried / self.elapsed_s if self.tried > 5 else 5.0
        return max(self.tried + 1, math.ceil(pace * (1.0 - LEADERS_PART) * self.seconds))

    def _report(self, stage: str) -> None:
        if self.progress is None:
            return
        best = max(self.found.values(), key=lambda e: e.total, default=None)
        by_time = self.elapsed_s / self.seconds if self.seconds else 0.0
        by_trials = self.tried / self.settings.trials if self.settings.trials else 0.0
        share = min(1.0, max(by_time, by_trials))
        left = self.elapsed_s * (1.0 / share - 1.0) if share > 0.01 else self.seconds
        self.progress(
            Progress(
                tried=self.tried, rejected=sum(s.ruled_out for s in self.studies.values()), reused=self.reused,
                best=best.total if best else None, best_title=best.design.title if best else "",
                elapsed_s=self.elapsed_s, left_s=left, share=share, stage=stage,
            )
        )  # fmt: skip
