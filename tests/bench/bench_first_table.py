"""How soon there is a first ranked table, and of how many kinds of wire, on the ten lots. Prints rows of a Markdown table.

    python tests/bench/bench_first_table.py [--workers 2] [--lots terrace wedge]

By the clock on the wall from the call on, each lot in a process of its own (hiring workers included, compiling not: run anything once before).
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from lots import lots, problem


def first_table(key: str, workers: int) -> str:
    """A row of the page: seconds, kinds and best score of the first table."""
    from threading import Event

    from optimizer.search.rank import rank_site
    from optimizer.search.settings import SearchSettings

    site, wishes = problem(key)
    stop, began, first = Event(), time.monotonic(), []

    def show(result) -> None:
        if not first:
            first.append((time.monotonic() - began, len({row.family for row in result.rows}), result.rows[0].total))
        stop.set()

    rank_site(site, wishes, SearchSettings(seconds=60.0, workers=workers, members=0), show=show, stop=stop)
    seconds, kinds, best = first[0]
    return f"| {key} | {seconds:.1f} s | {kinds} | {best:.1f} |"


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--workers", type=int, default=2)
    ask.add_argument("--lots", nargs="+", default=list(lots()))
    ask.add_argument("--one", help=argparse.SUPPRESS)
    given = ask.parse_args()
    if given.one:
        print(first_table(given.one, given.workers))
        return
    print(f"{given.workers} workers, load {os.getloadavg()[0]:.1f}\n\n| lot | first table after | kinds in it | best |\n|---|---|---|---|", flush=True)
    for key in given.lots:
        subprocess.run([sys.executable, __file__, "--workers", str(given.workers), "--one", key], check=True)


if __name__ == "__main__":
    main()
