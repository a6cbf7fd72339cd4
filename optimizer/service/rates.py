"""Rate limits: a bucket a caller, filled steadily, emptied by one a request."""

from __future__ import annotations

import time

MOST_CALLERS = 10_000


class Rates:
    """`per_s` on average, `at_once` in a burst."""

    def __init__(self, per_s: float, at_once: int, clock=time.monotonic):
        self.per_s, self.at_once, self.clock = per_s, at_once, clock
        self.buckets: dict[str, tuple[float, float]] = {}

    def take(self, caller: str) -> bool:
        """One request of that caller: is there room for it?"""
        now = self.clock()
        left, then = self.buckets.get(caller, (float(self.at_once), now))
        left = min(float(self.at_once), left + (now - then) * self.per_s)
        if len(self.buckets) > MOST_CALLERS:
            self.buckets = {k: v for k, v in self.buckets.items() if now - v[1] < self.at_once / self.per_s}
        self.buckets[caller] = (max(0.0, left - 1.0), now)
        return left >= 1.0
