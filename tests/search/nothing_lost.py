"""A search whose solving is played (a figure made up from the values, a little waiting), all the rest real; told line by line. A script.

    python nothing_lost.py LEDGER TRIALS

Prints `TRIED REUSED` after each commit, so that a test can kill it at any moment and see what has to be there.
"""

import sys
import time
from pathlib import Path

from optimizer.errors import InputError
from optimizer.evaluate import Measurement, place
from optimizer.families.catalogue import FAMILIES
from optimizer.figures import BandFigures
from optimizer.physics.wish_reader import read_wishes
from optimizer.search import crew
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson")
WISHES = read_wishes("20m", SITE)


def played(site, wishes, job, *more):
    time.sleep(0.01)
    placed = place(site, wishes, FAMILIES[job.family], job.values)
    share = sum(v for v in placed.values.values() if isinstance(v, float)) % 1.0
    band = BandFigures(
        covered_share=share, swr_best=1.1, swr_worst=2.5, efficiency=0.4, gain_near_dbi=1.0, gain_far_dbi=-7.0,
        freq_hz=(14.0e6, 14.35e6), swr=(1.1, 2.5), solved_hz=(14.2e6,), solved_ohm=((50.0, -3.25),), budget={"soil": 0.6},
    )  # fmt: skip
    return Measurement(family=job.family, values=placed.values, bands={"20m": band}, storey=job.storey.name)


def main(ledger, trials):
    crew.do = played

    def tell(p):
        if p.stage == "searching":
            print(p.tried, p.reused, flush=True)

    try:
        rank_site(SITE, WISHES, SearchSettings(trials=int(trials), ledger=ledger, members=0, rows=2), tell)
    except InputError as error:
        print(error, file=sys.stderr)
        sys.exit(error.exit_status)


if __name__ == "__main__":
    main(*sys.argv[1:])
