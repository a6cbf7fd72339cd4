"""A sampler for one family: small changes of the best so far, chosen on a surface through all that was solved.

Method: dynamic coordinate search on a response surface (DYCORS: Regis, Shoemaker, "Combining radial basis function surrogates and
dynamic coordinate search in high-dimensional expensive black-box optimization", Engineering Optimization 45(5), 2013). The first trials are hand-made
starts and random points; then it climbs from the best of them. Of a pool of candidates, each the point it stands on changed in a
few parameters, that one is solved which the surface and the distance from all that is known speak for; so a family of a
dozen parameters climbs within some dozens of solves. What misses a hard limit of place costs next to nothing: the next of the pool takes its
turn, away from there. Parameters that proved to change nothing where it stands are left alone. A climb tries the other of every two-way choice first
(which way the current comes back, say), for that changes what else is good; it keeps its choice of every category of three or
more (supports): the surface would draw all climbs to the same ones. When smaller steps bring nothing either, it
climbs again from another of the starts and random points, best one unlike the summits it has seen. Between climbs the best of all is polished: in smaller
steps, and free in all categories.

Scouts, on demand, are by turns random points as they come, with choices the likelier the more often they stood; random points such as the
surface speaks for; and the best of all hung from another support.
"""

from __future__ import annotations

import math
from collections import Counter, deque
from dataclasses import dataclass

import numpy as np
from optuna.samplers import BaseSampler, RandomSampler
from optuna.trial import TrialState
from scipy.spatial.distance import cdist

from .surface import KNOWN_MOST, Coding, Point, merit

STARTUP = 4  # random points after the hand-made starts
POOL = 300
SIGMA, LEAST_SIGMA = 0.2, 0.08
POLISH_SIGMA, POLISH_LEAST_SIGMA, POLISH_EVERY = 0.08, 0.015, 3  # climbs
WIDEN_AFTER, NARROW_AFTER = 2, 5  # better ones, others in a row
BETTER = 0.01  # of a score of 100
TRUST = (0.85, 0.95, 1.0, 0.6)  # in the surface, by turns
NEAR, CHANCE, SURFACE, ELSEWHERE = "near", "chance", "surface", "elsewhere"
SCOUTS = (CHANCE, SURFACE, ELSEWHERE)  # by turns
SCOUTS_TRUST, SCOUTS_ROOM = 0.8, 0.2  # the room: how far from one that misses a limit nothing more is tried
AROUND = 0.7  # of the way from where it climbs to one that misses a limit: nothing nearer to that one is tried
MOST_MISSED, CROWDED = 200, 0.2  # points that missed a limit; so little of a pool is left between them that steps become smaller
ALIKE = 10.0  # of a score of 100: what a start loses for every category of three or more in which it is as all summits were
MISSED, FAILED = 1e3, 1e6
RISE, MOST_RISE = 3.0, 13.0  # of a score of 100: what the surface adds where a limit was missed when solved


def missed_by(constraints: dict[str, float]) -> float:
    """By how much hard limits are missed, all told; 0 where all are kept."""
    return sum(math.log1p(v) for v in constraints.values() if v > 0)


def loss_of(state: TrialState, value: float | None, constraints: dict[str, float]) -> float:
    """What the search ranks by, less is better: -score, or how far a limit is missed, or breakdown."""
    missed = missed_by(constraints)
    if missed > 0:
        return MISSED + missed
    return -value if state == TrialState.COMPLETE and value is not None else FAILED


def height_of(value: float | None, missed: float) -> float:
    """What the surface is drawn through, less is better: where a limit was missed when solved, the score still tells the way."""
    return -(value or 0.0) + (min(MOST_RISE, RISE + 10.0 * missed) if missed > 0 else 0.0)


@dataclass(frozen=True, eq=False)
class Seen:
    """A start or random point. `stood`: kept the limits of place and was solved; `height`: on the surface, beyond all others where it was not."""

    point: Point
    loss: float
    height: float
    stood: bool


class SurfaceSampler(BaseSampler):
    """Behind the sampler interface; `space` is the whole of the family's parameters. Told a value of 0 with a limit missed, it takes it for a miss of place, unsolved."""

    def __init__(self, space: dict, seed: int):
        self.coding = Coding(space)
        self.startup = STARTUP
        self.scouting = False  # asked for a random point, wherever it climbs
        self.random = RandomSampler(seed=seed)
        self.rng = np.random.default_rng(seed)
        self.known: list[tuple[np.ndarray, float]] = []  # coded points that were solved, and their heights
        self.seen: list[Seen] = []
        self.begun: set[Seen] = set()
        self.summits: list[Point] = []
        self.missed: deque[np.ndarray] = deque(maxlen=MOST_MISSED)  # coded points that missed a limit of place
        self.climbing: dict[int, Point] = {}  # by trial
        self.pool: list[Point] = []
        self.pool_kind, self.pools, self.scouted = NEAR, 0, 0
        self.asked, self.stood = Counter(), Counter()  # by category and choice
        self.home: Point | None = None  # where it stands
        self.home_loss = math.inf
        self.home_stood = False
        self.best: Seen | None = None  # of all that stood
        self.hung: set[tuple[int, ...]] = set()  # choices the best was tried with elsewhere
        self.polished: Seen | None = None
        self.polishing = False
        self.untried: list[int] = []  # two-way categories whose other choice is still to be tried where this climb stands
        self.sigma, self.better, self.others = SIGMA, 0, 0
        self.idle = np.zeros(len(self.coding.space), dtype=bool)  # numbers, then categories, that change nothing here
        self.staying = np.array([False] * len(self.coding.numbers) + [many > 2 for many in self.coding.choices], dtype=bool)  # a climb keeps its supports

    # ---- asking ----

    def infer_relative_search_space(self, study, trial):
        return self.coding.space

    def sample_relative(self, study, trial, search_space):
        if "fixed_params" in trial.system_attrs or self.home is None or not self.coding.space:
            return {}
        if self.scouting:
            return self.coding.values(self._scout(SCOUTS[self.scouted % len(SCOUTS)]))
        point = self._other_way() if self.untried and self.home_stood else self._next(NEAR)
        self.climbing[trial.number] = point
        return self.coding.values(point)

    def sample_independent(self, study, trial, param_name, param_distribution):
        return self.random.sample_independent(study, trial, param_name, param_distribution)

    def _scout(self, kind: str) -> Point:
        if kind == SURFACE:
            return self._next(SURFACE)
        return (self._elsewhere() if kind == ELSEWHERE else None) or self._anywhere()

    def _anywhere(self) -> Point:
        return self.rng.random(len(self.coding.numbers)), self._choices(1)[0]

    def _elsewhere(self) -> Point | None:
        """The best of all with one of its supports changed, to such as were not tried together yet; None where all were."""
        if self.best is None:
            return None
        numbers, choices = self.best.point
        tried = {s.point[1] for s in self.seen} | {p[1] for p in self.summits} | {choices} | self.hung
        others = [(*choices[:j], k, *choices[j + 1 :]) for j, many in enumerate(self.coding.choices) if many > 2 for k in range(many)]
        fresh = [other for other in others if other not in tried]
        if not fresh:
            return None
        picked = fresh[self.rng.integers(len(fresh))]
        self.hung.add(picked)
        return numbers, picked

    def _other_way(self) -> Point:
        """Where it stands, with the other of a two-way choice."""
        (numbers, choices), j = self.home, self.untried.pop(0)
        return numbers, (*choices[:j], 1 - choices[j], *choices[j + 1 :])

    def _next(self, kind: str) -> Point:
        if kind != self.pool_kind or not self.pool:
            self._fill(kind)
        return self.pool.pop(0)

    def _choices(self, count: int) -> list[tuple[int, ...]]:
        """So many random choices, the likelier the more often they stood."""
        columns = []
        for name, many in zip(self.coding.categories, self.coding.choices):
            odds = np.array([(self.stood[name, k] + 1.0) / (self.asked[name, k] + 4.0) for k in range(many)])
            columns.append(self.rng.choice(many, size=count, p=odds / odds.sum()).tolist())
        return list(zip(*columns)) if columns else [()] * count

    def _fill(self, kind: str) -> None:
        """A pool of candidates, the most promising first."""
        pool = self._nearby() if kind == NEAR else list(zip(self.rng.random((POOL, len(self.coding.numbers))), self._choices(POOL)))
        known, heights = self._known(kind)
        self.pools += 1
        trust = TRUST[self.pools % len(TRUST)] if kind == NEAR else SCOUTS_TRUST
        order = np.argsort(merit(self.coding.coded(pool), known, heights, trust), kind="stable")
        self.pool, self.pool_kind = [pool[i] for i in order], kind
        if kind == NEAR and self.home_stood:
            clear = self._clear(self.pool)
            if len(clear) < CROWDED * POOL:
                self.sigma = max(self._least_sigma, 0.5 * self.sigma)
            self.pool = clear or self.pool

    def _nearby(self) -> list[Point]:
        """Where it stands, changed in one or more parameters."""
        (numbers, choices), count = self.home, len(self.idle)
        staying = self.staying if not self.polishing and not self.staying.all() else np.zeros(count, dtype=bool)
        fixed = self.idle | staying
        free = np.flatnonzero(~staying if fixed.all() else ~fixed)
        moved = self.rng.random((POOL, count)) < np.maximum(1.0 / count, self.rng.random((POOL, 1)) ** 2)
        moved[:, staying] = False
        moved[np.arange(POOL), self.rng.choice(free, size=POOL)] = True
        stepped = self.coding.folded(numbers + moved[:, : len(numbers)] * self.sigma * self.rng.standard_normal((POOL, len(numbers))))
        others = zip(self._choices(POOL), moved[:, len(numbers) :].tolist())
        return [(u, tuple(o if m else k for k, o, m in zip(choices, other, row))) for u, (other, row) in zip(stepped, others)]

    def _known(self, kind: str) -> tuple[np.ndarray, np.ndarray]:
        """Coded points and heights for the surface: where there are too many, those around, or for scouts some of all."""
        known = np.array([x for x, _ in self.known])
        heights = np.array([h for _, h in self.known])
        if len(known) <= KNOWN_MOST:
            return known, heights
        if kind == NEAR:
            part = np.argsort(cdist(known, self.coding.coded([self.home]))[:, 0], kind="stable")[:KNOWN_MOST]
        else:
            part = np.linspace(0, len(known) - 1, KNOWN_MOST).round().astype(int)
        return known[part], heights[part]

    # ---- being told ----

    def after_trial(self, study, trial, state, values):
        value, missed = values[0] if values else None, missed_by(trial.constraints)
        loss = loss_of(state, value, trial.constraints)
        solved = not missed or bool(value)
        climbed = self.climbing.pop(trial.number, None)
        point = climbed or self.coding.point(trial.params)
        for key in zip(self.coding.categories, point[1]):
            self.asked[key] += 1
            self.stood[key] += solved
        self.scouted += solved and self.scouting
        if not solved:
            self._look_away(point)
        elif climbed and self.home_stood and loss < FAILED and math.isclose(loss, self.home_loss, abs_tol=1e-9):
            self.idle |= self._moved(point)
            self.pool = [p for p in self.pool if (self._moved(p) & ~self.idle).any()]
            return
        else:
            self.known.append((self.coding.coded([point])[0], height_of(value, missed)))
            self.pool = []
        seen, before = Seen(point=point, loss=loss, height=height_of(value, missed) if solved else MISSED + missed, stood=solved), self.best
        if solved and (before is None or loss < before.loss):
            self.best = seen
        if not climbed:
            self._met(seen, before)
        elif solved or not self.home_stood:
            self._step(point, loss, solved)

    def _look_away(self, point: Point) -> None:
        """Nothing but its place is known, which misses a limit."""
        self.missed.append(self.coding.coded([point])[0])
        self.pool = self._clear(self.pool, 1)

    def _clear(self, pool: list[Point], last: int = MOST_MISSED) -> list[Point]:
        """Those of them that do not lie about one of the `last` that missed a limit: nearer to it than most of the way from where it climbs, or in its room."""
        if not pool or not self.missed:
            return pool
        missed = np.array(self.missed)[-last:]
        room = AROUND * cdist(self.coding.coded([self.home]), missed) if self.pool_kind == NEAR else SCOUTS_ROOM
        clear = (cdist(self.coding.coded(pool), missed) >= room).all(axis=1)
        return [p for p, ok in zip(pool, clear) if ok]

    def _moved(self, point: Point) -> np.ndarray:
        """Which numbers, then categories, differ from where it stands."""
        (numbers, choices), (home_numbers, home_choices) = point, self.home
        return np.array([*(numbers != home_numbers), *(a != b for a, b in zip(choices, home_choices))], dtype=bool)

    def _step(self, point: Point, loss: float, stood: bool) -> None:
        """Go there where it is better, above all where something stands; the step after it is wider or narrower by how it went."""
        gained = math.inf if stood and not self.home_stood else self.home_loss - loss
        if gained > 0:
            if point[1] != self.home[1]:
                self.idle[:] = False
            self.home, self.home_loss, self.home_stood = point, loss, stood
        self.better, self.others = (self.better + 1, 0) if gained > BETTER else (0, self.others + 1)
        if self.better >= WIDEN_AFTER:
            self.sigma, self.better = min(SIGMA, 2.0 * self.sigma), 0
        if self.others >= NARROW_AFTER:
            self.sigma, self.others = 0.5 * self.sigma, 0
        if self.sigma < self._least_sigma:
            self._leave_summit()

    @property
    def _least_sigma(self) -> float:
        return POLISH_LEAST_SIGMA if self.polishing else LEAST_SIGMA

    def _leave_summit(self) -> None:
        """Polish the best after every few climbs, if it is another than last time; else climb again."""
        if self.polishing:
            return self._climb(self._unlike_summits())
        self.summits.append(self.home)
        if len(self.summits) % POLISH_EVERY or self.best in (None, self.polished):
            return self._climb(self._unlike_summits())
        self._climb(self.best)
        self.sigma, self.polishing, self.polished, self.untried = POLISH_SIGMA, True, self.best, []

    def _met(self, seen: Seen, best_before: Seen | None) -> None:
        """A start or random point: begin with the best of the first ones, and with any that is better than all before."""
        self.seen.append(seen)
        if self.home is None and len(self.seen) >= self.startup:
            self._climb(min(self.seen, key=lambda s: (not s.stood, s.loss)))
        elif self.home is not None and seen.stood and (best_before is None or seen.loss < min(best_before.loss, MISSED)):
            self._climb(seen)

    def _unlike_summits(self) -> Seen:
        """The best start or random point not begun with, less `ALIKE` for all that it has in common with the summits. Where none of those stands: around the best summit, or
        from a point that misses a limit, the nearest to keep it; anywhere when there is none."""
        fresh = [s for s in self.seen if s not in self.begun]
        if self.best is not None and not any(s.stood for s in fresh):
            return self.best
        if not fresh:
            return Seen(point=self._anywhere(), loss=math.inf, height=math.inf, stood=False)
        share = Counter((j, k) for _, choices in self.summits for j, k in enumerate(choices) if self.coding.choices[j] > 2)
        return min(fresh, key=lambda s: s.height + ALIKE / len(self.summits) * sum(share[key] for key in enumerate(s.point[1])))

    def _climb(self, start: Seen) -> None:
        self.begun.add(start)
        self.home, self.home_loss, self.home_stood = start.point, start.loss, start.stood
        self.sigma, self.better, self.others = SIGMA, 0, 0
        self.untried = [j for j, many in enumerate(self.coding.choices) if many == 2]
        self.polishing = False
        self.idle[:] = False
        self.pool = []
