"""What may be searched: a taller mast allowed takes nothing away."""

from pathlib import Path

import pytest

from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace
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
