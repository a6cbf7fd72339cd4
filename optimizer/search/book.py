"""What a search knows: evaluations of this problem, from the ledger and from the run itself."""

from __future__ import annotations

from dataclasses import replace

from ..criteria.fit import fits
from ..criteria.weights import Weights
from ..evaluate import Evaluation, Measurement, Placed, Storey, held, judge_placed, place, place_found, priced
from ..families.design import Design
from ..families.family import Family, NoPlace
from ..families.wished import as_wished
from ..physics.wishes import WishList
from ..safety import Safety, safety_of
from ..site.model import Site
from .crew import Job, Outcome, Unfinished
from .keys import design_key, evaluation_key, placing_key, problem_key, safety_key
from .ledger import Entry, Ledger, written
from .reasons import only_money, shortfall


class Book:
    """Keeps outcomes and judges them under today's wishes and weights.

    `found`: key → what keeps all limits; `outdated`: key → what stood with a tuner or a make of parts that is not offered any more, as it was;
    `nearest`: family key → the least missed of what was taken over or refined and does not fit, `cheapest`: of what nothing but money keeps out;
    `taken_over`: stored evaluations judged.
    """

    def __init__(self, site: Site, wishes: WishList, weights: Weights, ledger: Ledger):
        self.site, self.wishes, self.weights, self.ledger = site, wishes, weights, ledger
        self.problem, self.placing = problem_key(site, wishes), placing_key(site, wishes)
        self.found: dict[str, Evaluation] = {}
        self.outdated: dict[str, Evaluation] = {}
        self.nearest: dict[str, Evaluation] = {}
        self.cheapest: dict[str, Evaluation] = {}
        self.taken_over = 0
        self._names: dict[str, set[str]] = {}  # family key → names of its parameters here

    def key(self, design: Design, storey: Storey) -> str:
        return evaluation_key(self.problem, design, storey)

    def known(self, key: str) -> Entry | None:
        """The stored evaluation of that key."""
        return self.ledger.get(key)

    def judged(self, entry: Entry) -> Evaluation | None:
        """A stored evaluation under today's wishes; None where it broke down, or means no design any more."""
        placed = self._placed(entry) if entry.found else None
        return self._judged(entry.found, placed) if placed else None

    def record(self, key: str, job: Job, outcome: Outcome) -> Evaluation | None:
        """Store an outcome; its evaluation, None where it broke down. Finished with the ledger's next commit."""
        found = outcome if isinstance(outcome, Measurement) else None
        placed = self._as_stood(found.family, job.design) if found and job.design else self._place(found) if found else None
        stands = placed is not None and placed.design is not None and fits(placed.margins)
        self.ledger.add(
            Entry(
                key=key, problem=self.problem, family=job.family, storey=job.storey.name, asked=job.values,
                design=design_key(placed.design) if placed and placed.design else "", placing=self.placing,
                placed=Placed(design=placed.design, margins=placed.margins) if stands else None,
                measured=written(found) if found else "", failure="" if found else outcome,
            )
        )  # fmt: skip
        return self._judged(found, placed) if found else None

    def begun(self, job: Job) -> Job:
        """The job with what is done of it already."""
        return replace(job, steps=self.ledger.steps(job.key))

    def advanced(self, job: Job, part: Unfinished) -> Job:
        """Store what was done of a job, finished at once; the job that is left."""
        self.ledger.keep_steps(job.key, len(job.steps), part.steps)
        return replace(job, steps=job.steps + part.steps, token=part.token)

    def take_over(self, storey: Storey, families=None, *, tighter: bool = False) -> None:
        """Judge what the ledger holds of this problem; it counts where the same design still comes of the same values.

        `tighter`: no limit is looser than it was, so what did not stand is not asked again.
        """
        for entry in self.ledger.load(self.problem):
            if not entry.measured or entry.storey != storey.name or (families is not None and entry.family not in families):
                continue
            if tighter and entry.placed is None and entry.placing == self.placing:
                continue
            if entry.placed and not as_wished(entry.placed.design, self.wishes):
                if not tighter and entry.found:
                    self.outdated[entry.key] = self._judged(entry.found, self._priced(entry))
                continue
            placed = self._placed(entry)
            if placed is None:
                continue
            self.taken_over += 1
            if (self._misses_by_more(placed) and not self._cheaper(placed)) or entry.found is None:
                continue
            evaluation = self._judged(entry.found, placed)
            if not evaluation.fits:
                self.note_missed(evaluation)
            elif self._still_stands(entry) or design_key(evaluation.design) == entry.design:
                self.found[entry.key] = evaluation

    def best(self, family: str | None = None, count: int = 1) -> list[Evaluation]:
        """The best found, of one family or of all."""
        mine = (e for e in self.found.values() if family in (None, e.family))
        return sorted(mine, key=lambda e: -e.total)[:count]

    def safety(self, row: Evaluation) -> Safety:
        """What is to be told of a row about people, voltage and weather; computed once and stored."""
        key = self._safety_key(row)
        found = self.ledger.safety(key)
        if found is None:
            found = safety_of(self.site, self.wishes, row)
            self.ledger.keep_safety(key, found)
        return found

    def is_told(self, row: Evaluation) -> bool:
        """Is that known already?"""
        return self.ledger.safety(self._safety_key(row)) is not None

    def rebuilds(self, row: Evaluation) -> bool:
        """Do the row's values still mean its design here?"""
        if not self._complete(row.family, row.values):
            return False
        design = place(self.site, self.wishes, _family(row.family), row.values).design
        return design is not None and design_key(design) == design_key(row.design)

    def note_missed(self, evaluation: Evaluation) -> None:
        """Remember what came nearest of a family and does not fit."""
        nearest = self.nearest.get(evaluation.family)
        if nearest is None or shortfall(evaluation) < shortfall(nearest):
            self.nearest[evaluation.family] = evaluation
        if self._cheaper(evaluation):
            self.cheapest[evaluation.family] = evaluation

    def came_nearest(self, family: str) -> Evaluation | None:
        """What shows best why nothing stored of the family fits: where only money is missing, that."""
        return self.cheapest.get(family) or self.nearest.get(family)

    def _safety_key(self, row: Evaluation) -> str:
        return safety_key(self.problem, row.design, row.bands, self.wishes, self.site.ice_m)

    def _misses_by_more(self, placed: Evaluation) -> bool:
        """Does it miss a limit of place or money, by more than the nearest of its family? Told without reading what was found."""
        nearest = self.nearest.get(placed.family)
        return nearest is not None and not fits(placed.margins) and shortfall(placed) >= shortfall(nearest)

    def _cheaper(self, evaluation: Evaluation) -> bool:
        """Does nothing but money keep it out, and less of it than any other of its family?"""
        cheapest = self.cheapest.get(evaluation.family)
        return only_money(evaluation) and (cheapest is None or evaluation.cost < cheapest.cost)

    def _still_stands(self, entry: Entry) -> bool:
        return entry.placed is not None and entry.placing == self.placing

    def _placed(self, entry: Entry) -> Evaluation | None:
        """Today's margins of a stored evaluation; None where its values mean nothing today and it did not stand."""
        if self._still_stands(entry):
            return self._priced(entry)
        placed = self._place(entry.found) if entry.found and self._complete(entry.family, entry.found.values) else None
        if entry.placed and (placed is None or placed.design is None or design_key(placed.design) != entry.design):
            return self._as_stood(entry.family, entry.placed.design)
        return placed

    def _priced(self, entry: Entry) -> Evaluation:
        return priced(self.site, self.wishes, entry.family, entry.placed.design.values, entry.placed)

    def _complete(self, family: str, values: dict) -> bool:
        """Are there values of all that the family asks for here? Another limit may let it stand on another set of bands."""
        if family not in self._names:
            try:
                self._names[family] = {p.name for p in _family(family).parameters(self.site, self.wishes)}
            except NoPlace:
                self._names[family] = {""}
        return self._names[family] <= values.keys()

    def _as_stood(self, family: str, design: Design) -> Evaluation:
        """A design held to today's limits as it was built, though the same values may mean another one today."""
        return held(self.site, self.wishes, _family(family), design)

    def _place(self, found: Measurement) -> Evaluation:
        return place_found(self.site, self.wishes, _family(found.family), found)

    def _judged(self, found: Measurement, placed: Evaluation) -> Evaluation:
        return judge_placed(self.wishes, placed, found, self.weights)


def _family(key: str) -> Family:
    from ..families.catalogue import FAMILIES  # compiled code comes with it, which judging stored work does without

    return FAMILIES[key]
