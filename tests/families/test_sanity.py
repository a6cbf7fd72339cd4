"""What every operator knows, asked of the whole job: nothing that was possible is lost where a limit is loosened, a lot grows or a band is dropped.

The earlier table's designs go into the later search as they stood, so the bounds are exact; `ROUNDING` is that of sums in another order.
Poor soil: common practice, no source: a vertical stands or falls with its soil.
"""

from dataclasses import replace

import pytest
from lots import plain, site_of, wish
from shapely.geometry import box

from optimizer.criteria.score import score
from optimizer.evaluate import COARSE, evaluate, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.physics.soil import Soil
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.site.model import Radio

pytestmark = pytest.mark.slow

ROUNDING = 1e-6
FIRST = SearchSettings(trials=12, members=0, rows=8, rows_per_family=2)
LATER = replace(FIRST, trials=2)
SITE, WISHES = plain(24.0, 16.0, height_limit_m=10.0), wish("40m", "20m", "10m", mast_limit_m=7.0)


@pytest.fixture(scope="module")
def earlier():
    return rank_site(SITE, WISHES, FIRST).rows


def best_later(earlier, site, wishes):
    return rank_site(site, wishes, LATER, earlier=[row.design for row in earlier]).rows[0].total


def test_a_higher_mast_limit_never_lowers_the_best_score(earlier):
    assert best_later(earlier, SITE, replace(WISHES, mast_limit_m=9.0)) >= earlier[0].total - ROUNDING


def test_a_larger_lot_never_lowers_the_best_score(earlier):
    larger = site_of(box(-3.0, 0.0, 27.0, 20.0), radio=Radio(name="shack", at_m=(7.2, 0.8), height_m=2.8), height_limit_m=10.0)
    assert best_later(earlier, larger, WISHES) >= earlier[0].total - ROUNDING


@pytest.mark.parametrize("kept", [("40m", "20m"), ("40m",), ("20m",), ("10m",)])
def test_dropping_bands_never_lowers_what_the_others_can_have(earlier, kept):
    """Each single band that remains is asked alone too: its best attainable figures."""
    fewer = replace(WISHES, bands=tuple(b for b in WISHES.bands if b.key in kept))
    had = max(score(fewer, row.bands, row.cost).total for row in earlier if row.change_min == 0.0)
    assert best_later(earlier, SITE, fewer) >= had - ROUNDING


def test_poor_soil_costs_a_vertical_more_than_a_high_dipole():
    """The same two wires, as trimmed on good soil, on poor soil: gain toward far contacts, for which a vertical is put up.

    Not so of all the power to the sky: a dipole half a wave up loses a larger share of it, straight down, into soil of low permittivity.
    """
    wishes, good = wish("20m"), Soil(relative_permittivity=30.0, conductivity_s_per_m=0.03)
    site = replace(plain(30.0, 20.0, height_limit_m=11.0), soil=good)
    poor = replace(site, soil=Soil(relative_permittivity=5.0, conductivity_s_per_m=0.001))
    lost_dbi = {}
    for key in ("vertical", "dipole"):
        family = FAMILIES[key]
        values = next(v for v in family.starts(site, wishes) if place(site, wishes, family, v).fits)
        before = evaluate(site, wishes, family, values, COARSE)
        after = measure(poor, wishes, family, before.design, COARSE, trim=False).bands["20m"]
        lost_dbi[key] = before.bands["20m"].gain_far_dbi - after.gain_far_dbi
    assert lost_dbi["vertical"] > lost_dbi["dipole"]
