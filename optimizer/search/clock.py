"""When a search has used up its time or trials, and how many candidates it will have judged by then."""

from __future__ import annotations

import math
from time import monotonic as now  # studies put processor time in its place

from .settings import SearchSettings

DEFAULT_SECONDS = 60.0
LEADERS_PART = 0.4  # of the time, kept for the full storey of the leaders and their spread over gardens
GRACE_S = 2.0
FIRST_PACE_PER_S = 5.0
FIRST_ANSWER_S = 6.0  # what the first placement and the first answer take beyond this is compiling, once on a machine, and is not counted
MOST_COMPILING_S = 300.0  # a wait longer than this is something else, and is counted


class Clock:
    """Starts when made. `seconds` is None where only trials count; `stop`: an event that ends the run at once, from outside."""

    def __init__(self, settings: SearchSettings, stop=None):
        self.began = now()
        self.waits = self.began  # since when for a first placement or answer; None: for nothing
        self.expected_firsts = {"placed", "answered"}
        self.stop = stop
        self.trials = settings.trials
        self.seconds = settings.seconds
        if self.seconds is None and self.trials is None:
            self.seconds = DEFAULT_SECONDS

    @property
    def elapsed_s(self) -> float:
        """What counts of the time since the start: while a first placement or answer is waited for it stands still after some seconds."""
        till = now()
        if self.waits is not None and till - self.waits < MOST_COMPILING_S:
            till = min(till, max(self.waits, self.began + FIRST_ANSWER_S))
        return till - self.began

    def stopped(self) -> bool:
        """Was the run ended from outside?"""
        return self.stop is not None and self.stop.is_set()

    def placed(self) -> None:
        """A candidate has been placed, or found not to stand."""
        self._came("placed")

    def asked(self) -> None:
        """A candidate is being measured."""
        if "answered" in self.expected_firsts and self.waits is None:
            self.waits = now()

    def answered(self) -> None:
        """A candidate has been measured."""
        self._came("answered")

    def _came(self, what: str) -> None:
        """The first of its kind ends the wait; what it took too long does not count."""
        if what in self.expected_firsts:
            self.expected_firsts.discard(what)
            counted, self.waits = self.elapsed_s, None
            self.began = now() - counted

    def used_up(self, tried: int) -> bool:
        """Is it time to stop searching?"""
        late = self.seconds is not None and self.elapsed_s > (1.0 - LEADERS_PART) * self.seconds
        return late or self.stopped() or (self.trials is not None and tried >= self.trials)

    def enough(self, handed_in: int) -> bool:
        """Have as many candidates been handed in as are asked for?"""
        return self.stopped() or (self.trials is not None and handed_in >= self.trials)

    def over(self) -> bool:
        """Is the time up that was given?"""
        return self.stopped() or (self.seconds is not None and self.elapsed_s >= self.seconds)

    def late(self) -> bool:
        """Is it time to stop even what is under way?"""
        return self.stopped() or (self.seconds is not None and self.elapsed_s > 1.1 * self.seconds + GRACE_S)

    def expected(self, tried: int) -> int:
        """Candidates the whole run will have judged, from its pace so far, at most those asked for."""
        if self.seconds is None:
            return self.trials
        pace = tried / self.elapsed_s if tried > 5 else FIRST_PACE_PER_S
        by_time = max(tried + 1, math.ceil(pace * (1.0 - LEADERS_PART) * self.seconds))
        return by_time if self.trials is None else min(by_time, self.trials)

    def share(self, tried: int) -> float:
        """How much of the run is done, 0..1."""
        by_time = self.elapsed_s / self.seconds if self.seconds else 0.0
        by_trials = tried / self.trials if self.trials else 0.0
        return min(1.0, max(by_time, by_trials))

    def left_s(self, tried: int) -> float | None:
        """Estimate of the time left, None while there is nothing to go by."""
        share = self.share(tried)
        return self.elapsed_s * (1.0 / share - 1.0) if share > 0.01 else self.seconds
