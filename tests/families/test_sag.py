"""Sag of hung wires: the parabola's own properties, lengths kept, and that a placed design hangs in its spans."""

import math
from itertools import pairwise

import numpy as np
import pytest
from lots import plain, wish

from optimizer.families.catalogue import FAMILIES
from optimizer.families.sag import LONGER, Hung, Sag
from optimizer.parts.loads import SAG_SHARE
from optimizer.wires.model import Port, Wire

FED = Port(name="feed", wire="main", at_m=0.0)


def straight(*points, name="main"):
    return Wire(name=name, points_m=points, radius_m=1e-3)


def hung(wires, *lines, fed=FED):
    return Hung(wires, Sag(lines), fed).wires


def test_a_level_span_sags_by_its_share_in_the_middle():
    hold, other = (0.0, 0.0, 8.0), (20.0, 0.0, 8.0)
    wire = hung([straight(hold, (10.0, 0.0, 8.0), other)], (hold, other))[0]
    middle = next(p for p in wire.points_m if p[0] == pytest.approx(10.0))
    assert middle[2] == pytest.approx(8.0 - SAG_SHARE * 20.0)
    assert wire.points_m[0] == hold


def test_points_lie_on_one_parabola():
    """Second differences of a parabola are constant: z'' = w / H, so -8 d / L^2 with dip d over L."""
    hold, other = (0.0, 0.0, 9.0), (12.0, 9.0, 4.0)
    path, own = Sag([(hold, other)]).path((hold, other))
    s = np.array([math.dist(p[:2], hold[:2]) for p in path])
    assert own == [0, 3] and np.allclose(np.diff(s), 5.0)
    assert np.allclose(np.diff([p[2] for p in path], 2) / 25.0, 8 * SAG_SHARE * 15.0 / 15.0**2)


def test_a_sagging_line_is_longer_by_the_parabola_s_arc():
    """Arc of a shallow parabola: L (1 + 8/3 (d/L)^2), integrated here in 2000 chords."""
    t = np.linspace(0.0, 1.0, 2001)
    chords = np.hypot(np.diff(30.0 * t), np.diff(4 * SAG_SHARE * 30.0 * t * (1 - t)))
    assert chords.sum() / 30.0 - 1 == pytest.approx(LONGER, rel=2e-3)


def test_what_hangs_elsewhere_stays():
    wire = hung([straight((0.0, 1.0, 8.0), (2.0, 1.0, 8.0))], ((0.0, 0.0, 8.0), (20.0, 0.0, 8.0)))[0]
    assert {p[2] for p in wire.points_m} == {8.0}


def test_steep_legs_keep_their_lengths_and_stay_alike():
    """Near its top a steep line steepens as it sags, by 4 d / L: a leg with a long cord would be a per cent longer."""
    apex, left, right = (0.0, 0.0, 9.0), (-9.0, 0.0, 0.0), (9.0, 0.0, 0.0)
    ends = [tuple(a + 6.0 / math.dist(apex, h) * (b - a) for a, b in zip(apex, h)) for h in (left, right)]
    wire = hung([straight(ends[0], apex, ends[1])], (left, apex), (apex, right), fed=Port(name="feed", wire="main", at_m=6.0))[0]
    top = wire.points_m.index(apex)
    legs = [sum(math.dist(p, q) for p, q in pairwise(part)) for part in (wire.points_m[: top + 1], wire.points_m[top:])]
    assert legs == pytest.approx([6.0, 6.0], abs=1e-9)


def test_a_port_between_two_joints_stays_at_its_vertex():
    hold, other, bend = (0.0, 0.0, 8.0), (0.0, 9.0, 8.0), (0.0, 9.0, 4.0)
    ring = Hung([straight(hold, other, bend, hold)], Sag([(hold, other)]), FED)
    after = ring.wires[0]
    port = ring.moved(Port(name="feed", wire="main", at_m=9.0))
    assert math.dist(after.point_at(port.at_m), other) < 1e-6
    half = ring.moved(Port(name="feed", wire="main", at_m=4.5))
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
    assert main.length_m == pytest.approx(design.values["wire_m"], abs=1e-9)
    assert math.dist(main.points_m[0], main.points_m[-1]) < main.length_m
