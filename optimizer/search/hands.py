"""Where hands are hired: processes of this machine, or a cluster that runs already. Both give a `concurrent.futures.Executor`.

A cluster is a scheduler of dask.distributed at an address such as tcp://192.0.2.1:8786 (extra `lotwire[cluster]`), its workers on any
machine with the same lotwire. Its traffic is neither encrypted nor signed unless the cluster is set up so: keep it on a network of your own.
"""

from __future__ import annotations

import os
import signal
import threading
import time
from concurrent.futures import Executor, ProcessPoolExecutor
from multiprocessing import get_context

from ..errors import Fault, InputError, LotwireError
from .keys import versions

ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS")
CONNECT_S = 10
COUNTED_FOR_S = 2.0


class LocalHands:
    """`count` spawned processes that keep to one thread each, leave the keyboard to the parent and leave when it is gone."""

    def __init__(self, count: int):
        self.count = count
        self.pool: Executor | None = None

    def hire(self) -> Executor:
        """A pool of fresh processes, in place of one that broke."""
        for name in ONE_THREAD:
            os.environ.setdefault(name, "1")
        self.leave(wait=False)
        self.pool = ProcessPoolExecutor(self.count, get_context("spawn"), initializer=_begin, initargs=(os.getpid(),))
        return self.pool

    def executor(self) -> Executor:
        return self.pool or self.hire()

    def leave(self, wait: bool = False) -> None:
        """Let all go at once, whatever they are at."""
        if self.pool is None:
            return
        processes = list((getattr(self.pool, "_processes", None) or {}).values())
        self.pool.shutdown(wait=wait, cancel_futures=True)
        for process in processes:
            process.terminate()
        self.pool = None


class ClusterHands:
    """The workers of a running cluster; their number may change at any time."""

    def __init__(self, address: str):
        self.address, self.pool = address, None
        self._counted, self._counted_at = 1, 0.0
        self.client = _connected(address)
        told = {v for v in self.client.run(_told).values()} or {None}
        if told != {_told()}:
            self.leave()
            raise InputError([Fault("option", "--cluster", address, f"workers with {_told()}", f"they have {sorted(map(str, told))}")])

    @property
    def count(self) -> int:
        if time.monotonic() - self._counted_at > COUNTED_FOR_S:
            self._counted, self._counted_at = max(1, sum(self.client.nthreads().values())), time.monotonic()
        return self._counted

    def hire(self) -> Executor:
        """A fresh connection, in place of one that broke."""
        if self.client.status != "running":
            raise LotwireError(f"the cluster at {self.address} is gone; finished work is kept, the same command goes on from it")
        self.pool = self.client.get_executor(pure=False)
        return self.pool

    def executor(self) -> Executor:
        return self.pool or self.hire()

    def leave(self, wait: bool = False) -> None:
        self.client.close(timeout=2)


Hands = LocalHands | ClusterHands


def hands_for(workers: int, cluster: str | None) -> Hands | None:
    """Whom to ask: a cluster where an address is given, processes where more than one is wanted, nobody (None) otherwise."""
    if cluster:
        return ClusterHands(cluster)
    return LocalHands(workers) if workers > 1 else None


def _connected(address: str):
    try:
        from dask.distributed import Client
    except ImportError as missing:
        hint = "pip install 'lotwire[cluster]'"
        raise InputError([Fault("option", "--cluster", address, "dask.distributed", hint)]) from missing
    try:
        return Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        why = str(error) or type(error).__name__
        raise InputError([Fault("option", "--cluster", address, "the address of a running scheduler", why)]) from error


def _told() -> str:
    """The versions that make figures comparable, in a line."""
    return ", ".join(f"{k} {v}" for k, v in sorted(versions().items()))


def _begin(parent: int) -> None:
    """First thing in a process of ours: leave the keyboard to the parent, watch that it lives."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_watch, args=(parent,), daemon=True).start()


def _watch(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(0.5)
    os._exit(1)
