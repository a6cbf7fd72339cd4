"""A sampler for one family: evolution of a normal distribution with categories beside it.

Method: CatCMA (Hamano, Saito, Nomura, Uchida, Shirakawa, "CatCMA: stochastic optimization for mixed-category
problems", GECCO 2024), from the package `cmaes`. Continuous parameters live in the unit cube. The first trials are
hand-made starts and random points; evolution starts around the best of them. Candidates that miss a hard limit are
ranked behind all that keep them, by how far they miss, so the sampler learns the shape of the lot from cheap
rejections. When nothing got better for a while, or a random point came out better, it starts again there.
"""

from __future__ import annotations

import math

import numpy as np
from cmaes import CatCMA
from optuna.distributions import CategoricalDistribution
from optuna.samplers import BaseSampler, RandomSampler
from optuna.trial import TrialState

from .space import from_unit, to_unit

STARTUP = 8  # random points after the hand-made starts
SIGMA, LEAST_SIGMA = 0.22, 0.02
POLISH_SIGMA = 0.08
LOYAL, POLISH_LOYAL = 0.5, 0.9  # odds beyond chance of the choice begun with
NEARER = 0.5  # of the step, where all around misses a limit
PATIENCE = 5  # generations without a better one before it starts elsewhere
MISSED, FAILED = 1e3, 1e6


def loss_of(state: TrialState, value: float | None, constraints: dict[str, float]) -> float:
    """What evolution ranks by, less is better: -score, or how far a limit is missed, or breakdown."""
    missed = sum(math.log1p(v) for v in constraints.values() if v > 0)
    if missed > 0:
        return MISSED + missed
    return -value if state == TrialState.COMPLETE and value is not None else FAILED


class CatCmaSampler(BaseSampler):
    """CatCMA behind the sampler interface; `space` is the whole of the family's parameters."""

    def __init__(self, space: dict, seed: int):
        self.space = dict(space)
        self.startup = STARTUP
        self.random = RandomSampler(seed=seed)
        self.rng = np.random.default_rng(seed)
        self.categories = [n for n, d in self.space.items() if isinstance(d, CategoricalDistribution)]
        self.numbers = [n for n in self.space if n not in self.categories]
        self.evolution: CatCMA | None = None
        self.asked: dict[int, tuple] = {}
        self.generation: list[tuple] = []
        self.scouting = False  # asked for a random point, whatever evolution wants
        self.seen: list[tuple[float, dict]] = []  # starts and random points
        self.best_loss, self.stale = math.inf, 0
        self.home: dict = {}  # what evolution began with, or the best it has made since
        self.sigma, self.loyal = SIGMA, LOYAL
        self.top_loss, self.top = math.inf, {}  # of all ever seen
        self.restarts = 0

    def infer_relative_search_space(self, study, trial):
        return self.space

    def sample_relative(self, study, trial, search_space):
        if self.evolution is None or self.scouting or "fixed_params" in trial.system_attrs:
            return {}
        x, c = self.evolution.ask()
        self.asked[trial.number] = (x, c)
        return self._decode(x, c)

    def sample_independent(self, study, trial, param_name, param_distribution):
        return self.random.sample_independent(study, trial, param_name, param_distribution)

    def after_trial(self, study, trial, state, values):
        loss = loss_of(state, values[0] if values else None, trial.constraints)
        point, better = self.asked.pop(trial.number, None), loss < self.top_loss
        if better:
            self.top_loss, self.top = loss, dict(trial.params)
        if point is not None:
            self.generation.append((point, loss))
            if len(self.generation) >= self.evolution.population_size:
                self._next_generation()
            return
        self.seen.append((loss, dict(trial.params)))
        if self.evolution is None:
            if len(self.seen) >= self.startup:
                self._start(*min(self.seen, key=lambda s: s[0]), SIGMA)
        elif better and loss < MISSED:  # a scout has found better ground
            self._start(loss, trial.params, SIGMA)

    def _next_generation(self):
        size = self.evolution.population_size
        batch, self.generation = self.generation[:size], self.generation[size:]
        self.evolution.tell(batch)
        (x, c), best = min(batch, key=lambda b: b[1])
        if self.best_loss < MISSED <= best and self.sigma > LEAST_SIGMA:  # stands in a corner of the lot: look nearer
            self._start(self.best_loss, self.home, max(LEAST_SIGMA, NEARER * self.sigma), self.loyal)
            return
        self.stale = 0 if best < self.best_loss - 1e-3 else self.stale + 1
        if best < self.best_loss:
            self.best_loss, self.home = best, self._decode(x, c)
        if self.stale >= PATIENCE or self.evolution.should_stop():
            self._elsewhere()

    def _elsewhere(self):
        """Start again: by turns in small steps around the best of all, and around one of the better points that evolution did not make."""
        self.restarts += 1
        if self.restarts % 2 and self.top_loss < MISSED:
            self._start(self.top_loss, self.top, POLISH_SIGMA, POLISH_LOYAL)
            return
        ranked = sorted(self.seen, key=lambda s: s[0])
        kept = sum(loss < MISSED for loss, _ in ranked)
        self._start(*ranked[int(self.rng.integers(max(1, (kept or len(ranked)) // 3)))], SIGMA)

    def _start(self, loss: float, params: dict, sigma: float, loyal: float = LOYAL):
        mean = [to_unit(params[n], self.space[n]) if n in params else 0.5 for n in self.numbers]
        mean += [0.5] * (2 - len(mean))  # the package wants two numbers and one category at least
        counts = [len(self.space[n].choices) for n in self.categories]
        odds = np.zeros((max(1, len(counts)), max([2, *counts])))
        for row, name in zip(odds, self.categories):
            choices = self.space[name].choices
            row[: len(choices)] = (1.0 - loyal) / len(choices)
            row[choices.index(params[name]) if params.get(name) in choices else 0] += loyal
        single = [i for i, n in enumerate(counts) if n < 2]
        counts = [max(2, n) for n in counts] or [2]
        odds[single or ([] if self.categories else [0])] = [0.5, 0.5] + [0.0] * (odds.shape[1] - 2)
        self.evolution = CatCMA(
            mean=np.array(mean), sigma=sigma, cat_num=np.array(counts), cat_param=odds,
            bounds=np.tile([0.0, 1.0], (len(mean), 1)), seed=int(self.rng.integers(2**31)),
        )  # fmt: skip
        self.generation, self.asked, self.stale = [], {}, 0
        self.best_loss, self.home, self.sigma, self.loyal = loss, dict(params), sigma, loyal

    def _decode(self, x, c) -> dict:
        values = {n: from_unit(float(u), self.space[n]) for n, u in zip(self.numbers, x)}
        for name, row in zip(self.categories, c):
            choices = self.space[name].choices
            values[name] = choices[min(int(np.argmax(row)), len(choices) - 1)]
        return values
