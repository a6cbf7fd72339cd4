"""Sag of hung wires: the parabola's own properties, and that a placed design hangs in its spans."""

import math
from itertools import pairwise

import numpy as np
import pytest
from lots import plain, wish

from optimizer.families.catalogue import FAMILIES
from optimizer.families.sag import moved_along, sagged
from optimizer.parts.loads import SAG_SHARE
from optimizer.wires.model import Port, Wire


def straight(*points, name="main"):
    return Wire(name=name, points_m=points, radius_m=1e-3)


def test_a_level_span_sags_by_its_share_in_the_middle():
    hold, other = (0.0, 0.0, 8.0), (20.0, 0.0, 8.0)
    wire = sagged([straight(hold, (10.0, 0.0, 8.0), other)], [(hold, other)])[0]
    middle = next(p for p in wire.points_m if p[0] == pytest.approx(10.0))
    assert middle[2] == pytest.approx(8.0 - SAG_SHARE * 20.0)
    assert wire.points_m[0] == hold and wire.points_m[-1] == other


def test_points_lie_on_one_parabola():
    """Second differences of a parabola are constant: z'' = w / H, so -8 d / L^2 with dip d over L."""
    hold, other = (0.0, 0.0, 9.0), (12.0, 9.0, 4.0)
    wire = sagged([straight(hold, other)], [(hold, other)])[0]
    s = np.array([math.dist(p[:2], hold[:2]) for p in wire.points_m])
    z = np.array([p[2] for p in wire.points_m])
    assert len(s) == 4 and np.allclose(np.diff(s), 5.0)
    assert np.allclose(np.diff(z, 2) / 25.0, 8 * SAG_SHARE * 15.0 / 15.0**2)


def test_what_hangs_elsewhere_stays():
    wire = sagged([straight((0.0, 1.0, 8.0), (2.0, 1.0, 8.0))], [((0.0, 0.0, 8.0), (20.0, 0.0, 8.0))])[0]
    assert {p[2] for p in wire.points_m} == {8.0}


def test_a_port_stays_at_its_vertex_and_between_it_keeps_its_share():
    hold, other, bend = (0.0, 0.0, 8.0), (0.0, 9.0, 8.0), (0.0, 9.0, 4.0)
    before = straight(hold, other, bend)
    after = sagged([before], [(hold, other)])[0]
    port = moved_along(Port(name="feed", wire="main", at_m=9.0), before, after)
    assert math.dist(after.point_at(port.at_m), other) < 1e-6
    half = moved_along(Port(name="feed", wire="main", at_m=4.5), before, after)
    assert after.point_at(half.at_m)[1] == pytest.approx(4.5, abs=0.01)


def test_a_placed_wire_is_lower_than_the_straight_line_between_its_holds():
    site, wishes = plain(30.0, 20.0), wish("40m")
    family = FAMILIES["end_fed_half_wave_sloped"]
    design = family.build(next(iter(family.starts(site, wishes))), site, wishes)
    main = design.structure.wires[0]
    a, b = design.structure.spans[0].holds_m
    for p in main.points_m[1:]:
        share = math.dist(p[:2], a[:2]) / math.dist(a[:2], b[:2])
        line = a[2] + share * (b[2] - a[2])
        assert line - p[2] == pytest.approx(SAG_SHARE * 4 * share * (1 - share) * math.dist(a[:2], b[:2]), abs=2e-3)
    longer = main.length_m / sum(math.dist(p, q) for p, q in pairwise((main.points_m[0], main.points_m[-1])))
    assert 1.0 < longer < 1.003
