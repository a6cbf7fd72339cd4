"""Who does the solving: in this process, or hands behind `concurrent.futures.Executor`.

A crew takes jobs and gives back (job, measurement or reason). Site and wishes travel with every task (some kilobytes), so
one set of hands serves any number of lots. Gardens are handed in by the slice: what is done after `SLICE_S` comes back as a part, the job is
handed in again with it, and the hand that did it keeps what it has at the ready. A worker that dies breaks the pool: it is
hired anew and what was in flight is handed in again; a job that was in flight in `ATTEMPTS` such deaths is given up.
"""

from __future__ import annotations

import pickle
import time
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, CancelledError, wait
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING
from uuid import uuid4

from ..errors import LotwireError
from ..evaluate import Measurement, Storey, measure, place
from ..families.design import Design
from ..physics.wishes import WishList
from ..site.model import Site
from .hands import Hands

if TYPE_CHECKING:
    from ..ensemble.growth import Growth

ATTEMPTS = 3
SLICE_S = 0.5  # of gardens, at least one step; steps take some tenths of a second


@dataclass(frozen=True)
class Job:
    """One candidate to measure. `key` is the ledger's; `tag` the coordinator's own handle, never sent to workers;
    `design`: measured as it stands, whatever the family makes of `values` here; `steps`: what is done of it, `token`: of the last part."""

    family: str
    values: dict
    storey: Storey
    key: str = ""
    tag: object = None
    design: Design | None = None
    steps: tuple = ()
    token: str = ""


@dataclass(frozen=True)
class Unfinished:
    """A part of a long evaluation: the steps done since the last part. `token`: by it the hand knows its own work again."""

    steps: tuple
    token: str


Outcome = Measurement | Unfinished | str


class Stopped(Exception):
    """Work broken off because the run was stopped."""


def do(site: Site, wishes: WishList, job: Job, check: Callable[[float], None] = lambda share: None) -> Outcome:
    """Measure, or say why it broke down; `check` is called now and then and may raise to break off."""
    from ..families.catalogue import FAMILIES  # compiled code comes with it

    family, storey = FAMILIES[job.family], job.storey
    try:
        if job.design is not None:
            return measure(site, wishes, family, job.design, storey, trim=False)
        if job.steps:
            return _in_gardens(site, wishes, family, job, check)
        placed = place(site, wishes, family, job.values)
        if placed.design is None:
            return f"not placed: {placed.margins}"
        found = measure(site, wishes, family, placed.design, storey)
        return Unfinished(steps=(found,), token=uuid4().hex) if storey.members else found
    except (LotwireError, ArithmeticError, ValueError) as error:  # LinAlgError is a ValueError
        return f"{type(error).__name__}: {error}"


_at_hand: dict[str, Growth] = {}  # the one that this process works at, by the token of its last part


def _in_gardens(site, wishes, family, job: Job, check) -> Outcome:
    """The next slice of a design's way through the gardens; with the last of it the measurement and its spread."""
    from ..ensemble.spread import growth_of, settled

    began, (found, *before) = time.monotonic(), job.steps
    growth = _at_hand.pop(job.token, None)
    _at_hand.clear()
    if growth is None:
        growth = growth_of(site, wishes, family, found.values, members=job.storey.members, weights=job.storey.garden_weights, steps=before)
    while growth.next() is not None:
        check(growth.share)
        if time.monotonic() - began > SLICE_S:
            part = Unfinished(steps=tuple(growth.steps[len(before) :]), token=uuid4().hex)
            _at_hand[part.token] = growth
            return part
    return settled(found, growth)


class InlineCrew:
    """Works in this process, one job at a time, in order: deterministic. `stopped`: asked while a long job runs."""

    capacity = workers = 1

    def __init__(self, site: Site, wishes: WishList, stopped: Callable[[], bool] = lambda: False):
        self.site, self.wishes, self.stopped, self.jobs = site, wishes, stopped, []

    def submit(self, job: Job) -> None:
        self.jobs.append(job)

    def collect(self) -> list[tuple[Job, Outcome]]:
        """The next job, done; nothing where it was broken off."""
        if not self.jobs:
            return []
        job = self.jobs.pop(0)
        try:
            return [(job, do(self.site, self.wishes, job, self._check))]
        except Stopped:
            return []

    def _check(self, share: float) -> None:
        if self.stopped():
            raise Stopped

    def close(self) -> None:
        self.jobs = []


class PoolCrew:
    """Works through an executor; keeps a few jobs waiting so that nobody idles.

    After a death all that was in flight is suspect and flies alone, so that the next death has one culprit.
    """

    def __init__(self, site: Site, wishes: WishList, hands: Hands):
        self.setup = pickle.dumps((site, wishes), protocol=pickle.HIGHEST_PROTOCOL)
        self.hands = hands
        self.pool = hands.executor()
        self.flying: dict = {}
        self.held: list[Job] = []
        self.suspects: list[Job] = []
        self.deaths: dict[int, int] = {}

    @property
    def workers(self) -> int:
        return self.hands.count

    @property
    def capacity(self) -> int:
        return 2 * self.workers

    def submit(self, job: Job) -> None:
        self.held.append(job)
        self._send()

    def collect(self, timeout_s: float = 0.2) -> list[tuple[Job, Outcome]]:
        """What has finished; waits at most `timeout_s` for the first."""
        done, _ = wait(self.flying, timeout=timeout_s, return_when=FIRST_COMPLETED)
        out, lost = [], []
        for future in done:
            job = self.flying.pop(future)
            try:
                out.append((job, future.result()))
            except (BrokenExecutor, CancelledError):
                lost.append(job)
            except Exception as error:  # the worker's own trouble, a lack of memory say: this candidate's end, not the run's
                out.append((job, f"{type(error).__name__}: {error}"))
        out += self._hired_anew(lost) if lost else []
        self._send()
        return out

    def close(self) -> None:
        """Forget what is in flight; the hands may go on to another lot."""
        for future in self.flying:
            future.cancel()
        self.flying, self.held, self.suspects = {}, [], []

    def _send(self) -> None:
        """Hand in what waits: one suspect alone, or all that is held."""
        if self.suspects:
            jobs = [] if self.flying else [self.suspects.pop(0)]
        else:
            jobs, self.held = self.held, []
        for i, job in enumerate(jobs):
            try:
                self.flying[self.pool.submit(work, self.setup, replace(job, tag=None))] = job
            except BrokenExecutor:
                self.held = jobs[i:] + self.held
                if not self.flying:
                    self.pool = self.hands.hire()
                return

    def _hired_anew(self, lost: list[Job]) -> list[tuple[Job, Outcome]]:
        """New hands; what was in flight becomes suspect, except what took a worker down too often."""
        lost = lost + list(self.flying.values())
        self.flying = {}
        self.pool = self.hands.hire()
        for job in lost:
            self.deaths[id(job)] = self.deaths.get(id(job), 0) + 1
        given_up = [job for job in lost if self.deaths[id(job)] >= ATTEMPTS]
        self.suspects += [job for job in lost if self.deaths[id(job)] < ATTEMPTS]
        return [(job, f"took its worker down {ATTEMPTS} times") for job in given_up]


def crew_for(site: Site, wishes: WishList, hands: Hands | None, stopped: Callable[[], bool] = lambda: False) -> InlineCrew | PoolCrew:
    return PoolCrew(site, wishes, hands) if hands else InlineCrew(site, wishes, stopped)


@lru_cache(maxsize=4)
def _unpacked(setup: bytes) -> tuple[Site, WishList]:
    return pickle.loads(setup)


def work(setup: bytes, job: Job) -> Outcome:
    """One task, in a worker."""
    return do(*_unpacked(setup), job)
