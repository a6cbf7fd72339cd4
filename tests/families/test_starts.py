"""Hand-made starts on a lot with more supports than an operator would think of first. The lot is one of the demo's."""

from pathlib import Path

import pytest

from optimizer.families.catalogue import FAMILIES
from optimizer.families.likely import FEW, SUPPORTS
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "l_shape.geojson")
WISHES = read_wishes("80m 40m 20m 10m", SITE)


@pytest.mark.parametrize("key", ["end_fed_half_wave_drooped", "end_fed_half_wave_sloped", "end_fed_loaded_tail"])
def test_starts_hang_from_several_supports_and_from_such_as_come_late_in_the_list(key):
    family = FAMILIES[key]
    late = {p.name: set(p.choices[FEW:]) for p in family.parameters(SITE, WISHES) if p.name in SUPPORTS}
    starts = list(family.starts(SITE, WISHES))
    hung = {tuple(s.get(n) for n in SUPPORTS) for s in starts}
    assert len(hung) >= 4 and any(s[n] in choices for s in starts for n, choices in late.items())


def test_the_same_starts_every_time():
    family = FAMILIES["end_fed_half_wave_drooped"]
    assert list(family.starts(SITE, WISHES)) == list(family.starts(SITE, WISHES))
