"""Who does the solving: in this process, or processes of its own behind `concurrent.futures.Executor`.

A crew takes jobs and gives back (job, measurement or reason). Workers are spawned, hold the site and wishes from the
start, keep to one thread each and leave when their parent is gone. A worker that dies breaks the pool: the pool is
rebuilt and what was in flight is handed in again; a job that was in flight in `ATTEMPTS` such deaths is given up.
"""

from __future__ import annotations

import os
import signal
import threading
import time
from concurrent.futures import FIRST_COMPLETED, Executor, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing import get_context

from ..ensemble.spread import with_spread
from ..errors import LotwireError
from ..evaluate import Measurement, Storey, measure, place
from ..families.catalogue import FAMILIES
from ..physics.wishes import WishList
from ..site.model import Site

ATTEMPTS = 3
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS")


@dataclass(frozen=True)
class Job:
    """One candidate to measure. `tag` is the coordinator's own handle, never sent to workers."""

    family: str
    values: dict
    storey: Storey
    tag: object = None


Outcome = Measurement | str


def do(site: Site, wishes: WishList, family: str, values: dict, storey: Storey) -> Outcome:
    """Measure, or say why it broke down."""
    try:
        placed = place(site, wishes, FAMILIES[family], values)
        if placed.design is None:
            return f"not placed: {placed.margins}"
        found = measure(site, wishes, FAMILIES[family], placed.design, storey)
        return with_spread(site, wishes, FAMILIES[family], found, storey.members) if storey.members else found
    except (LotwireError, ArithmeticError, ValueError) as error:  # LinAlgError is a ValueError
        return f"{type(error).__name__}: {error}"


class InlineCrew:
    """Works in this process, one job at a time, in order: deterministic."""

    capacity = workers = 1

    def __init__(self, site: Site, wishes: WishList):
        self.site, self.wishes, self.jobs = site, wishes, []

    def submit(self, job: Job) -> None:
        self.jobs.append(job)

    def collect(self) -> list[tuple[Job, Outcome]]:
        jobs, self.jobs = self.jobs, []
        return [(job, do(self.site, self.wishes, job.family, job.values, job.storey)) for job in jobs]

    def close(self) -> None:
        self.jobs = []


class ProcessCrew:
    """Works in `workers` processes; keeps a few jobs waiting so that none idles.

    After a death all that was in flight is suspect and flies alone, so that the next death has one culprit.
    """

    def __init__(self, site: Site, wishes: WishList, workers: int, make=None):
        self.start = (os.getpid(), site, wishes)
        self.workers, self.capacity = workers, 2 * workers
        self.make = make or self._pool
        self.pool: Executor = self.make()
        self.flying: dict = {}
        self.held: list[Job] = []
        self.suspects: list[Job] = []
        self.deaths: dict[int, int] = {}

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
            except BrokenProcessPool:
                lost.append(job)
        out += self._rebuild(lost) if lost else []
        self._send()
        return out

    def close(self) -> None:
        processes = list((getattr(self.pool, "_processes", None) or {}).values())
        self.pool.shutdown(wait=False, cancel_futures=True)
        for process in processes:
            process.terminate()

    def _pool(self) -> Executor:
        for name in ONE_THREAD:
            os.environ.setdefault(name, "1")
        return ProcessPoolExecutor(self.workers, get_context("spawn"), initializer=_begin, initargs=self.start)

    def _send(self) -> None:
        """Hand in what waits: one suspect alone, or all that is held."""
        if self.suspects:
            jobs = [] if self.flying else [self.suspects.pop(0)]
        else:
            jobs, self.held = self.held, []
        for i, job in enumerate(jobs):
            try:
                self.flying[self.pool.submit(_work, job.family, job.values, job.storey)] = job
            except BrokenProcessPool:
                self.held = jobs[i:] + self.held
                return

    def _rebuild(self, lost: list[Job]) -> list[tuple[Job, Outcome]]:
        """A new pool; what was in flight becomes suspect, except what took a worker down too often."""
        lost = lost + list(self.flying.values())
        self.flying = {}
        self.pool.shutdown(wait=False, cancel_futures=True)
        self.pool = self.make()
        for job in lost:
            self.deaths[id(job)] = self.deaths.get(id(job), 0) + 1
        given_up = [job for job in lost if self.deaths[id(job)] >= ATTEMPTS]
        self.suspects += [job for job in lost if self.deaths[id(job)] < ATTEMPTS]
        return [(job, f"took its worker down {ATTEMPTS} times") for job in given_up]


def crew_for(site: Site, wishes: WishList, workers: int) -> InlineCrew | ProcessCrew:
    return InlineCrew(site, wishes) if workers <= 1 else ProcessCrew(site, wishes, workers)


_here: tuple = ()


def _begin(parent: int, site: Site, wishes: WishList) -> None:
    """First thing in a worker: hold the site, leave the keyboard to the parent, watch that it lives."""
    global _here
    _here = (site, wishes)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_watch, args=(parent,), daemon=True).start()


def _watch(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(0.5)
    os._exit(1)


def _work(family: str, values: dict, storey: Storey) -> Outcome:
    return do(*_here, family, values, storey)
