"""Designs of an earlier run taken over as they stood."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from optimizer.evaluate import FULL, place
from optimizer.families.catalogue import FAMILIES
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.crew import Job, do
from optimizer.search.earlier import moved_over, with_earlier
from optimizer.search.keys import design_key
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson")
WISHES = read_wishes("20m", SITE)


@pytest.fixture(scope="module")
def stood():
    family = FAMILIES["dipole"]
    return next(e for v in family.starts(SITE, WISHES) if (e := place(SITE, WISHES, family, v)).fits)


def test_another_survey_of_the_same_place_moves_every_point_alike(stood):
    """One second of latitude is 30.9 m within 0.2 m, of longitude that times cos(latitude) within 0.4 % (closed form of the sphere and WGS 84's flattening)."""
    lon, lat = SITE.origin_lon_lat
    now = replace(SITE, origin_lon_lat=(lon + 1 / 3600, lat + 1 / 3600))
    moved = moved_over(stood.design, SITE, now)
    (x0, y0, z0), (x1, y1, z1) = stood.design.structure.wires[0].points_m[0], moved.structure.wires[0].points_m[0]
    assert y1 - y0 == pytest.approx(-30.9, abs=0.2) and z1 == z0
    assert x1 - x0 == pytest.approx(-30.9 * math.cos(math.radians(lat)), rel=0.008)
    before, after = stood.design.structure, moved.structure
    for a, b in zip((*before.cords_m, before.wires[0].points_m, *before.lines_m), (*after.cords_m, after.wires[0].points_m, *after.lines_m)):
        assert all(q[0] - p[0] == pytest.approx(x1 - x0) and q[1] - p[1] == pytest.approx(y1 - y0) for p, q in zip(a, b))


def test_a_place_without_position_moves_nothing(stood):
    assert moved_over(stood.design, replace(SITE, origin_lon_lat=None), SITE) is stood.design


def test_a_design_is_measured_as_it_stands(stood):
    """Untrimmed: the lengths are those given, and another measurement says the same."""
    coarse = replace(FULL, nodes=3, patterns=1, people=4)
    found = [do(SITE, WISHES, Job("dipole", stood.values, coarse, design=stood.design)) for _ in range(2)]
    assert found[0].values == stood.design.values and found[0] == found[1]


def test_what_is_among_the_rows_is_not_added_twice(stood):
    assert with_earlier([stood], [stood]) == [stood]
    assert [design_key(e.design) for e in with_earlier([], [stood])] == [design_key(stood.design)]
