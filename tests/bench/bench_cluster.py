"""A cluster's worth: the same number of designs with one worker and with two, separate processes over a socket. Prints JSON.

    python tests/bench/bench_cluster.py [--trials 40] [--lot terrace] [--ledger URL] [--namespaces A B]

With `--namespaces` the workers run in those network namespaces (made beforehand, reachable at `--host`, as root). Processor times stand beside the
clock's, for a busy machine stretches the clock.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1] / "search")]
from cluster import Cluster
from lots import problem

from optimizer.errors import NothingFits
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings


def cpu_s(process) -> float:
    """Processor time a process has used so far."""
    fields = Path(f"/proc/{process.pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def timed(key: str, count: int, trials: int, ledger, host: str, namespaces) -> dict:
    site, wishes = problem(key)
    with tempfile.TemporaryDirectory() as folder:
        within = (lambda n: ("ip", "netns", "exec", namespaces[n % len(namespaces)])) if namespaces else (lambda n: ())
        with Cluster(folder, workers=count, host=host, within=within) as cluster:
            cluster.ready(count)
            settings = SearchSettings(trials=trials, seed=1, members=0, cluster=cluster.address, ledger=ledger)
            with suppress(NothingFits):  # so few need not fit: this is for imports and compiled code
                rank_site(site, wishes, SearchSettings(trials=2 * count, members=0, cluster=cluster.address))
            began, mine, theirs = time.monotonic(), time.process_time(), [cpu_s(w) for w in cluster.workers]
            result = rank_site(site, wishes, settings)
            return {
                "workers": count, "solved": result.tried, "wall_s": round(time.monotonic() - began, 2),
                "coordinator_cpu_s": round(time.process_time() - mine, 2),
                "worker_cpu_s": [round(cpu_s(w) - t, 2) for w, t in zip(cluster.workers, theirs)], "load_1_min": round(os.getloadavg()[0], 1),
            }  # fmt: skip


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--trials", type=int, default=40)
    ask.add_argument("--lot", default="terrace")
    ask.add_argument("--ledger")
    ask.add_argument("--host", default="127.0.0.1")
    ask.add_argument("--namespaces", nargs="*")
    given = ask.parse_args()
    print(json.dumps([timed(given.lot, n, given.trials, given.ledger, given.host, given.namespaces) for n in (1, 2)], indent=1))


if __name__ == "__main__":
    main()
