"""A whole ranking against the clock: designs judged, best score, pace. Prints one JSON object to standard output.

    python tests/bench/bench_rank.py [SITE] [--bands "40m 20m 10m"] [--seconds 60] [--workers 2] [--seed 1]

Machine, versions and commit stand beside the numbers. Nothing is kept between runs.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import subprocess
import time
from importlib.metadata import version
from pathlib import Path

from optimizer.physics.wish_reader import read_wishes
from optimizer.search.keys import versions
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

HERE = Path(__file__).parents[2]
PACKAGES = ("numpy", "scipy", "numba", "optuna", "shapely", "sqlalchemy")


def machine() -> dict:
    model = next((t.split(":")[1].strip() for t in _lines("/proc/cpuinfo") if t.startswith("model name")), platform.processor())
    head = ["git", "rev-parse", "--short", "HEAD"]
    commit = subprocess.run(head, cwd=HERE, capture_output=True, text=True, check=False).stdout.strip()
    return {
        "cpu": model, "cores": os.cpu_count(), "load_1_min": round(os.getloadavg()[0], 2), "python": platform.python_version(),
        "packages": {p: version(p) for p in PACKAGES}, "commit": commit, "date": time.strftime("%Y-%m-%d"), **versions(),
    }  # fmt: skip


def _lines(path: str) -> list[str]:
    try:
        return Path(path).read_text().splitlines()
    except OSError:
        return []


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("site", nargs="?", default=str(HERE / "sites" / "l_shape.geojson"))
    ask.add_argument("--bands", default="40m 20m 10m")
    ask.add_argument("--seconds", type=float, default=60.0)
    ask.add_argument("--workers", type=int, default=2)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--sampler", default="surface")
    given = ask.parse_args()
    site = read_site(given.site)
    curve: list[tuple[float, int, float]] = []

    def note(p) -> None:
        if p.best is not None and (not curve or p.best > curve[-1][2] + 1e-3):
            curve.append((round(p.elapsed_s, 2), p.tried, round(p.best, 3)))

    settings = SearchSettings(seconds=given.seconds, workers=given.workers, seed=given.seed, sampler=given.sampler)
    result = rank_site(site, read_wishes(given.bands, site), settings, note)
    print(json.dumps({
        "site": site.name, "bands": given.bands, "seconds": given.seconds, "workers": given.workers, "seed": given.seed,
        "sampler": given.sampler, "elapsed_s": round(result.elapsed_s, 2), "designs_judged": result.tried,
        "ruled_out_unsolved": result.ruled_out, "failed": result.failed, "designs_per_s": round(result.tried / result.elapsed_s, 2),
        "families_in_table": sorted({e.family for e in result.rows}), "best_score": round(result.rows[0].total, 2),
        "best_design": result.rows[0].design.title, "best_over_time_s_tried_score": curve, "machine": machine(),
    }, indent=1))  # fmt: skip


if __name__ == "__main__":
    main()
