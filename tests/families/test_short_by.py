"""What `NoPlace` says is missing is what is missing: with the limit relaxed by that much it stands, with half of it it does not.

Where positions hang on the limit (a mast's place moves with the lot, a bearing with the house), the rig is asked by hand, its points given. Room
is counted along the wire.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from lots import garden, l_shaped, plain, site_of, wish
from shapely.geometry import LineString, box
from test_conformance import sample

from optimizer.families import obstacles, rig, standing
from optimizer.families.catalogue import FAMILIES
from optimizer.families.common import conductor
from optimizer.families.family import NoPlace
from optimizer.families.rig import Rig
from optimizer.site.model import Building, KeepOut, OverheadLine, Tree

WISHES = wish("20m")
HALF, WHOLE = 0.5, 1.0 + 1e-6


def missed(build):
    """The limit missed, None where it stands."""
    try:
        build()
    except NoPlace as found:
        return found
    return None


def holds_true(build, limit):
    """`build(relaxed_by)`: the same with the limit relaxed by so many metres or degrees."""
    first = missed(lambda: build(0.0))
    assert first is not None and first.limit == limit
    assert first.short_by > 1e-6
    half = missed(lambda: build(HALF * first.short_by))
    assert half is not None and half.limit == limit
    assert half.short_by == pytest.approx((1 - HALF) * first.short_by, rel=0.02, abs=1e-4)
    assert missed(lambda: build(WHOLE * first.short_by + 1e-6)) is None


def wider(by, **more):
    """20 x 12 m and so much more lawn to all sides."""
    return site_of(box(-by, -by, 20 + by, 12 + by), **more)


def checked(site, *points):
    Rig(site, WISHES).check([conductor("main", points)])


def house(by):
    return (Building(name="house", footprint=box(4, 2, 12, 9), height_m=5.0, clearance_m=2.0 - by),)


LEG = {"bearing": 90.0, "length": 10.0, "end_m": 3.0}
CASES = {
    "mast height": lambda by: Rig(plain(), wish("20m", mast_limit_m=7.0 + by)).stand((10, 6), 8.3, "mast"),
    "free ground": lambda by: Rig(wider(by), WISHES).stand((10, 12.7), 3.0, "post"),
    "free ground, blocked": lambda by: Rig(
        plain(keep_outs=(KeepOut(name="bed", footprint=box(9 + by, 5 + by, 13 - by, 9 - by)),)), WISHES
    ).stand((10, 6.5), 3.0, "post"),
    "overhead line": lambda by: Rig(
        plain(overhead_lines=(OverheadLine(name="line", path=LineString([(-50, -4), (70, -4)]), height_m=6.0, clearance_m=3.0 - by),)), WISHES
    ).stand((10.0, 6.0), 8.0, "mast"),
    "lot": lambda by: Rig(wider(by), WISHES).leg((16.0, 6.0, 6.0), **LEG),
    "lot, wire": lambda by: checked(wider(by), (2, 2, 3), (22, 2, 3)),
    "counterpoise room": lambda by: Rig(site_of(box(-by, -by, 20 + by, 3 + by)), WISHES).counterpoise((10.0, 1.5, 2.9), 14.0, 90.0),
    "height limit": lambda by: checked(plain(height_limit_m=9.0 + by), (2, 2, 3), (12, 2, 9.7)),
    "building clearance, over": lambda by: checked(plain(buildings=house(by)), (1, 5, 6.4), (15, 5, 6.4)),
    "building clearance, beside": lambda by: checked(plain(buildings=house(by)), (1, 10.4, 4.0), (15, 10.4, 4.0)),
    "keep-out": lambda by: checked(plain(keep_outs=(KeepOut(name="pond", footprint=box(4 + by, 2 + by, 12 - by, 9 - by)),)), (1, 8, 4), (15, 8, 4)),
    "keep-out, over": lambda by: checked(
        plain(keep_outs=(KeepOut(name="path", footprint=box(4, 2, 12, 11), from_m=3.0 + by, to_m=30.0),)), (1, 8, 4), (15, 8, 4)
    ),
    "tree": lambda by: checked(plain(trees=(Tree(name="pear", at_m=(8, 6), height_m=7.0 - by, crown_radius_m=3.0),)), (1, 6, 6.5), (15, 6, 6.5)),
}


@pytest.mark.parametrize("case", CASES)
def test_the_rig_misses_limits_by_what_it_says(case):
    holds_true(CASES[case], case.split(",")[0])


def test_heights_within_reach_and_wires_that_cross(monkeypatch):
    def low(by):
        monkeypatch.setattr(obstacles, "OUT_OF_REACH_M", 2.5 - by)
        checked(plain(), (2, 2, 3), (12, 2, 2.2))

    def crossing(by):
        monkeypatch.setattr(obstacles, "CROSS_GAP_M", 0.3 - by)
        Rig(plain(), WISHES).check([conductor("a", ((2, 2, 3), (12, 8, 3))), conductor("b", ((2, 8, 3.1), (12, 2, 3.1)))])

    holds_true(low, "end height")
    monkeypatch.setattr(obstacles, "OUT_OF_REACH_M", 2.5)
    holds_true(crossing, "crossing")


def test_guys_lack_the_radius_they_say(monkeypatch):
    def standing_by(by):
        monkeypatch.setattr(standing, "GUY_SHARE", 0.2 - by / 9.0)
        Rig(plain(), WISHES).stand((0.6, 6.0), 9.0, "mast")

    holds_true(standing_by, "guy room")


def test_a_support_and_an_apex_miss_by_what_they_say(monkeypatch):
    def too_near(by):
        Rig(plain(), WISHES).leg_to((1, 6, 3), (8 + by, 6, 3), 7.0, "post")

    def low_place(by):
        monkeypatch.setattr(standing, "OUT_OF_REACH_M", 2.5 - by)
        made = Rig(garden(), WISHES)
        made.at_place(made.plot.places[0], 2.0)

    def sharp(by):
        Rig(plain(), WISHES, apex_least_deg=90.0 - by).apex_ok((-3, 0, 3), (0, 0, 8), (3, 0, 3))

    def sharp_at_any_height(by):
        made = Rig(plain(), WISHES, apex_least_deg=90.0 - by)
        made.blunt_height(6.0, 5.9, lambda h: rig.sharper_deg((2.0, 2.0), (h - 3.0, h - 3.0), 1.0, made.apex_least_deg))

    holds_true(too_near, "wire length")
    holds_true(low_place, "end height")
    holds_true(sharp, "apex angle")
    holds_true(sharp_at_any_height, "apex angle")


def relaxed(site, wishes, found):
    """The site and the wishes with that limit moved by what is missing; None where that moves masts too, or is no number of theirs."""
    by = WHOLE * found.short_by + 1e-6
    if found.limit == "mast height" and wishes.mast_limit_m is not None:
        return site, replace(wishes, mast_limit_m=wishes.mast_limit_m + by)
    if found.limit == "height limit":
        return replace(site, height_limit_m=site.height_limit_m + by), wishes
    if found.limit == "overhead line":
        return replace(site, overhead_lines=tuple(replace(o, clearance_m=o.clearance_m - by) for o in site.overhead_lines)), wishes
    return None


@pytest.mark.parametrize("key", FAMILIES)
def test_families_get_past_a_limit_relaxed_by_what_is_missing(key):
    """Not on to a design, perhaps, but never back to the same limit at the same place."""
    family, rng = FAMILIES[key], np.random.default_rng(3)
    for site in (garden(), l_shaped()):
        for wishes in (wish("40m", "20m", "10m", mast_limit_m=8.0), wish("40m", "15m", tuner="external")):
            if not family.serves(wishes) or missed(lambda: family.parameters(site, wishes)):  # noqa: B023
                continue
            parameters = family.parameters(site, wishes)
            for values in (sample(parameters, rng) for _ in range(60)):
                found = missed(lambda: family.build(values, site, wishes))  # noqa: B023
                if found is None:
                    continue
                assert math.isfinite(found.short_by) and found.short_by > 0, found
                other = relaxed(site, wishes, found)
                again = missed(lambda: family.build(values, *other)) if other else None  # noqa: B023
                assert again is None or (again.limit, again.detail) != (found.limit, found.detail), (found, found.short_by, again.short_by)
