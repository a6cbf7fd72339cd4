"""One study per family, kept in memory and asked by one coordinator.

Hard limits are named constraints (not above zero is kept). A missed limit is told at once, unsolved; a breakdown is
a failed trial with its reason. Hand-made starts are enqueued first.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable
from dataclasses import dataclass

import optuna
from optuna.trial import TrialState

from ..criteria.power import PowerLimit, power_that_lets_in
from ..evaluate import Evaluation
from ..families.family import Family
from ..physics.wishes import WishList
from ..site.model import Site
from .reasons import only_money, shortfall
from .space import inside, searched
from .surface_sampler import STARTUP, SurfaceSampler
from .warm import mended

BUDGET, UNIFORM = "budget", "uniform"
GIVE_UP_AFTER = 400  # candidates ruled out with none that fits
TOO_DEAR_AFTER = 40

optuna.logging.set_verbosity(optuna.logging.WARNING)

LENGTHS, STORED = "lengths", "stored"
BEST_STORED, WAYS_ASIDE = 2, 3  # so many of the starts of an earlier run are moved aside in different ways, where they do not stand
MISSED_COSTS = 8.0  # of a score of 100: what a limit missed when solved takes from a family's promise
NOTICED = 0.05  # of a score of 100: less is no growth


@dataclass(eq=False)
class FamilyStudy:
    """`solved`: candidates solved or broken down; `best`: the best score of those that keep every limit; `promise`: that, or the score of
    one that missed a limit when solved, less `MISSED_COSTS`, if more; `nearest`: the least missed candidate that did not fit, `nearest_solved`
    of those that were solved; `power`: the limit of the one that may have most power where nothing but power was missed."""

    family: Family
    space: dict
    given: dict
    study: optuna.Study
    rule: Callable = lambda values: {}
    solved: int = 0
    best: float = 0.0
    promise: float = 0.0
    nearest: Evaluation | None = None
    nearest_solved: Evaluation | None = None
    power: PowerLimit | None = None
    ruled_out: int = 0
    fitting: int = 0
    scouted: int = 0  # turns with random candidates
    improved_at: int = 0  # turns it had had when its best last grew
    stood: int = 0  # candidates that kept the limits of place, solved or not
    barren: int = 0  # turns that found no candidate to solve
    given_back: int = 0  # turns of starts of an earlier run that were known already
    queued: int = 0  # starts still to be tried
    first: int = 0  # turns promised to it: its starts, where an earlier run gave some
    affordable: int = 0  # candidates that could be built and paid
    cheapest: Evaluation | None = None  # of those that nothing but money keeps out

    @property
    def hopeless(self) -> bool:
        """Has it been asked often enough without any that stands? Sooner where not one of them could be paid."""
        if self.fitting or self.solved or self.stood:
            return False
        dear = self.cheapest is not None and not self.affordable
        return self.ruled_out >= (TOO_DEAR_AFTER if dear else GIVE_UP_AFTER)

    @property
    def came_nearest(self) -> Evaluation | None:
        """What shows best why nothing fits: a solved candidate where there is one, for those kept every limit of place."""
        return self.nearest_solved or self.nearest

    @property
    def turns(self) -> int:
        """How often it had its turn, whether or not a candidate came of it."""
        return self.solved + self.barren - self.given_back

    @property
    def stale(self) -> int:
        """Turns since its best last grew."""
        return self.turns - self.improved_at

    @property
    def climbed(self) -> bool:
        """Has a climb of it come to its end?"""
        return bool(getattr(self.study.sampler, "summits", True))

    def ask(self, *, scouting: bool = False) -> tuple[optuna.Trial, dict]:
        """A trial and its values, with those that trimming will set: as enqueued, else by the family's rule, else the middle of their range."""
        self.study.sampler.scouting = scouting
        trial = self.study.ask(self.space)
        self.queued -= LENGTHS in trial.user_attrs
        values = {**self.given, **trial.params}
        return trial, values | (trial.user_attrs.get(LENGTHS) or self.rule(values))

    def tell_missed(self, trial: optuna.Trial, placed: Evaluation) -> None:
        """A candidate that misses a hard limit."""
        self.ruled_out += 1
        self.affordable += placed.margins.get(BUDGET, -1.0) >= 0
        if only_money(placed) and (self.cheapest is None or placed.cost < self.cheapest.cost):
            self.cheapest = placed
        self._constrain(trial, placed)
        self.study.tell(trial, 0.0)
        if self.nearest is None or shortfall(placed) < shortfall(self.nearest):
            self.nearest = placed

    def tell(self, trial: optuna.Trial, evaluation: Evaluation) -> None:
        """A solved candidate (trimming may still have pushed it over a limit)."""
        self._constrain(trial, evaluation)
        self.study.tell(trial, evaluation.total)
        self.fitting += evaluation.fits
        self.promise = max(self.promise, evaluation.total - (0.0 if evaluation.fits else MISSED_COSTS))
        if evaluation.fits and evaluation.total > self.best:
            self.improved_at = self.turns if evaluation.total > self.best + NOTICED else self.improved_at
            self.best = evaluation.total
        self.solved += 1
        if not evaluation.fits:
            self._note_missed(evaluation)

    def _note_missed(self, evaluation: Evaluation) -> None:
        if self.nearest_solved is None or shortfall(evaluation) < shortfall(self.nearest_solved):
            self.nearest_solved = evaluation
        allowed = power_that_lets_in(evaluation.margins, evaluation.power_limits)
        if allowed and (self.power is None or allowed.most_w > self.power.most_w):
            self.power = allowed

    def tell_failed(self, trial: optuna.Trial, reason: str) -> None:
        trial.set_user_attr("reason", reason)
        self.study.tell(trial, state=TrialState.FAIL)
        self.solved += 1

    def enqueue(self, values: dict, *, stored: bool = False) -> None:
        """Try these values next, trimmed lengths included; what the space does not know is left to the sampler. `stored`: of an earlier run."""
        known = inside(values, self.space)
        if known:
            lengths = {name: values[name] for name in self.given if name in values}
            self.study.enqueue_trial(known, user_attrs={LENGTHS: lengths, STORED: stored}, skip_if_exists=True)

    def give_back(self, trial: optuna.Trial) -> None:
        """A start of an earlier run that was known already costs no turn."""
        self.given_back += bool(trial.user_attrs.get(STORED))

    def _constrain(self, trial, evaluation):
        for name, margin in evaluation.margins.items():
            if math.isfinite(margin):
                trial.set_constraint(name, -margin)


def sampler_of(name: str, space: dict, seed: int):
    """`surface`, `tpe`, `random`, or `uniform`: random without any start, the baseline of studies."""
    if name == "tpe":
        return optuna.samplers.TPESampler(seed=seed, multivariate=False)
    if name in ("random", UNIFORM) or not space:
        return optuna.samplers.RandomSampler(seed=seed)
    return SurfaceSampler(space, seed)


def _rule(family: Family, site: Site, wishes: WishList) -> Callable:
    """Lengths by the family's rule of thumb, of those that trimming sets."""
    return (lambda values: family.lengths(values, site, wishes)) if family.lengths else (lambda values: {})


def family_study(family: Family, site: Site, wishes: WishList, *, seed: int, sampler: str = "surface", stored=(), stands=lambda values: True, own: int | None = None) -> FamilyStudy:
    """A fresh study of the family on that lot, its own starts enqueued, the first `own` of them or all; before them `stored` ones, values of an
    earlier run, mended till they stand. Raises NoPlace where it cannot stand at all."""
    starts = list(family.starts(site, wishes)) if family.starts and sampler != UNIFORM else []
    space, given = searched(family, site, wishes, starts)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        study = optuna.create_study(direction="maximize", sampler=sampler_of(sampler, space, seed), study_name=family.key)
    found = FamilyStudy(family=family, space=space, given=given, study=study, rule=_rule(family, site, wishes))
    for n, values in enumerate(stored):
        for turn in range(WAYS_ASIDE if n < BEST_STORED else 1):
            found.enqueue(mended(given | values, space, stands, seed + turn), stored=True)
    for values in starts[:own]:
        found.enqueue(values)
    found.queued = len(study.get_trials(deepcopy=False, states=(TrialState.WAITING,)))
    if isinstance(study.sampler, SurfaceSampler):
        study.sampler.startup = found.queued if stored else STARTUP + found.queued
    return found
