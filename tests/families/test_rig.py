"""The rig by hand: legs, folds, cords, guys and what it refuses, on lots where the answer is plain geometry."""

import math
from dataclasses import replace

import pytest
from lots import plain, site_of, wish
from shapely.geometry import LineString, box

from optimizer.families.common import conductor, line_length_m
from optimizer.families.family import NoPlace
from optimizer.families.hanging import FOLD_SHARE
from optimizer.families.rig import Rig
from optimizer.families.standing import POST_MAX_M, TIE_M
from optimizer.site.model import KeepOut, OverheadLine

WISHES = wish("20m")


def rig(site=None, wishes=WISHES):
    return Rig(site or plain(), wishes)


def limit_of(build):
    with pytest.raises(NoPlace) as missed:
        build()
    return missed.value.limit, missed.value.short_by


def test_leg_runs_straight_to_its_hold_with_the_cord_asked_for():
    # 6 m of wire and 4 m of cord, 6 m of drop: run 8 m east, wire's end 0.6 of the way
    leg = rig().leg((5.0, 6.0, 9.2), 90.0, 6.0, 3.2, cord_m=4.0)
    assert leg.holds[-1] == pytest.approx((13.0, 6.0, 3.2))
    assert leg.points == (pytest.approx((9.8, 6.0, 5.6)),)
    assert (leg.tied, leg.bent, leg.reachable) == ("post", False, True)


def test_cord_shortens_where_room_ends_and_trimming_moves_only_the_end():
    hung = [rig().leg((14.0, 6.0, 7.0), 90.0, length, 3.0, nominal_m=5.0, cord_m=6.0) for length in (5.0, 4.8)]
    assert hung[0].holds == hung[1].holds
    assert hung[0].holds[0][0] == pytest.approx(19.95)
    assert math.dist(hung[0].points[0], hung[1].points[0]) == pytest.approx(0.2)


def test_in_the_open_too_trimming_leaves_the_hold_where_the_nominal_length_put_it():
    short, long = (rig().leg((8.0, 6.0, 7.0), 90.0, length, 3.0, nominal_m=5.0, cord_m=2.0) for length in (4.7, 5.2))
    assert short.holds == long.holds
    assert short.lengths == pytest.approx([7.0])


def test_leg_too_long_is_folded_along_the_edge_at_its_full_length():
    start = (12.0, 6.0, 6.0)
    leg = rig().leg(start, 90.0, 10.0, 2.5)
    bend, end = leg.points
    assert leg.bent and bend[0] < 20.0 and end[0] == pytest.approx(bend[0])
    assert math.dist(start, bend) + math.dist(bend, end) == pytest.approx(10.0)
    assert math.dist(bend, end) <= FOLD_SHARE * 10.0
    assert limit_of(lambda: rig().leg(start, 90.0, 16.0, 2.5))[0] == "lot"


def test_steep_cord_goes_down_to_a_stake():
    # 45 degrees: from 2.5 m up the ground is 2.5 m on
    made = rig()
    leg = made.leg((5.0, 6.0, 8.0), 90.0, 7.0, 2.5, cord_m=TIE_M + math.hypot(5.5, 5.5) - 7.4)
    assert leg.tied == "stake"
    assert leg.holds[-1] == pytest.approx((13.0, 6.0, 0.0), abs=1e-6)
    assert [a.kind for a in made.anchors] == ["stake"]


def test_mast_has_three_guys_inside_the_lot_and_a_post_has_none():
    made = rig()
    made.stand((10.0, 6.0), 9.0, "mast")
    made.stand((10.0, 2.0), POST_MAX_M, "post")
    guys = [a.at_m for a in made.anchors if a.kind == "guy"]
    radii = [math.dist(g, (10.0, 6.0)) for g in guys]
    assert len(guys) == 3 and radii == pytest.approx([4.5] * 3)
    assert all(0 < x < 20 and 0 < y < 12 for x, y in guys)
    assert math.dist(guys[0], guys[1]) == pytest.approx(4.5 * math.sqrt(3))
    assert len(made.masts) == 1


@pytest.mark.parametrize(
    ("build", "limit"),
    [
        (lambda: rig().stand((0.3, 0.3), 9.0, "mast"), "guy room"),
        (lambda: rig(wishes=wish("20m", mast_limit_m=7.0)).stand((10, 6), 7.5, "mast"), "mast height"),
        (lambda: rig(plain(keep_outs=(KeepOut(name="bed", footprint=box(9, 5, 11, 7)),))).stand((10, 6), 5.0, "mast"), "free ground"),
        (lambda: rig().leg((10, 6, 8), 90.0, 6.0, 2.0), "end height"),
        (lambda: rig().apex_ok((0, 0, 0), (1, 0, 3), (2, 0, 0)), "apex angle"),
        (lambda: rig().leg_to((1, 6, 3), (8, 6, 3), 7.0, "post"), "wire length"),
        (lambda: rig(plain(3.0, 3.0)).counterpoise((0.9, 0.8, 2.6), 4.0, 0.0), "counterpoise room"),
    ],
)
def test_what_cannot_stand_names_its_limit_and_by_how_much(build, limit):
    named, short = limit_of(build)
    assert named == limit
    assert short > 0


def test_mast_within_its_fall_of_a_power_line_is_refused_by_the_metres_missing():
    line = OverheadLine(name="street", path=LineString([(-50, -4), (70, -4)]), height_m=6.0, clearance_m=3.0)
    site = plain(overhead_lines=(line,))
    assert limit_of(lambda: rig(site).stand((10.0, 6.0), 8.0, "mast")) == ("overhead line", pytest.approx(1.0))
    rig(site).stand((10.0, 7.1), 8.0, "mast")
    telecom = plain(overhead_lines=(replace(line, kind="telecom"),))
    rig(telecom).stand((10.0, 6.0), 8.0, "mast")


def wire(name, *points):
    return conductor(name, points)


@pytest.mark.parametrize(
    ("wires", "limit"),
    [
        ([wire("a", (2, 2, 3), (22, 2, 3))], "lot"),
        ([wire("a", (2, 2, 3), (12, 2, 9.2))], "height limit"),
        ([wire("a", (2, 2, 3), (12, 8, 3)), wire("b", (2, 8, 3.1), (12, 2, 3.1))], "crossing"),
    ],
)
def test_check_refuses(wires, limit):
    named, short = limit_of(lambda: rig().check(wires))
    assert named == limit
    assert short > 0


def test_check_lets_wires_cross_well_above_each_other_and_notches_count():
    rig().check([wire("a", (2, 2, 3), (12, 8, 3)), wire("b", (2, 8, 4), (12, 2, 4))])
    notched = site_of(box(0, 0, 20, 12).difference(box(8, 4, 12, 12)))
    assert limit_of(lambda: rig(notched).check([wire("a", (2, 10, 3), (18, 10, 3))]))[0] == "lot"


def test_line_runs_along_the_ground_or_straight_over_where_that_is_shorter():
    site = plain()  # radio at (6.0, 0.8), 2.8 m up
    assert line_length_m(site, (6.0, 0.8, 2.8)) == pytest.approx(1.0)
    assert line_length_m(site, (16.0, 0.8, 9.0)) == pytest.approx(10 + 2.8 + 9 + 1)
    bare = replace(site, radio=None)
    assert line_length_m(bare, (10.0, 6.0, 4.0)) == pytest.approx(1 + 3.0)  # centroid below it, entry 1 m up
