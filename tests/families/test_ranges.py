"""What may be searched: a taller mast allowed takes nothing away."""

from pathlib import Path

import numpy as np
import pytest
from lots import plain, wish
from test_conformance import sample

from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace
from optimizer.parts.catalogue import MAST_HEIGHTS_M
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site

ROOT = Path(__file__).parents[1]
SITES = [read_site(ROOT / path) for path in ("../sites/terrace.geojson", "families/lots/courtyard.geojson", "families/lots/large.geojson")]
HEIGHTS = ("apex_m", "corner_m")
SHORTER_NEEDS_MORE = ("top_loaded_vertical",)  # a lower mast takes longer wires at its top: its range of those hangs on the mast's


def heights(family, site, mast_m):
    wishes = read_wishes("40m 20m 10m", site, mast_limit_m=mast_m)
    try:
        return {p.name: p for p in family.parameters(site, wishes) if p.name in HEIGHTS}
    except NoPlace:
        return {}


@pytest.mark.parametrize("family", [f for f in FAMILIES.values() if f.key not in SHORTER_NEEDS_MORE], ids=lambda f: f.key)
def test_heights_that_were_searched_with_a_lower_mast_are_searched_with_a_taller_one(family):
    for site in SITES:
        low, high = heights(family, site, 5.0), heights(family, site, 9.0)
        for name in low.keys() & high.keys():
            assert high[name].low <= low[name].low and high[name].high >= low[name].high


@pytest.mark.parametrize("mast_limit_m", [None, 25.0])
@pytest.mark.parametrize("family", FAMILIES.values(), ids=lambda f: f.key)
def test_no_mast_is_taller_than_one_that_can_be_bought(family, mast_limit_m):
    """Whatever the lot and the wishes allow: trees and gables may be used up there, a mast ends where the shop's does."""
    site, wishes = plain(90.0, 70.0, height_limit_m=30.0), wish("80m", "40m", "20m", mast_limit_m=mast_limit_m, tuner="external")
    parameters, rng = family.parameters(site, wishes), np.random.default_rng(3)
    for values in (*family.starts(site, wishes), *(sample(parameters, rng) for _ in range(40))):
        try:
            design = family.build(values, site, wishes)
        except NoPlace:
            continue
        assert all(m.height_m <= MAST_HEIGHTS_M[-1] for m in design.structure.masts)
