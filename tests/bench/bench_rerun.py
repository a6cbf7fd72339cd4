"""What a rerun with a taller mast is worth: a third of a fresh run's time from stored work, against the fresh run. Prints a Markdown table.

    python tests/bench/bench_rerun.py [--lots terrace yard] [--low 6] [--high 9] [--cpu-seconds 72] [--kept FOLDER]

A lot is searched with a low mast limit, then with a high one afresh and, for a third as long and with three seeds, from the folder of the first search. Time is processor time
of one process in line, spent searching; scores are those of the table's first row, without gardens. `--kept`: the two searches are left there, and
taken from there when the rerun is tried again.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parent))
from lots import ROOT, lots, problem

from optimizer.report.folder import designs_in, rank_into, rerun
from optimizer.search import clock
from optimizer.search.settings import SearchSettings

RERUN_SEEDS = (1, 2, 3)


def compared(key: str, kept: Path, low_m: float, high_m: float, cpu_seconds: float, seed: int) -> str:
    """A row of the page."""
    clock.now = time.process_time
    whole = cpu_seconds / (1.0 - clock.LEADERS_PART)
    site, wishes = problem(key)
    settings = SearchSettings(seconds=whole, seed=seed, members=0)
    for limit_m in (low_m, high_m):
        folder = kept / f"{key}-{limit_m:g}-{seed}"
        if not designs_in(folder):
            rank_into(folder, ROOT / lots()[key]["site"], site, replace(wishes, mast_limit_m=limit_m), settings, fresh=True)
    before, fresh = (designs_in(kept / f"{key}-{limit_m:g}-{seed}")[0]["score"] for limit_m in (low_m, high_m))
    again = sorted(_rerun(kept / f"{key}-{low_m:g}-{seed}", high_m, replace(settings, seconds=whole / 3, seed=s)) for s in RERUN_SEEDS)
    return f"| {key} | {before:.1f} | {fresh:.1f} | {median(again):.1f} ({100 * median(again) / fresh:.1f} %) | {again[0]:.1f} ({100 * again[0] / fresh:.1f} %) |"


def _rerun(before: Path, high_m: float, settings: SearchSettings) -> float:
    """Best score of a rerun of a copy of the folder."""
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(before, folder, dirs_exist_ok=True)
        return rerun(Path(folder), lambda _, w: replace(w, mast_limit_m=high_m), settings).result.rows[0].total


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--lots", nargs="+", default=list(lots()))
    ask.add_argument("--low", type=float, default=6.0)
    ask.add_argument("--high", type=float, default=9.0)
    ask.add_argument("--cpu-seconds", type=float, default=72.0)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--kept", type=Path)
    given = ask.parse_args()
    print(f"| lot | mast to {given.low:g} m | to {given.high:g} m, fresh, {given.cpu_seconds:g} s | rerun, {given.cpu_seconds / 3:g} s, median of {len(RERUN_SEEDS)} | least |")
    print("|---|---|---|---|---|", flush=True)
    with tempfile.TemporaryDirectory() as scratch:
        for key in given.lots:
            print(compared(key, given.kept or Path(scratch), given.low, given.high, given.cpu_seconds, given.seed), flush=True)


if __name__ == "__main__":
    main()
