"""What a search knows: evaluations of this problem, from the ledger and from the run itself."""

from __future__ import annotations

from ..criteria.weights import Weights
from ..evaluate import Evaluation, Measurement, Storey, judge
from ..families.catalogue import FAMILIES
from ..families.design import Design
from ..physics.wishes import WishList
from ..site.model import Site
from .crew import Job, Outcome
from .keys import design_key, evaluation_key, problem_key
from .ledger import Entry, Ledger


class Book:
    """Keeps outcomes and judges them under today's wishes and weights. `found`: key → what keeps all limits."""

    def __init__(self, site: Site, wishes: WishList, weights: Weights, ledger: Ledger):
        self.site, self.wishes, self.weights, self.ledger = site, wishes, weights, ledger
        self.problem = problem_key(site, wishes)
        self.found: dict[str, Evaluation] = {}

    def key(self, design: Design, storey: Storey) -> str:
        return evaluation_key(self.problem, design, storey)

    def known(self, key: str) -> Outcome | None:
        """The stored outcome of that key."""
        entry = self.ledger.get(key)
        return None if entry is None else entry.found or entry.failure

    def judged(self, found: Measurement) -> Evaluation:
        return judge(self.site, self.wishes, FAMILIES[found.family], found, self.weights)

    def record(self, key: str, job: Job, outcome: Outcome) -> Evaluation | None:
        """Store an outcome; its evaluation, None where it broke down."""
        found = outcome if isinstance(outcome, Measurement) else None
        evaluation = self.judged(found) if found else None
        design = evaluation.design if evaluation else None
        self.ledger.add(
            Entry(
                key=key, problem=self.problem, family=job.family, storey=job.storey.name, asked=job.values,
                design=design_key(design) if design else "", found=found, failure="" if found else outcome,
            )
        )  # fmt: skip
        return evaluation

    def take_over(self, storey: Storey, families) -> None:
        """Judge what the ledger holds of this problem; it counts where the same design still comes of the same values."""
        for entry in self.ledger.load(self.problem):
            if entry.found is None or entry.storey != storey.name or entry.family not in families:
                continue
            evaluation = self.judged(entry.found)
            if evaluation.fits and design_key(evaluation.design) == entry.design:
                self.found[entry.key] = evaluation

    def best(self, family: str | None = None, count: int = 1) -> list[Evaluation]:
        """The best found, of one family or of all."""
        mine = (e for e in self.found.values() if family in (None, e.family))
        return sorted(mine, key=lambda e: -e.total)[:count]
