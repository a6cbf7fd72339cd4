"""The foreman: a thread of the service that takes runs from the queue and minds the processes that work on them.

Each tick: look after processes that ended, stop what was cancelled, clear away what was deleted, take up runs whose process or server
was lost, begin the next run in turn while there is room. Closing it ends its processes; their runs wait for the next start.
"""

from __future__ import annotations

import logging
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field

from . import queue
from .folders import run_folder
from .settings import ServiceSettings
from .store import Store
from .work import CLUSTER, CREW, HOME, STORE

TICK_S = 0.2
WRITE_UP_S = 30.0  # for a stopped run to write its rows
log = logging.getLogger("lotwire.foreman")


@dataclass
class Hand:
    """One process at work on one run. `told_at`: when it was told to stop."""

    run: str
    holder: str
    process: subprocess.Popen
    began_at: float = field(default_factory=time.monotonic)
    told_at: float | None = None

    def stop(self) -> None:
        if self.told_at is None:
            self.told_at = time.monotonic()
            try:
                self.process.stdin.write(b"stop\n")
                self.process.stdin.flush()
            except OSError:
                pass  # it has ended by itself

    def kill(self) -> None:
        """The process and all it started."""
        try:
            os.killpg(self.process.pid, signal.SIGKILL)
        except (ProcessLookupError, PermissionError):
            pass
        self.process.wait()


class Foreman:
    def __init__(self, settings: ServiceSettings, store: Store):
        self.settings, self.store = settings, store
        self.hands: dict[str, Hand] = {}
        self.wanted = threading.Event()
        self.closing = threading.Event()
        self.thread: threading.Thread | None = None

    def start(self) -> None:
        self.closing.clear()
        self.thread = threading.Thread(target=self._mind, name="foreman", daemon=True)
        self.thread.start()

    def call(self) -> None:
        """Something changed: look at once."""
        self.wanted.set()

    def close(self) -> None:
        """End the processes; what they worked on waits again."""
        self.closing.set()
        self.wanted.set()
        if self.thread is not None:
            self.thread.join(10)
        for hand in self.hands.values():
            hand.kill()
            queue.give_back(self.store, hand.run, hand.holder, died=False)
        self.hands = {}

    def _mind(self) -> None:
        while not self.closing.is_set():
            try:
                self.tick()
            except Exception:
                log.exception("the foreman stumbled")
            self.wanted.wait(TICK_S)
            self.wanted.clear()

    def tick(self) -> None:
        for hand in [h for h in self.hands.values() if h.process.poll() is not None]:
            self._ended(hand)
        self._stop_what_must()
        queue.take_up_lost(self.store)
        for run in queue.gone(self.store):
            if run not in self.hands:
                shutil.rmtree(run_folder(self.settings.home, run), ignore_errors=True)
                queue.clear(self.store, run)
        while len(self.hands) < self.settings.at_once and not self.closing.is_set():
            taken = queue.take(self.store)
            if taken is None:
                break
            self._begin(*taken)

    def _ended(self, hand: Hand) -> None:
        hand.kill()  # whatever it started and left behind
        self.hands.pop(hand.run, None)
        queue.give_back(self.store, hand.run, hand.holder, died=True)  # nothing happens where it ended the run itself

    def _stop_what_must(self) -> None:
        cancelled, deleted = queue.to_stop(self.store, list(self.hands))
        now = time.monotonic()
        for hand in list(self.hands.values()):
            late = hand.told_at is not None and now - hand.told_at > WRITE_UP_S
            if hand.run in deleted or late:
                hand.kill()
                self.hands.pop(hand.run, None)
                queue.give_back(self.store, hand.run, hand.holder, died=False)
            elif hand.run in cancelled or now - hand.began_at > self.settings.limits.wall_s:
                hand.stop()

    def _begin(self, run: str, holder: str) -> None:
        busy = len(self.hands) + 1 + min(queue.waiting(self.store), self.settings.at_once - len(self.hands) - 1)
        crew = max(1, self.settings.cores // busy)
        where = {STORE: self.store.url, HOME: str(self.settings.home), CREW: str(crew)}
        where |= {CLUSTER: self.settings.cluster} if self.settings.cluster else {}
        command = [sys.executable, "-P", "-m", "optimizer.service.work", run, holder]  # -P: nothing from the folder it was started in
        quiet = {name: "1" for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")}
        env = {**os.environ, **quiet, **where, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p)}
        process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, env=env, start_new_session=True)
        self.hands[run] = Hand(run, holder, process)
