"""A design's way through the gardens broken off anywhere and gone on with: as far as the kept steps, and to the same end."""

import json
from pathlib import Path

import numpy as np
import pytest

from optimizer.ensemble.growth import Drawn, Felt, Grown, Looked, Tried
from optimizer.ensemble.spread import growth_of, summary
from optimizer.evaluate import COARSE, measure, place
from optimizer.families.catalogue import FAMILIES
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.plain import packed, unpacked
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "l_shape.geojson")
WISHES = read_wishes("40m 20m", SITE)
FAMILY = FAMILIES["end_fed_loaded_tail"]
MEMBERS = 5


@pytest.fixture(scope="module")
def values():
    placed = (place(SITE, WISHES, FAMILY, start) for start in FAMILY.starts(SITE, WISHES))
    return measure(SITE, WISHES, FAMILY, next(p for p in placed if p.design and p.fits).design, COARSE).values


def on_the_way(values, steps=()):
    return growth_of(SITE, WISHES, FAMILY, values, members=MEMBERS, steps=steps)


def numbers(thing):
    """All numbers in plain data, in order."""
    if isinstance(thing, dict):
        return [n for value in thing.values() for n in numbers(value)]
    if isinstance(thing, list):
        return [n for value in thing for n in numbers(value)]
    return [thing] if isinstance(thing, float) else []


def test_begun_anew_at_every_step_from_what_is_kept_it_comes_to_the_same(values):
    whole = on_the_way(values)
    while whole.next():
        pass
    kept = []
    while step := on_the_way(values, unpacked(json.loads(json.dumps(packed(tuple(kept)))))).next():
        kept.append(step)
    ways = len({way.name for way in kept[6].options})
    assert [type(s) for s in kept] == [Felt, *[Looked] * MEMBERS, Drawn, *[Tried] * ways, *[Grown] * MEMBERS] and ways > 2
    again = on_the_way(values, kept)
    one, other = summary(whole.ready, whole.grown), summary(again.ready, again.grown)
    assert (one.way, one.on_target, one.moves) == (other.way, other.on_target, other.moves)
    np.testing.assert_allclose(numbers(packed(one)), numbers(packed(other)), rtol=1e-8)
    assert numbers(packed(one.gardens[0])) != numbers(packed(one.gardens[1])), "gardens that differ"
