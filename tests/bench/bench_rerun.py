"""What a rerun with a taller mast is worth: a third of a fresh run's time from stored work, against the fresh run. Prints a Markdown table.

    python tests/bench/bench_rerun.py [--lots terrace yard] [--low 6] [--high 9] [--cpu-seconds 72]

A lot is searched with a low mast limit, then with a high one afresh and, for a third as long, from the folder of the first search. Time is processor time
of one process in line, spent searching; scores are those of the table's first row, without gardens.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from lots import ROOT, lots, problem

from optimizer.report.folder import rank_into, rerun
from optimizer.search import clock
from optimizer.search.settings import SearchSettings


def compared(key: str, low_m: float, high_m: float, cpu_seconds: float, seed: int) -> str:
    """A row of the page."""
    clock.now = time.process_time
    whole = cpu_seconds / (1.0 - clock.LEADERS_PART)
    site, wishes = problem(key)
    path = ROOT / lots()[key]["site"]
    settings = SearchSettings(seconds=whole, seed=seed, members=0)

    with tempfile.TemporaryDirectory() as folder:
        before = rank_into(Path(folder) / "low", path, site, replace(wishes, mast_limit_m=low_m), settings)
        fresh = rank_into(Path(folder) / "high", path, site, replace(wishes, mast_limit_m=high_m), settings)
        again = rerun(Path(folder) / "low", lambda _, w: replace(w, mast_limit_m=high_m), replace(settings, seconds=whole / 3))
    scores = [r.result.rows[0].total for r in (before, fresh, again)]
    return f"| {key} | {scores[0]:.1f} | {scores[1]:.1f} | {scores[2]:.1f} ({100 * scores[2] / scores[1]:.1f} %) |"


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--lots", nargs="+", default=["terrace", "yard", "wedge"])
    ask.add_argument("--low", type=float, default=6.0)
    ask.add_argument("--high", type=float, default=9.0)
    ask.add_argument("--cpu-seconds", type=float, default=72.0)
    ask.add_argument("--seed", type=int, default=1)
    given = ask.parse_args()
    print(f"| lot | mast to {given.low:g} m | to {given.high:g} m, fresh, {given.cpu_seconds:g} s | rerun, {given.cpu_seconds / 3:g} s |")
    print("|---|---|---|---|", flush=True)
    for key in given.lots:
        print(compared(key, given.low, given.high, given.cpu_seconds, given.seed), flush=True)


if __name__ == "__main__":
    main()
