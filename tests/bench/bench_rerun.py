"""What a rerun with a taller mast is worth: a third of a fresh run's time from stored work, against fresh runs and the best there is. Prints a Markdown table.

    python tests/bench/bench_rerun.py RUNS [--lots terrace yard] [--low 6] [--cpu-seconds 72] [--seeds 1 2 3] [--kept FOLDER]

A lot is searched with a low mast limit; then, for a third as long, with its own limit from the folder of that search. RUNS are those of `bench_search.py`, which search
the same lots afresh with their own limits. Time is processor time of one process in line, spent searching; scores are of the search's own storey, before
refining. `--kept`: what was searched and found is left there and not done again, so that the page can be made anew.
"""

from __future__ import annotations

import argparse
import json
import shutil
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parent))
from bench_search import LONG_SEED
from lots import ROOT, lots, problem

from optimizer.report.folder import designs_in, rank_into, rerun
from optimizer.search import clock
from optimizer.search.searching import SEARCHING
from optimizer.search.settings import SearchSettings


def compared(key: str, runs: Path, kept: Path, low_m: float, cpu_seconds: float, seeds: list[int]) -> str:
    """A row of the page."""
    clock.now = time.process_time
    whole = cpu_seconds / (1.0 - clock.LEADERS_PART)
    site, wishes = problem(key)
    folder, low = kept / f"{key}-{low_m:g}", replace(wishes, mast_limit_m=low_m)
    if not designs_in(folder):
        rank_into(folder, ROOT / lots()[key]["site"], site, low, SearchSettings(seconds=whole, members=0), fresh=True)
    before = designs_in(folder)[0]["score"]
    found = []
    for seed in seeds:
        note = kept / f"{key}-{low_m:g}-{seed}.json"
        if not note.exists():
            note.write_text(json.dumps(_rerun(folder, wishes.mast_limit_m, SearchSettings(seconds=whole / 3, seed=seed, members=0))), encoding="utf-8")
        found.append(json.loads(note.read_text(encoding="utf-8")))
    again = sorted(found)
    ends = {path.stem: json.loads(path.read_text(encoding="utf-8"))["curve_cpu_s_tried_best"][-1][2] for path in runs.glob(f"{key}-search-*.json")}
    best = ends.pop(f"{key}-search-{LONG_SEED}")
    fresh = median(ends.values())
    cells = f"{before:.1f} | {fresh:.1f} | {best:.1f} | {median(again):.1f} | {100 * median(again) / fresh:.1f} % | {100 * median(again) / best:.1f} %"
    return f"| {key} | {cells} | {again[0]:.1f} |"


def _rerun(before: Path, limit_m: float | None, settings: SearchSettings) -> float:
    """Best score that a rerun of a copy of the folder finds while it searches."""
    found = [0.0]

    def note(progress) -> None:
        if progress.stage == SEARCHING and progress.best is not None:
            found.append(progress.best)

    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(before, folder, dirs_exist_ok=True)
        rerun(Path(folder), lambda _, wishes: replace(wishes, mast_limit_m=limit_m), settings, progress=note)
    return max(found)


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("runs", type=Path)
    ask.add_argument("--lots", nargs="+", default=list(lots()))
    ask.add_argument("--low", type=float, default=6.0)
    ask.add_argument("--cpu-seconds", type=float, default=72.0)
    ask.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3])
    ask.add_argument("--kept", type=Path)
    given = ask.parse_args()
    if given.kept:
        given.kept.mkdir(parents=True, exist_ok=True)
    took = f"{given.cpu_seconds:g} s"
    print(f"| lot | mast to {given.low:g} m | its own limit, fresh, {took} | ten times as long | rerun, {given.cpu_seconds / 3:g} s | of fresh | of ten times as long | least |")
    print("|---|---|---|---|---|---|---|---|", flush=True)
    with tempfile.TemporaryDirectory() as scratch:
        for key in given.lots:
            print(compared(key, given.runs, given.kept or Path(scratch), given.low, given.cpu_seconds, given.seeds), flush=True)


if __name__ == "__main__":
    main()
