"""The stated 10 to 90 % band holds for gardens of another generator. Minutes long: run with -m slow.

One figure has 34 to 46 of 50 inside within two standard deviations. Of many figures of the same gardens the mean has to keep that, and every one
of them the range that all together keep with 95 % (gardens and the bands' own ends drawn independently, shared out among the figures, whatever hangs together).
`tests/bench/bench_calibration.py` prints the table that stands in optimizer/docs/trimming.md.
"""

import sys
from pathlib import Path

import numpy as np
import pytest
from calibration import coverage

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))
from bench_calibration import by_chance
from bench_ensemble import SITES, first_that_stands

from optimizer.families.catalogue import FAMILIES
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site

FIRST, GARDENS = 6000, 50


@pytest.mark.slow
@pytest.mark.parametrize(
    ("site_name", "key"),
    [("l_shape.geojson", "end_fed_loaded_tail"), ("terrace.geojson", "linked_dipole")],
)
def test_hidden_gardens_fall_inside_the_band_four_times_of_five(site_name, key):
    site, family = read_site(SITES / site_name), FAMILIES[key]
    wishes = read_wishes("40m 20m 10m", site)
    found = first_that_stands(family, site, wishes)
    count = coverage(site, wishes, family, found.values, range(FIRST, FIRST + GARDENS))
    inside = [c[0] for c in count.values() if not c[3]]
    each = 0.025 / len(inside)
    low, high = np.quantile(by_chance(1), [each, 1.0 - each], method="inverted_cdf")
    assert all(low <= n <= high for n in inside), inside
    assert 34 <= sum(inside) / len(inside) <= 46, inside
