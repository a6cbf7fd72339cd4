"""Signed margins, worked by hand (plane geometry), and their invariances.

Every rule has a case that is met, one at its limit or missed, and the degenerate shapes: upright wires, wires across
                        a notch,
pieces of no length. Sources: the project's contract for the rules; Pythagoras and general-purpose geometry for the
                        numbers.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_lots import L_SHAPE, SQUARE, line, site, wire, wires
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon

from optimizer.site import kernels
from optimizer.site.clearance import FREE_M, margins
from optimizer.site.explain import RULES, explain
from optimizer.site.lot_margin import lot_margin_m
from optimizer.site.model import Anchor, Building, KeepOut, Mast, MastSpot, Span, Structure, Tree
from optimizer.site.prepared import polygon_edges

FLAT = wire((5, 5, 4), (15, 5, 4))


def margin(name, a_site, structure):
    return margins(a_site, structure)[name]


# ---- lot ----


@pytest.mark.parametrize(
    ("points", "expected"),
    [
        ([(5, 5, 4), (15, 6, 4)], 5.0),
        ([(3, 5, 1), (3, 5, 9)], 3.0),  # upright, inside
        ([(0, 5, 1), (10, 5, 1)], 0.0),  # touches the edge
        ([(-2, 5, 1), (-2, 5, 9)], -2.0),  # upright, outside: no plan length, still felt
        ([(-2, 5, 1), (5, 5, 1)], -4.0),  # 2 m out, 2 m of it outside
        ([(-3, 5, 1), (-3, 9, 1)], -7.0),  # 3 m out, 4 m outside
        ([(5, 5, 1), (5, 5, 1)], 5.0),  # no length at all
    ],
)
def test_lot_margin_by_hand(points, expected):
    assert margin("lot_m", site(), wires(wire(*points))) == pytest.approx(expected, abs=1e-9)


def test_a_wire_across_a_notch_with_both_ends_inside_is_outside():
    """L-shape: from (8, 14) to (19, 7) passes over the missing corner; its ends are a metre inside."""
    across = LineString([(8, 14), (19, 7)])
    out = across.difference(Polygon(L_SHAPE)).length
    assert out > 3
    assert margin("lot_m", site(L_SHAPE), wires(wire((8, 14, 3), (19, 7, 3)))) == pytest.approx(-out, abs=1e-9)


def test_a_hole_in_the_lot_counts():
    hole = [(8, 8), (12, 8), (12, 12), (8, 12)]
    there = site(holes=[hole])
    assert margin("lot_m", there, wires(wire((2, 10, 3), (18, 10, 3)))) == pytest.approx(-4.0)
    assert margin("lot_m", there, wires(wire((2, 7, 3), (18, 7, 3)))) == pytest.approx(1.0)


def test_setback_and_every_kind_of_piece_count():
    there = site(setback_m=1.0)
    assert margin("lot_m", there, wires(FLAT)) == pytest.approx(4.0)
    for more in (
        {"masts": (Mast(at_m=(19.5, 10), height_m=5),)},
        {"anchors": (Anchor(at_m=(19.5, 10), kind="guy"),)},
        {"cords_m": (((10, 10, 5), (19.5, 10, 0)),)},
    ):
        missed = 1.0 if "cords_m" in more else 0.5  # a cord has 0.5 m of length outside besides
        assert margin("lot_m", there, wires(FLAT, **more)) == pytest.approx(-missed)
    assert margin("lot_m", there, wires(FLAT, wire((10, 19.5, 1), (10, 15, 1), role="line"))) == pytest.approx(-1.0)


def test_a_usable_area_in_two_parts():
    dumbbell = [(0, 0), (8, 0), (8, 3), (12, 3), (12, 0), (20, 0), (20, 8), (12, 8), (12, 4), (8, 4), (8, 8), (0, 8)]
    there = site(dumbbell, setback_m=1.0)
    assert there.usable.geom_type == "MultiPolygon"
    assert margin("lot_m", there, wires(wire((4, 3.5, 3), (16, 3.5, 3)))) == pytest.approx(-6.0)
    assert margin("lot_m", there, wires(wire((4, 2, 3), (4, 6, 3)))) == pytest.approx(1.0)


coordinate = st.floats(-5, 25).map(lambda v: round(v, 3))


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(coordinate, coordinate, st.floats(0.1, 9)), min_size=2, max_size=5))
def test_lot_margin_agrees_with_a_general_geometry_library(points):
    area = Polygon(L_SHAPE).buffer(-0.5, join_style="mitre")
    run = LineString([p[:2] for p in points])
    reach = max(area.distance(Point(p[:2])) for p in points)
    over = run.difference(area).length if run.length > 0 else 0.0
    expected = (
        -(reach + over) if reach + over > 1e-7 else area.boundary.distance(run if run.length else Point(points[0]))
    )
    found = margin("lot_m", site(L_SHAPE, setback_m=0.5), wires(wire(*points)))
    # doubled-back pieces are counted twice here and once by the library's set difference
    pieces = [LineString([a[:2], b[:2]]) for a, b in zip(points, points[1:]) if a[:2] != b[:2]]
    if expected < 0:
        expected = -(reach + sum(p.difference(area).length for p in pieces))
    assert found == pytest.approx(expected, abs=1e-6)


# ---- height and lowest point ----


def test_height_limit_and_lowest_point():
    up = wires(wire((5, 5, 0.5), (5, 5, 9.25)), masts=(Mast(at_m=(6, 6), height_m=9.75),))
    assert margin("height_limit_m", site(), up) == pytest.approx(0.25)
    assert margin("wire_height_m", site(), up) == pytest.approx(0.48)
    assert margin("wire_height_m", site(), wires(wire((5, 5, 0.0), (5, 6, 1)))) == pytest.approx(-0.02)


# ---- buildings ----

HOUSE = Building(name="house", footprint=Polygon([(10, 0), (16, 0), (16, 6), (10, 6)]), height_m=6.0, clearance_m=1.0)
WITH_HOUSE = site(buildings=(HOUSE,))


@pytest.mark.parametrize(
    ("points", "gap"),
    [
        ([(5, 0, 3), (5, 6, 3)], 5.0),  # along the wall
        ([(5, 3, 3), (8, 3, 3)], 2.0),  # toward the wall
        ([(7, 3, 10), (7, 4, 10)], 5.0),  # 3 m off, 4 m over the roof: 3-4-5
        ([(8, 3, 8.5), (18, 3, 8.5)], 2.5),  # right over the roof
        ([(11, 3, 7), (11, 3, 9)], 1.0),  # upright over the roof
        ([(7, 9, 2), (7, 9, 5)], math.hypot(3, 3)),  # upright off a corner
        ([(8, 3, 4), (8, 3, 12)], 2.0),  # upright beside the wall, past the roof
        ([(8.5, 3, 5.5), (13, 3, 9.5)], None),  # rising over the eaves
    ],
)
def test_building_margin_by_hand(points, gap):
    if gap is None:  # the eave at x = 10, z = 6 is nearest: distance of a point from a line in the x-z plane
        (x1, _, z1), (x2, _, z2) = points
        gap = abs((x2 - x1) * (z1 - 6.0) - (z2 - z1) * (x1 - 10.0)) / math.hypot(x2 - x1, z2 - z1)
    assert margin("building_m", WITH_HOUSE, wires(wire(*points))) == pytest.approx(gap - 1.0, abs=1e-9)


def test_a_wire_through_a_house_is_strongly_negative():
    through = margin("building_m", WITH_HOUSE, wires(wire((8, 3, 3), (18, 3, 3))))
    assert through <= -7.0  # six metres inside, and the clearance
    shaft = margin("building_m", WITH_HOUSE, wires(wire((13, 3, 1), (13, 3, 9))))
    assert shaft <= -6.0  # five metres of it inside
    assert margin("building_m", WITH_HOUSE, wires(wire((8, 3, 3), (18, 3, 3), role="line"))) == FREE_M


def test_clearance_is_let_off_near_a_hold_in_use_on_that_building_only():
    hung = wire((10, 3, 5), (2, 3, 4))
    free = wires(hung)
    held = wires(hung, holds_at_m=((10.0, 3.0),))
    assert margin("building_m", WITH_HOUSE, free) == pytest.approx(-1.0)
    assert margin("building_m", WITH_HOUSE, held) == pytest.approx(1.5 - 1.0)  # what is left begins 1.5 m off
    elsewhere = wires(hung, holds_at_m=((8.5, 3.0),))  # not on the house
    assert margin("building_m", WITH_HOUSE, elsewhere) == pytest.approx(-1.0)
    along = wires(wire((10, 5.9, 5), (10, 0.1, 5)), holds_at_m=((10.0, 5.9),))
    assert margin("building_m", WITH_HOUSE, along) == pytest.approx(-1.0)


spot = st.tuples(st.floats(3, 22), st.floats(-4, 12), st.floats(0.1, 12))


@settings(max_examples=100, deadline=None)
@given(spot, spot)
def test_building_gap_agrees_with_dense_sampling(a, b):
    t = np.linspace(0, 1, 4001)[:, None]
    p = np.array(a) * (1 - t) + np.array(b) * t
    flat = shapely.distance(HOUSE.footprint, shapely.points(p[:, :2]))
    sampled = np.hypot(flat, np.maximum(p[:, 2] - HOUSE.height_m, 0.0)).min()
    found = margin("building_m", WITH_HOUSE, wires(wire(a, b))) + 1.0
    step = math.dist(a, b) / 4000
    if sampled > step:
        assert sampled - step - 1e-9 <= found <= sampled + 1e-9
    else:
        assert found <= step + 1e-9


# ---- keep-outs and trees ----


def test_keep_out_between_its_heights_for_wires_masts_and_anchors():
    keep = KeepOut(name="drive", footprint=Polygon([(4, 4), (8, 4), (8, 8), (4, 8)]), from_m=1.0, to_m=4.0)
    there = site(keep_outs=(keep,))
    assert margin("keep_out_m", there, wires(wire((2, 6, 6), (10, 6, 6)))) == pytest.approx(2.0)
    assert margin("keep_out_m", there, wires(wire((2, 6, 0.5), (10, 6, 0.5)))) == pytest.approx(0.5)
    assert margin("keep_out_m", there, wires(wire((2, 6, 2), (10, 6, 2)))) <= -4.0
    assert margin("keep_out_m", there, wires(FLAT, masts=(Mast(at_m=(6, 6), height_m=5),))) <= -3.0
    full = site(keep_outs=(replace(keep, from_m=None, to_m=None),))
    up = wires(wire((10, 10, 4), (15, 10, 4)), anchors=(Anchor(at_m=(5, 6), kind="stake"),))
    assert margin("keep_out_m", full, up) == pytest.approx(-1.0)  # a point, one metre deep
    assert margin("keep_out_m", full, wires(wire((2, 6, 90), (10, 6, 90)))) <= -4.0


def test_tree_crown_is_a_cylinder_unless_the_tree_holds_a_wire():
    tree = Tree(name="pear", at_m=(10, 10), height_m=6.0, crown_radius_m=2.0, holds_wire_at_m=5.0)
    there = site(trees=(tree,))
    assert margin("tree_m", there, wires(wire((2, 7, 4), (18, 7, 4)))) == pytest.approx(1.0, abs=1e-6)
    assert margin("tree_m", there, wires(wire((2, 10, 7.5), (18, 10, 7.5)))) == pytest.approx(1.5, abs=1e-6)
    assert margin("tree_m", there, wires(wire((2, 10, 3), (18, 10, 3)))) == pytest.approx(-2.0, abs=1e-6)
    assert margin("tree_m", there, wires(wire((15, 10, 10), (15, 12, 10)))) == pytest.approx(5.0, abs=1e-6)  # 3-4-5
    held = wires(wire((2, 10, 3), (10, 10, 5)), holds_at_m=((10.0, 10.0),))
    assert margin("tree_m", there, held) == FREE_M
    dead = site(trees=(replace(tree, holds_wire_at_m=None),))
    assert margin("tree_m", dead, held) < 0


# ---- overhead lines ----


def test_a_mast_falls_its_full_length():
    there = site(overhead_lines=(line((30, -50), (30, 50)),))
    mast = wires(FLAT, masts=(Mast(at_m=(15, 10), height_m=8),), spans=(span_of(FLAT),))
    assert margin("overhead_power_m", there, mast) == pytest.approx(min(15 - 8 - 3, 15 - 10 - 3))


def span_of(w):
    return Span(holds_m=(w.points_m[0], w.points_m[-1]), lengths_m=(w.length_m,))


def test_an_end_let_go_sweeps_about_the_other_hold():
    there = site(overhead_lines=(line((30, -50), (30, 50)),))
    only = wires(FLAT, spans=(span_of(FLAT),))
    assert margin("overhead_power_m", there, only) == pytest.approx(30 - 15 - 10 - 3)  # 10 m about (15, 5)
    wider = site(overhead_lines=(line((30, -50), (30, 50), clearance_m=5),))
    assert margin("overhead_power_m", wider, only) == pytest.approx(0.0)


def test_a_support_let_go_sweeps_the_slack_span():
    """Holds on the x axis at 0 and 6, apex hold at (3, 0): two pieces of 5 m. Ellipse with foci 6 m apart and sum 10 m:
    half axes 5 and 4 about (3, 0), so it reaches x = 8 and y = 4; the discs of 5 m reach farther: x = 11, y = 5."""
    a, b, c = (0, 0, 1), (3, 0, 5), (6, 0, 1)
    v = wires(wire(a, b, c), spans=(Span(holds_m=(a, b, c), lengths_m=(5.0, 5.0)),))
    there = site(overhead_lines=(line((20, -50), (20, 50)),))
    assert margin("overhead_power_m", there, v) == pytest.approx(20 - (6 + 5) - 3)
    gap = kernels.ellipse_gap(np.array([[0.0, 0, 6, 0, 10]]), np.array([[20.0, -50, 20, 50]]), np.array([3.0]))
    assert gap == pytest.approx(20 - 8 - 3, abs=1e-9)
    gap = kernels.ellipse_gap(np.array([[0.0, 0, 6, 0, 10]]), np.array([[-50.0, 9, 50, 9]]), np.array([0.0]))
    assert gap == pytest.approx(5.0, abs=1e-9)


def test_a_long_slack_span_reaches_beyond_the_discs():
    """Uneven pieces: 1 m and 9 m with foci 4 m apart. Sideways of the middle the ellipse (half axes 5, sqrt 21) ends at
    4.583 m, where the 9 m discs reach 8.775 m; past the far end both count. Here the discs decide."""
    a, b, c = (0, 0, 3), (1, 0, 3), (4, 0, 3)
    run = wires(wire(a, b, c), spans=(Span(holds_m=(a, b, c), lengths_m=(1.0, 9.0)),))
    there = site(overhead_lines=(line((-20, -50), (-20, 50), clearance_m=0),))
    assert margin("overhead_power_m", there, run) == pytest.approx(20 - 8)  # 9 m about (1, 0)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0, 6), st.floats(0, 6.28), st.floats(0.01, 5), st.floats(-15, 15), st.floats(-15, 15), st.floats(0, 6.28)
)
def test_ellipse_gap_agrees_with_a_polygon_of_many_corners(focal, turn, slack, x, y, heading):
    f = (focal * math.cos(turn), focal * math.sin(turn))
    total = focal + slack
    major, minor = total / 2, math.sqrt(total**2 - focal**2) / 2
    t = np.linspace(0, 2 * math.pi, 2001)[:-1]
    ring = Polygon(np.column_stack([major * np.cos(t), minor * np.sin(t)]))
    ring = affinity.translate(affinity.rotate(ring, turn, origin=(0, 0), use_radians=True), f[0] / 2, f[1] / 2)
    piece = LineString([(x, y), (x + 7 * math.cos(heading), y + 7 * math.sin(heading))])
    found = kernels.ellipse_gap(
        np.array([[0, 0, *f, total]]), np.array([[*piece.coords[0], *piece.coords[1]]]), np.zeros(1)
    )
    expected = ring.distance(piece)
    if expected > 0:
        assert found == pytest.approx(expected, abs=2e-4)
    else:
        assert found < 2e-4


def test_no_wire_reaches_beyond_what_the_rule_allows_for():
    """The rule against the thing itself: many random falls of one span, none of which gets nearer than the margin
    says."""
    rng = np.random.default_rng(4)
    h = np.array([(2.0, 3.0, 2.0), (8.0, 6.0, 8.0), (13.0, 4.0, 3.0)])
    lengths = [float(math.dist(h[0], h[1])) + 0.4, float(math.dist(h[1], h[2])) + 0.2]
    run = wires(wire(*h), spans=(Span(holds_m=tuple(map(tuple, h)), lengths_m=tuple(lengths)),))
    line_x = 40.0
    claimed = margin("overhead_power_m", site(overhead_lines=(line((line_x, -90), (line_x, 90), clearance_m=0),)), run)
    nearest = math.inf
    for _ in range(4000):
        piece = rng.integers(2)
        hold = h[piece + rng.integers(2)]  # parted or let go: a loose length on either hold
        loose = rng.uniform(0, lengths[piece])
        nearest = min(nearest, line_x - (hold[0] + loose * math.cos(rng.uniform(-0.05, 0.05))))
        at = rng.uniform(0, sum(lengths))  # the middle hold let go: a point of the slack wire, pulled taut sideways
        p = h[0] + rng.normal(size=3) * 8
        if math.dist(p, h[0]) <= at and math.dist(p, h[2]) <= sum(lengths) - at:
            nearest = min(nearest, line_x - p[0])
    assert claimed <= nearest + 1e-9
    assert nearest - claimed < 0.3  # and the claim is not idly wide


def test_a_wire_without_a_span_is_judged_by_its_whole_length_and_lines_are_exempt():
    there = site(overhead_lines=(line((30, -50), (30, 50)),))
    drop = wire((14, 5, 4), (14, 5, 1), name="drop")
    assert margin("overhead_power_m", there, wires(FLAT)) == pytest.approx(30 - 15 - 10 - 3)
    both = wires(FLAT, drop, spans=(span_of(FLAT),))
    assert margin("overhead_power_m", there, both) == pytest.approx(30 - 15 - 10 - 3)
    long_drop = wire((14, 5, 4), (14, 5, 0.1), (14, 16, 0.1), name="drop")
    assert margin("overhead_power_m", there, wires(FLAT, long_drop, spans=(span_of(FLAT),))) == pytest.approx(
        30 - 14 - 14.9 - 3
    )
    assert (
        margin("overhead_power_m", there, wires(FLAT, replace(long_drop, role="line"), spans=(span_of(FLAT),))) == 2.0
    )


def test_telecom_is_judged_in_space_as_built():
    there = site(overhead_lines=(line((10, -50), (10, 50), height_m=5, clearance_m=1, kind="telecom"),))
    assert margin("overhead_telecom_m", there, wires(wire((2, 5, 8), (18, 5, 8)))) == pytest.approx(3 - 1)
    assert margin("overhead_telecom_m", there, wires(wire((2, 5, 5), (18, 5, 5)))) == pytest.approx(-1)
    assert margin("overhead_telecom_m", there, wires(wire((6, 5, 2), (6, 9, 2)))) == pytest.approx(5 - 1)  # 3-4-5
    assert margin("overhead_power_m", there, wires(FLAT)) == FREE_M


# ---- mast spots ----


def test_masts_keep_to_their_spots_or_off_buildings():
    mast = wires(FLAT, masts=(Mast(at_m=(13, 3), height_m=5),))
    assert margin("mast_spot_m", WITH_HOUSE, mast) == pytest.approx(-3.0)
    assert margin("mast_spot_m", WITH_HOUSE, wires(FLAT)) == FREE_M
    area = MastSpot(name="lawn", where=Polygon([(0, 0), (4, 0), (4, 4), (0, 4)]))
    post = MastSpot(name="socket", where=Point(10, 10))
    there = site(mast_spots=(area, post))
    for at, expected in (((1, 2), 1.01), ((7, 2), -2.99), ((10, 10), 0.01), ((10, 10.01), 0.0), ((10, 10.5), -0.49)):
        assert margin("mast_spot_m", there, wires(FLAT, masts=(Mast(at_m=at, height_m=5),))) == pytest.approx(expected)


# ---- all together ----


def full_site(dx=0.0, dy=0.0, turn=0.0):
    def move(shape):
        return affinity.translate(affinity.rotate(shape, turn, origin=(0, 0)), dx, dy)

    plain = site(
        SQUARE,
        setback_m=0.5,
        buildings=(HOUSE,),
        keep_outs=(KeepOut(name="pond", footprint=Polygon([(1, 12), (4, 12), (4, 15), (1, 15)]), to_m=3.0),),
        trees=(Tree(name="t", at_m=(15, 15), height_m=6, crown_radius_m=2),),
        overhead_lines=(line((40, -50), (45, 50)), line((-5, -50), (-8, 50), kind="telecom")),
        mast_spots=(MastSpot(name="m", where=Polygon([(2, 2), (9, 2), (9, 9), (2, 9)])),),
    )
    return replace(
        plain,
        lot=move(plain.lot),
        usable=move(plain.usable),
        buildings=tuple(replace(b, footprint=move(b.footprint)) for b in plain.buildings),
        keep_outs=tuple(replace(k, footprint=move(k.footprint)) for k in plain.keep_outs),
        trees=tuple(replace(t, at_m=move(Point(t.at_m)).coords[0]) for t in plain.trees),
        overhead_lines=tuple(replace(o, path=move(o.path)) for o in plain.overhead_lines),
        mast_spots=tuple(replace(m, where=move(m.where)) for m in plain.mast_spots),
    )


def full_structure(points, dx=0.0, dy=0.0, turn=0.0):
    def move(p):
        x, y = affinity.translate(affinity.rotate(Point(p[:2]), turn, origin=(0, 0)), dx, dy).coords[0]
        return (x, y, *p[2:])

    run = [move(p) for p in points]
    return Structure(
        wires=(wire(*run),),
        masts=(Mast(at_m=move(points[1])[:2], height_m=points[1][2]),),
        anchors=(Anchor(at_m=move((3.0, 3.0)), kind="guy"),),
        cords_m=((move(points[1]), move((3.0, 3.0, 0.0))),),
        spans=(Span(holds_m=tuple(run), lengths_m=tuple(math.dist(a, b) for a, b in zip(run, run[1:]))),),
        holds_at_m=(move((10.0, 3.0)),),
    )


place = st.tuples(st.floats(-2, 22), st.floats(-2, 22), st.floats(0.5, 11))


@settings(max_examples=60, deadline=None)
@given(st.tuples(place, place, place), st.floats(-300, 300), st.floats(-300, 300), st.floats(-180, 180))
def test_margins_do_not_depend_on_where_or_how_the_lot_lies(points, dx, dy, turn):
    here = margins(full_site(), full_structure(points))
    there = margins(full_site(dx, dy, turn), full_structure(points, dx, dy, turn))
    for name, value in here.items():
        assert there[name] == pytest.approx(value, abs=1e-5), name


def test_every_rule_is_always_there_and_finite_and_has_words():
    for structure in (full_structure([(2, 2, 2), (5, 8, 8), (8, 2, 3)]), Structure(wires=()), wires(FLAT)):
        for there in (full_site(), site()):
            found = margins(there, structure)
            assert set(found) == set(RULES)
            assert all(math.isfinite(v) and type(v) is float for v in found.values())


def test_words_for_what_is_missed():
    found = margins(site(), wires(wire((-2, 5, 1), (5, 5, 12.5))))
    text = explain(found)
    assert len(text) == 2
    assert "2.50 m" in " ".join(text) and "outside the lot" in " ".join(text)
    assert explain(margins(site(), wires(FLAT))) == []


def test_a_changed_site_is_not_mistaken_for_the_old_one():
    for width in (20, 30, 40):
        there = site([(0, 0), (width, 0), (width, 20), (0, 20)])
        assert margin("lot_m", there, wires(wire((10, 10, 3), (19, 10, 3)))) == pytest.approx(min(10, width - 19))


def test_edges_of_holes_are_kept():
    assert len(polygon_edges(site(holes=[[(8, 8), (12, 8), (12, 12)]]).lot)) == 7


def test_the_lot_margin_told_is_the_plain_distance_less_the_setback():
    """The wire ends a metre west and a metre south of the corner (9, 8) that turns in: root two from it (Pythagoras), on the corner of the mitred inset."""
    a_site, structure = site(L_SHAPE, setback_m=1.0), wires(wire((8, 7, 4), (7, 6, 4)))
    assert lot_margin_m(a_site, structure) == pytest.approx(math.sqrt(2.0) - 1.0)
    assert margins(a_site, structure)["lot_m"] == pytest.approx(0.0, abs=1e-9)


def test_the_lot_margin_told_counts_cords_masts_and_anchors():
    structure = wires(FLAT, cords_m=(((5, 5, 4), (2, 5, 1)),), masts=(Mast(at_m=(18.5, 5.0), height_m=5.0),), anchors=(Anchor(at_m=(5.0, 0.25), kind="stake", height_m=0.0),))
    assert lot_margin_m(site(L_SHAPE), structure) == pytest.approx(0.25)
    assert lot_margin_m(site(L_SHAPE), replace(structure, anchors=())) == pytest.approx(1.5)
    assert lot_margin_m(site(L_SHAPE), replace(structure, anchors=(), masts=())) == pytest.approx(2.0)


def test_the_lot_margin_told_is_below_zero_outside():
    assert lot_margin_m(site(SQUARE, setback_m=0.5), wires(wire((5, 5, 4), (SQUARE[1][0] + 2.0, 5, 4)))) == pytest.approx(-2.5)
