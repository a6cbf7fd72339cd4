"""How soon there is a first ranked table, and of how many kinds of wire, on the ten lots. Prints rows of a Markdown table.

    python tests/bench/bench_first_table.py [--workers 2] [--lots terrace wedge] [--whole]

`--whole` goes on for the whole minute: the last column is then what the search comes to with so many workers, as `search_study.md` says it for one process.

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


def first_table(key: str, workers: int, whole: bool) -> str:
    """A row of the page: seconds, kinds and best score of the first table, and best score when the search ends."""
    from threading import Event

    from optimizer.search.rank import rank_site
    from optimizer.search.searching import SEARCHING
    from optimizer.search.settings import SearchSettings

    site, wishes = problem(key)
    stop, began, first, last = Event(), time.monotonic(), [], [0.0]

    def show(result) -> None:
        if not first:
            first.append((time.monotonic() - began, len({row.family for row in result.rows}), result.rows[0].total))
        if not whole:
            stop.set()

    def note(progress) -> None:
        if progress.stage == SEARCHING and progress.best is not None:
            last[0] = progress.best

    rank_site(site, wishes, SearchSettings(seconds=60.0, workers=workers, members=0), note, show=show, stop=stop)
    seconds, kinds, best = first[0]
    return f"| {key} | {seconds:.1f} s | {kinds} | {best:.1f} | {last[0]:.1f} |"


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--workers", type=int, default=2)
    ask.add_argument("--lots", nargs="+", default=list(lots()))
    ask.add_argument("--whole", action="store_true")
    ask.add_argument("--one", help=argparse.SUPPRESS)
    given = ask.parse_args()
    if given.one:
        print(first_table(given.one, given.workers, given.whole))
        return
    print(f"{given.workers} workers, load {os.getloadavg()[0]:.1f}\n\n| lot | first table after | kinds in it | best in it | best in the end |\n|---|---|---|---|---|", flush=True)
    for key in given.lots:
        command = [sys.executable, __file__, "--workers", str(given.workers), "--one", key, *(["--whole"] if given.whole else [])]
        subprocess.run(command, check=True)


if __name__ == "__main__":
    main()
