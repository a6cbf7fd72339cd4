"""What is drawn, what stands about, and how a design hangs in a garden."""

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Point

from optimizer.ensemble.draws import COLUMNS, Draws, ranges
from optimizer.ensemble.garden import as_planned, built, displacement, garden_of, hung
from optimizer.ensemble.surroundings import GAP_M, REACH_M, _gutters, _tree, kept_off
from optimizer.ensemble.unknowns import SOIL_CLASSES, draw, permittivity, water
from optimizer.ensemble.yard import Yard, nodes_hz
from optimizer.evaluate import place
from optimizer.families.catalogue import FAMILIES
from optimizer.field.solver import solve
from optimizer.parts.loads import SAG_SHARE
from optimizer.physics.elements import Coil
from optimizer.physics.soil import Soil
from optimizer.physics.tables import read_table
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site
from optimizer.wires.model import Ground, Load, Wire

SITE_FOLDER = Path(__file__).parents[2] / "sites"
SITE = read_site(SITE_FOLDER / "l_shape.geojson")
WISHES = read_wishes("40m 20m 10m", SITE)
MEMBERS = draw(SITE, 12, 6)


def standing(key):
    family = FAMILIES[key]
    for values in family.starts(SITE, WISHES):
        placed = place(SITE, WISHES, family, values)
        if placed.fits:
            return placed.design
    pytest.fail(f"no start of {key} stands")


@pytest.fixture(scope="module", params=["end_fed_half_wave_drooped", "dipole", "linked_dipole"])
def design(request):
    return standing(request.param)


def spaced(wire, step=0.05):
    """Points every few centimetres along a wire, by plain interpolation."""
    count = max(2, math.ceil(wire.length_m / step))
    return np.array([wire.point_at(wire.length_m * n / count) for n in range(count + 1)])


# ---- what is drawn ----------------------------------------------------------------------------------------------


def test_every_range_has_a_source_and_is_one():
    for row in read_table("unknowns.csv", columns=COLUMNS, key=("name",), may_be_empty=("note",), package="optimizer.ensemble"):
        assert float(row["low"]) <= float(row["high"]), row


def test_a_larger_ensemble_begins_with_the_smaller_and_a_seed_is_a_seed():
    assert draw(SITE, 4, 6) == MEMBERS[:4]
    assert draw(SITE, 4, 5) != MEMBERS[:4]


def test_numbers_keep_their_ranges_and_soils_their_classes():
    assert len({m.soil for m in draw(SITE, 40, 1)}) == SOIL_CLASSES <= 5
    r = ranges()
    for m in MEMBERS:
        wetter = math.sqrt(m.soil.conductivity_s_per_m / SITE.soil.conductivity_s_per_m)
        assert r["soil_water"].low <= wetter <= r["soil_water"].high
        assert (wetter > 1.01) <= (m.soil.relative_permittivity > SITE.soil.relative_permittivity)
        for name in ("coating_permittivity", "coating_thickness", "height", "sag"):
            assert r[name].low <= getattr(m, name) <= r[name].high
        assert all(r["coil_stray"].low <= e.stray <= r["coil_stray"].high for e in m.loads)


@pytest.mark.parametrize("eps", [5.0, 9.0, 13.0, 20.0, 30.0])
def test_water_and_permittivity_agree_with_the_paper_s_other_equation(eps):
    """G. C. Topp, J. L. Davis, A. P. Annan 1980, equation 8, water from permittivity: fitted by itself, good to 0.013 by volume."""
    other = -5.3e-2 + 2.92e-2 * eps - 5.5e-4 * eps**2 + 4.3e-6 * eps**3
    assert water(eps) == pytest.approx(other, abs=0.013)
    assert permittivity(water(eps)) == pytest.approx(eps, rel=1e-3)


def test_gabled_houses_have_eaves_on_two_opposite_sides_hipped_ones_on_all():
    house = SITE.buildings[0]
    sides, kinds = len(house.footprint.exterior.coords) - 1, set()
    for seed in range(40):
        runs = _gutters(house, Draws(seed, 0))
        kinds.add(len(runs))
        level = [[p for p in w.points_m if p[2] > 1.0] for w in runs]
        assert all(0.5 * house.height_m < p[2] < house.height_m for run in level for p in run)
        if len(runs) == 2:
            (a, b), (c, d) = (np.array(run) for run in level)
            assert abs((b - a) @ (d - c)) > 0.99 * np.linalg.norm(b - a) * np.linalg.norm(d - c)
            assert min(np.linalg.norm(p - q) for p in (a, b) for q in (c, d)) > 3.0
    assert kinds == {0, 2, sides}


def test_all_kinds_of_conductor_turn_up():
    lengths = [w.radius_m for m in draw(SITE, 30, 2) for w in m.conductors]
    trunks = [w for m in MEMBERS for w in m.conductors if w.conductivity_s_per_m < 1.0 and w.points_m[0][:2] == w.points_m[1][:2]]
    assert len(trunks) == len(MEMBERS) * len(SITE.trees)
    assert {1e-3, 1.5e-3, 2e-3} <= set(lengths)


def test_boughs_spread_from_the_upper_half_of_a_trunk_and_stay_in_the_crown():
    seen = set()
    for seed in range(60):
        for tree in SITE.trees:
            trunk, *boughs = _tree(tree, Draws(seed, 0))
            seen.add(len(boughs))
            for bough in boughs:
                (x, y, low), (far_x, far_y, tip) = bough.points_m
                assert (x, y) == tree.at_m and 0.5 * trunk.points_m[1][2] <= low <= trunk.points_m[1][2] <= tree.height_m
                assert 0.2 * tree.crown_radius_m <= math.hypot(far_x - x, far_y - y) <= 0.9 * tree.crown_radius_m
                assert low <= tip <= tree.height_m and bough.radius_m <= 0.6 * trunk.radius_m
                assert bough.conductivity_s_per_m == trunk.conductivity_s_per_m
    assert seen == {1, 2, 3, 4, 5}


def test_as_many_things_stand_on_a_slanting_lot_as_are_drawn():
    """Nought, one or two alike: one in the mean, three standard deviations of the mean of 60."""
    site = read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson")
    things = [[w for w in m.conductors if w.radius_m == 2e-3] for m in draw(site, 60, 3)]
    assert np.mean([len(t) for t in things]) == pytest.approx(1.0, abs=3 * math.sqrt(2 / 3 / 60))
    assert all(site.lot.contains(Point(w.points_m[0][:2])) for t in things for w in t)


# ---- what stands about ------------------------------------------------------------------------------------------


def test_surroundings_keep_their_distance(design):
    ours = np.concatenate([spaced(w) for w in design.structure.wires])
    seen = 0
    for member in MEMBERS:
        for wire in kept_off(member.conductors, design.structure.wires):
            theirs = spaced(wire)
            gaps = np.linalg.norm(theirs[:, None] - ours, axis=2)
            assert gaps.min() >= GAP_M - 0.01
            assert theirs[:, 2].min() >= 0.02
            assert gaps.min() <= REACH_M + 0.2 or wire.length_m > 0.5
            seen += 1
    assert seen > len(MEMBERS)


def test_a_conductor_across_a_wire_is_parted():
    wire = Wire(name="w", points_m=((0, 0, 3), (10, 0, 3)), radius_m=1e-3)
    fence = Wire(name="f", points_m=((5, -4, 3.1), (5, 4, 3.1)), radius_m=1e-3)
    parts = kept_off((fence,), (wire,))
    assert len(parts) == 2 and sum(p.length_m for p in parts) == pytest.approx(8 - 2 * math.sqrt(0.331**2 - 0.1**2), abs=0.4)
    assert kept_off((replace(fence, points_m=((5, 30, 3), (5, 40, 3))),), (wire,)) == ()


def test_surroundings_are_in_the_solution_and_reuse_changes_nothing(design):
    garden = garden_of(MEMBERS[1])
    wish, yard = WISHES.bands[1], Yard(garden, design, WISHES.bands)
    assert yard.about
    real, first = yard.solution(design, wish.key)
    other = replace(design, title="the same again")
    _, again = yard.solution(other, wish.key)
    plain = solve(
        real.structure.wires + yard.about, (real.port,), real.loads_on(wish.key), garden.ground, nodes_hz(wish)
    )
    np.testing.assert_allclose(again.z_ohm, plain.z_ohm, rtol=1e-9)
    alone = solve(real.structure.wires, (real.port,), real.loads_on(wish.key), garden.ground, nodes_hz(wish))
    assert np.abs(first.z_ohm / alone.z_ohm - 1).max() > 1e-4


# ---- how it hangs -----------------------------------------------------------------------------------------------


def test_lengths_and_joints_survive_hanging(design):
    ends = [p for w in design.structure.wires for p in (w.points_m[0], w.points_m[-1])]
    for member in MEMBERS[:6]:
        real = built(garden_of(member), design)
        new = [p for w in real.structure.wires for p in (w.points_m[0], w.points_m[-1])]
        for i, a in enumerate(ends):
            for j in range(i):
                if math.dist(a, ends[j]) < 1e-3:
                    assert math.dist(new[i], new[j]) < 1e-3
        for before, after in zip(design.structure.wires, real.structure.wires):
            loose = sum(math.dist(e, before.points_m[n]) < 1e-3 for n in (0, -1) for e in ends) < 4
            if loose:
                assert after.length_m == pytest.approx(before.length_m, abs=1e-6)
            assert min(p[2] for p in after.points_m) > 0.2


def test_soil_that_falls_away_takes_high_holds_along_posts_little_and_what_lies_not():
    """A plane through the lot's middle, by its own equation."""
    east, north = 0.01, -0.02
    moved = displacement(replace(MEMBERS[0], fall=(east, north), middle_m=(1.0, 2.0), height=1.0, shift_m=0.0))
    for x, y in ((1.0, 2.0), (11.0, 2.0), (1.0, 12.0), (-8.0, 7.0)):
        rise = east * (x - 1.0) + north * (y - 2.0)
        assert moved((x, y, 6.0)) == pytest.approx((x, y, 6.0 + rise))
        assert moved((x, y, 1.0)) == pytest.approx((x, y, 1.0 + rise / 2.0))
        assert moved((x, y, 0.1)) == pytest.approx((x, y, 0.1))


def test_falls_are_any_way_up_to_the_stated_one():
    falls = np.array([m.fall for m in draw(SITE, 96, 3)])
    steep = np.hypot(*falls.T)
    assert steep.max() <= ranges()["fall"].high and steep.max() > 0.95 * ranges()["fall"].high
    assert (np.abs(falls.mean(axis=0)) < 0.1 * ranges()["fall"].high).all()
    assert draw(SITE, 1, 3)[0].middle_m == pytest.approx(SITE.lot.centroid.coords[0])


def test_radials_that_lie_lie_in_every_garden():
    """Three centimetres up in the plan: a foot in the air is another aerial, 4 % higher."""
    site = read_site(SITE_FOLDER / "terrace.geojson")
    family = FAMILIES["top_loaded_vertical"]
    wishes = read_wishes("40m", site)
    lying = [p for v in family.starts(site, wishes) if "lying" in v["radials"] and (p := place(site, wishes, family, v)).fits]
    planned = lying[0].design
    for member in draw(site, 6, 5):
        real = built(garden_of(member), planned)
        for before, after in zip(planned.structure.wires, real.structure.wires):
            if before.name.startswith("radial"):
                assert [p[2] for p in after.points_m] == pytest.approx([p[2] for p in before.points_m], abs=0.02)


def as_hung(design, sag):
    """The design's wires on their planned holds, with another sag."""
    return hung(design.structure, np.array, sag, lambda c: c)


def test_the_plan_s_own_sag_gives_the_plan_s_wires(design):
    for planned, real in zip(design.structure.wires, as_hung(design, SAG_SHARE)):
        assert np.allclose(planned.points_m, real.points_m, atol=1e-9)


def test_spans_sag_by_the_garden_s_share_and_not_by_the_plan_s_too(design):
    """Deepest point of a span under the line of its holds: the share of its run; 2 cm for points between and a moved end."""
    for sag in (0.0, 0.01, 0.03):
        points = np.array([p for w in as_hung(design, sag) for p in w.points_m])
        for a, b in (pair for line in design.structure.lines_m for pair in pairwise(np.array(line))):
            run = math.dist(a[:2], b[:2])
            t = (points[:, :2] - a[:2]) @ (b[:2] - a[:2]) / run**2
            off = (points[:, :2] - a[:2]) @ np.array((b[1] - a[1], a[0] - b[0])) / run
            here = (np.abs(off) < 0.1) & (t > 0.01) & (t < 0.99)
            below = a[2] + t * (b[2] - a[2]) - points[:, 2]
            assert np.allclose(below[here], 4 * sag * run * t[here] * (1 - t[here]), atol=0.02)


@pytest.mark.parametrize("entry_m", [1.0, 2.0, 3.0])
def test_a_lead_down_to_the_ground_ends_above_it_where_it_hangs_lower(entry_m):
    """The earth lead behind a wall, hung a tenth lower in steps: still as long as it was cut, and no part of it in the soil."""
    feed, entry = (0.0, 0.0, 4.0), (6.0, 0.0, entry_m)
    lead = (entry, (7.0, 0.0, entry_m), (7.0, 0.0, 0.1), (14.0, 0.0, 0.1))
    wires = tuple(Wire(name=n, points_m=p, radius_m=0.0008, role="line", conductivity_s_per_m=5.8e7) for n, p in (("line", (feed, entry)), ("station", lead)))
    structure = replace(standing("dipole").structure, wires=wires, lines_m=())
    for share in (1.0, 0.9, 0.8, 0.7):
        low = hung(structure, lambda p, share=share: np.array([p[0], p[1], max(0.3, share * p[2])]), 0.0, lambda c: c)[1]
        assert low.length_m == pytest.approx(wires[1].length_m, abs=1e-6)
        assert min(p[2] for p in low.points_m) >= 0.3 - 1e-9


def test_a_choke_stays_on_its_line_where_the_line_comes_out_shorter():
    """20 cm before the end of a line whose last piece, 1.8 m upright, loses 30 cm: the same share of that piece, never past the end."""
    points = ((0.0, 0.0, 3.0), (0.0, 0.0, 0.1), (8.0, 0.0, 0.1), (8.0, 0.0, 1.9))
    line = Wire(name="line", points_m=points, radius_m=0.0025, role="line", conductivity_s_per_m=5.8e7)
    plan = standing("dipole")
    design = replace(plan, structure=replace(plan.structure, wires=(*plan.structure.wires, line)), loads=(Load(wire="line", at_m=line.length_m - 0.2, element=Coil(inductance_h=1e-5, q=None)),))
    shorter = replace(line, points_m=tuple((x, y, max(0.4, z)) for x, y, z in points))
    garden = replace(as_planned(Ground(kind="none")), hung=lambda structure: (*plan.structure.wires, shorter))
    (choke,) = built(garden, design).loads
    assert shorter.length_m - choke.at_m == pytest.approx(0.2 * 1.5 / 1.8)
    assert built(garden, design).port == design.port


def test_the_open_field_of_the_plan_changes_nothing(design):
    garden = as_planned(Ground(kind="soil", soil=Soil(relative_permittivity=13.0, conductivity_s_per_m=0.005)))
    assert built(garden, design) == design


def test_a_point_more_along_a_wire_leaves_ports_and_loads_where_they_are():
    """A wire that something touches has a vertex there; what sits on it stays at its length."""
    from optimizer.ensemble.garden import _seated
    from optimizer.wires.model import Port, Wire

    plain = Wire(name="main", points_m=((0.0, 0.0, 5.0), (10.0, 0.0, 5.0)), radius_m=0.001)
    touched = Wire(name="main", points_m=((0.0, 0.0, 5.0), (4.0, 0.0, 5.0), (10.0, 0.0, 5.0)), radius_m=0.001)
    longer = Wire(name="main", points_m=((0.0, 0.0, 5.0), (4.0, 0.0, 5.0), (11.0, 0.0, 5.0)), radius_m=0.001)
    port = Port(name="feed", wire="main", at_m=6.0)
    assert _seated(port, plain, touched) == port
    assert _seated(port, plain, longer).at_m == pytest.approx(6.6)
