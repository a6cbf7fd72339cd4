"""Time of an ensemble: one design of each family, 24 gardens, all wished bands; seconds of one core.

    OMP_NUM_THREADS=1 python tests/bench/bench_ensemble.py [site] [bands]

The first line includes compiling and the tables of Bessel functions; goal: a design in at most 8 s.
"""

import sys
import time
from pathlib import Path

from optimizer.ensemble.spread import spread_of
from optimizer.errors import LotwireError
from optimizer.evaluate import COARSE, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site

SITES = Path(__file__).parents[2] / "sites"


def first_that_stands(family, site, wishes):
    """The family's own first start that keeps all limits, measured; None if there is none."""
    if not family.serves(wishes):
        return None
    try:
        for values in list(family.starts(site, wishes))[:40]:
            placed = place(site, wishes, family, values)
            if placed.fits:
                return measure(site, wishes, family, placed.design, COARSE)
    except NoPlace:
        pass
    return None


def main(site_name="terrace.geojson", bands="40m 20m 10m"):
    site = read_site(SITES / site_name)
    wishes = read_wishes(bands, site)
    print(f"{'family':28} {'s':>6} {'on target':>9} {'by cutting':>10} {'moves':>6}  order")
    for family in FAMILIES.values():
        found = first_that_stands(family, site, wishes)
        if found is None:
            continue
        began = time.process_time()
        try:
            spread = spread_of(site, wishes, family, found.values)
        except LotwireError as error:
            print(f"{family.key:28} {error}")
            continue
        took = time.process_time() - began
        print(f"{family.key:28} {took:6.2f} {spread.on_target:9.2f} {spread.trimmable:10.2f} {spread.moves:6.1f}  {spread.way}")


if __name__ == "__main__":
    main(*sys.argv[1:])
