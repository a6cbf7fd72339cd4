"""A cluster of our own on sockets of this machine: a scheduler and workers, each a process that can be killed. For tests and benches."""

import os
import socket
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
ENV = {**os.environ, "PYTHONPATH": str(ROOT), "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "NUMBA_NUM_THREADS": "1"}


class Cluster:
    """Scheduler at `address` with workers of one thread; leave the block to end all of it."""

    def __init__(self, folder, workers=2, host="127.0.0.1", within=lambda n: ()):
        self.folder, self.host, self.within = Path(folder), host, within
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.address = f"tcp://{host}:{self.port}"
        self.count, self.workers = workers, []

    def __enter__(self):
        self.scheduler = self._start((), "scheduler", "--host", self.host, "--port", str(self.port), "--no-dashboard")
        for _ in range(self.count):
            self.add()
        return self

    def add(self):
        n = len(self.workers)
        self.workers.append(
            self._start(self.within(n), "worker", self.address, "--nworkers", "1", "--nthreads", "1", "--no-dashboard", "--no-nanny")
        )

    def ready(self, count, within_s=120):
        """Wait until so many workers have joined."""
        from dask.distributed import Client

        with Client(self.address, timeout=within_s, set_as_default=False) as client:
            client.wait_for_workers(count, timeout=within_s)

    def _start(self, before, *command):
        with (self.folder / f"{command[0]}.log").open("ab") as log:
            return subprocess.Popen([*before, sys.executable, "-m", "dask", *command], cwd=self.folder, env=ENV, stdout=log, stderr=log)

    def __exit__(self, *_):
        for process in (*self.workers, self.scheduler):
            process.kill()
            process.wait()
        time.sleep(0.1)
