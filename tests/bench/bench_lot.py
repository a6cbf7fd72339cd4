"""What one lot costs: processor time of a candidate, of a leader at the full storey and in gardens, and the room its rows take. Prints JSON.

    python tests/bench/bench_lot.py [--lots terrace large] [--each 6]

In line in one process, compiled code at hand; means over the first starts of the families that stand. For the sizing in optimizer/docs/search.md.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from dataclasses import replace
from pathlib import Path
from statistics import mean

sys.path.insert(0, str(Path(__file__).parent))
from lots import problem

from optimizer.evaluate import COARSE, FULL, place
from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace
from optimizer.search.crew import Job, Unfinished, do
from optimizer.search.plain import packed
from optimizer.spread import MEMBERS


def standing(site, wishes, each: int) -> list:
    """One start of each of the first families that keep every limit of place."""
    found = []
    for family in FAMILIES.values():
        try:
            starts = list(family.starts(site, wishes)) if family.starts and family.serves(wishes) else []
        except NoPlace:
            continue
        found += [(family.key, v) for v in starts if place(site, wishes, family, v).fits][:1]
    return found[:each]


def done(site, wishes, job: Job):
    """The outcome of a job, handed in again as long as it comes back in parts."""
    while isinstance(found := do(site, wishes, job), Unfinished):
        job = replace(job, steps=(*job.steps, *found.steps), token=found.token)
    return found


def cost(key: str, each: int) -> dict:
    site, wishes = problem(key)
    storeys = {"coarse": COARSE, "full": FULL, "gardens": replace(FULL, name="spread", members=MEMBERS, swr_limit=wishes.swr_limit)}
    candidates, told = standing(site, wishes, each), {"lot": key}
    done(site, wishes, Job(*candidates[0], COARSE))  # loads the compiled code
    for name, storey in storeys.items():
        began = time.process_time()
        outcomes = [done(site, wishes, Job(family, values, storey)) for family, values in candidates]
        told |= {f"{name}_cpu_s": round((time.process_time() - began) / len(candidates), 3)}
        told |= {f"{name}_kb": round(mean(len(json.dumps(packed(o))) for o in outcomes) / 1024, 1)}
    return told | {"designs": len(candidates), "load_1_min": round(os.getloadavg()[0], 1)}


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--lots", nargs="+", default=["terrace", "large"])
    ask.add_argument("--each", type=int, default=6)
    given = ask.parse_args()
    print(json.dumps([cost(key, given.each) for key in given.lots], indent=1))


if __name__ == "__main__":
    main()
