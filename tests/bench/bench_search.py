"""How soon the search finds the best: its curves of best score, against uniform random sampling of equal time, over lots and seeds.

    python tests/bench/bench_search.py RUNS [--lots terrace wedge] [--seeds 1 2 3] [--cpu-seconds 60] [--long 10] [--evaluations N]

Every run works alone in a process of its own, in line, and is written to RUNS as soon as it ends; runs found there are not repeated, so a
study goes on where it was broken off and can be made larger later. Time is processor time of that process, which a busy machine
changes less than the clock on the wall; `--evaluations` ends a run by candidates solved too, whichever comes first. Scores are of
the search's own storey, before refining. `--long` is how many times longer the run is that stands for the best there is (seed 0).
`report_search.py RUNS` makes the tables and curves.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from lots import lots, problem

MODES = {"search": "surface", "uniform": "uniform"}
LONG_SEED = 0


def one_run(key: str, mode: str, seed: int, cpu_seconds: float, evaluations: int) -> dict:
    """Best score over processor time and over candidates solved."""
    from optimizer.errors import NothingFits
    from optimizer.search import clock
    from optimizer.search.keys import versions
    from optimizer.search.rank import rank_site
    from optimizer.search.settings import SearchSettings

    clock.now = time.process_time
    site, wishes = problem(key)
    whole = cpu_seconds / (1.0 - clock.LEADERS_PART)  # a run searches for a part of its time
    settings = SearchSettings(seconds=whole, trials=evaluations or None, seed=seed, workers=1, sampler=MODES[mode], members=0)
    stop, began, curve, last = threading.Event(), time.process_time(), [], {}

    def note(p) -> None:
        spent = time.process_time() - began
        last.update(cpu_s=round(spent, 3), tried=p.tried, ruled_out=p.rejected)
        if p.best is not None and (not curve or round(p.best, 4) > curve[-1][2]):
            curve.append((round(spent, 3), p.tried, round(p.best, 4)))
        if spent > cpu_seconds or p.stage != "searching":
            stop.set()

    try:
        families = sorted({e.family for e in rank_site(site, wishes, settings, note, stop=stop).rows})
    except NothingFits:
        families = []
    return {
        "lot": key, "mode": mode, "seed": seed, "asked_cpu_s": cpu_seconds, "asked_evaluations": evaluations,
        **last, "families": families, "curve_cpu_s_tried_best": curve, "versions": versions(), "date": time.strftime("%Y-%m-%d"),
    }  # fmt: skip


def plan(given) -> list[tuple[str, str, int, float, int]]:
    """Runs in the order worth having: all modes of a seed on all lots, seed by seed, the long runs last."""
    cpu, count = given.cpu_seconds, given.evaluations
    runs = [(key, mode, seed, cpu, count) for seed in given.seeds for key in given.lots for mode in MODES]
    return runs + [(key, "search", LONG_SEED, given.long * cpu, int(given.long * count)) for key in given.lots if given.long]


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("runs", type=Path)
    ask.add_argument("--lots", nargs="+", default=list(lots()))
    ask.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3, 4, 5])
    ask.add_argument("--cpu-seconds", type=float, default=60.0)
    ask.add_argument("--evaluations", type=int, default=0)
    ask.add_argument("--long", type=float, default=10.0)
    ask.add_argument("--one", nargs=5, help=argparse.SUPPRESS)
    given = ask.parse_args()
    if given.one:
        key, mode, seed, cpu, count = given.one
        print(json.dumps(one_run(key, mode, int(seed), float(cpu), int(count))))
        return
    given.runs.mkdir(parents=True, exist_ok=True)
    todo = plan(given)
    for n, run in enumerate(todo, start=1):
        path = given.runs / f"{run[0]}-{run[1]}-{run[2]}.json"
        if path.exists():
            continue
        done = subprocess.run([sys.executable, __file__, str(given.runs), "--one", *map(str, run)], stdout=subprocess.PIPE, text=True, check=True)
        fresh = path.with_suffix(".part")
        fresh.write_text(done.stdout, encoding="utf-8")
        fresh.rename(path)
        print(f"{n}/{len(todo)} {path.stem}: {json.loads(done.stdout)['curve_cpu_s_tried_best'][-1:]}", flush=True)


if __name__ == "__main__":
    main()
