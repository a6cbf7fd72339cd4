"""The desk: a few processes of the service's own for what takes computing or may break down — sheets, curves, drawings, ranking again.

Started when first needed. A task that dies with its process is tried once more; one that takes too long is ended with the desk,
which is set up anew.
"""

from __future__ import annotations

import os
import signal
import threading
import time
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from multiprocessing import get_context

from .faults import Refused

PROCESSES = 2
TASK_S = 180.0
TASKS_EACH = 200  # then a fresh process, so that nothing piles up


class Desk:
    def __init__(self, processes: int = PROCESSES, task_s: float = TASK_S):
        self.processes, self.task_s = processes, task_s
        self.lock = threading.Lock()
        self.pool: ProcessPoolExecutor | None = None

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
        if self.pool is not None:
            self._clear(self.pool)

    def _pool(self) -> ProcessPoolExecutor:
        with self.lock:
            if self.pool is None:
                self.pool = ProcessPoolExecutor(self.processes, get_context("spawn"), initializer=_begin, initargs=(os.getpid(),), max_tasks_per_child=TASKS_EACH)
            return self.pool

    def _clear(self, pool: ProcessPoolExecutor) -> None:
        """End a pool and its processes."""
        with self.lock:
            if self.pool is pool:
                self.pool = None
        processes = list((getattr(pool, "_processes", None) or {}).values())
        pool.shutdown(wait=False, cancel_futures=True)
        for process in processes:
            process.kill()


def _begin(parent: int) -> None:
    """First thing in a process: one thread, the keyboard left to the parent, and leave when it is gone."""
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS"):
        os.environ[name] = "1"
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_watch, args=(parent,), daemon=True).start()


def _watch(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(0.5)
    os._exit(1)
