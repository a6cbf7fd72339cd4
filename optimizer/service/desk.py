"""The desk: a few processes of the service's own for what takes computing or may break down: sheets, curves, drawings, ranking again.

Started when first needed. A task that dies with its process is tried once more; one that takes too long is ended with the desk,
which is set up anew.
"""

from __future__ import annotations

import threading
from concurrent.futures import BrokenExecutor, Executor

from .faults import Refused

PROCESSES = 2
TASK_S = 180.0


class Desk:
    def __init__(self, processes: int = PROCESSES, task_s: float = TASK_S):
        self.processes, self.task_s = processes, task_s
        self.lock = threading.Lock()
        self.hands = None
        self.closed = False

    def ask(self, function, *arguments, within_s: float | None = None):
        """What the function gives, or raises. Raises Refused where it took too long or killed two processes."""
        for _ in range(2):
            pool = self._pool()
            try:
                return pool.submit(function, *arguments).result(within_s or self.task_s)
            except BrokenExecutor:
                self._clear(pool)
            except TimeoutError:
                self._clear(pool)
                raise Refused("busy", f"that took more than {within_s or self.task_s:.0f} s and was ended", status=503) from None
        raise Refused("our_fault", "the process that worked on this died")

    def close(self) -> None:
        with self.lock:
            self.closed = True
            if self.hands is not None:
                self.hands.leave()

    def _pool(self) -> Executor:
        from ..search.hands import LocalHands

        with self.lock:
            if self.closed:
                raise Refused("busy", "the service is closing", status=503)
            self.hands = self.hands or LocalHands(self.processes)
            return self.hands.executor()

    def _clear(self, pool: Executor) -> None:
        """End a pool and its processes, unless somebody did."""
        with self.lock:
            if self.hands.pool is pool:
                self.hands.leave()
