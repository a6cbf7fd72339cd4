"""Plan geometry: against shapely, which the fast paths do not use."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lots import garden, l_shaped, mirrored, plain, site_of
from shapely.geometry import LineString, Point, Polygon, box

from optimizer.families.hanging import angle_deg, nearest_open
from optimizer.families.outline import BEARINGS_DEG, along, bearing_deg, direction
from optimizer.families.placement import plot_of

HOLED = Polygon(
    [(0, 0), (30, 2), (27, 20), (12, 14), (3, 22)], [[(8, 5), (12, 5), (12, 9), (8, 9)], [(18, 8), (21, 8), (20, 11)]]
)


@settings(deadline=None)  # the first call may compile
@given(x=st.floats(-2, 32), y=st.floats(-2, 24))
def test_inside_as_shapely_sees_it(x, y):
    plot = plot_of(site_of(HOLED))
    if HOLED.boundary.distance(Point(x, y)) > 1e-6:
        assert plot.lot.holds((x, y)) == HOLED.contains(Point(x, y))
        assert plot.lot.hold_mask(np.array([[x, y]]))[0] == HOLED.contains(Point(x, y))


@settings(deadline=None)  # the first call may compile
@given(t=st.floats(0.02, 0.98), bearing=st.floats(0, 360))
def test_room_is_the_first_crossing(t, bearing):
    plot = plot_of(site_of(HOLED))
    start = plot.mast_area.at(t, 1 - t)
    ray = LineString([start, along(start, bearing, 100.0)])
    inside = ray.intersection(HOLED)
    first = inside if inside.geom_type == "LineString" else min(inside.geoms, key=lambda g: g.distance(Point(start)))
    assert plot.room_m(start, bearing) == pytest.approx(first.length, abs=1e-6)


def test_rooms_are_room_at_every_bin():
    plot = plot_of(l_shaped())
    rooms = plot.lot.rooms((5.0, 5.0))
    assert rooms == pytest.approx([plot.room_m((5.0, 5.0), b) for b in BEARINGS_DEG])


@settings(deadline=None)  # the first call may compile
@given(u=st.floats(0, 1), v=st.floats(0, 1))
def test_every_share_lands_on_mast_ground(u, v):
    for site in (garden(), l_shaped(), site_of(HOLED)):
        plot = plot_of(site)
        at = Point(plot.mast_area.at(u, v))
        assert site.usable.buffer(1e-6).contains(at)
        assert not any(b.footprint.contains(at) for b in site.buildings)
        areas = [m.where for m in site.mast_spots if m.where.geom_type == "Polygon"]
        assert not areas or any(a.buffer(1e-6).contains(at) for a in areas)


def test_share_keeps_area():
    plot = plot_of(site_of(box(0, 0, 10, 4)))
    us = [plot.mast_area.at(u, 0.5)[0] for u in (0.25, 0.5, 0.75)]
    assert us == pytest.approx([3.0, 5.0, 7.0], abs=0.05)  # 1 m kept free at both ends


def test_mirrored_lot_mirrors_the_map():
    site = l_shaped()
    here, there = plot_of(site).mast_area.at(0.3, 0.6), plot_of(mirrored(site)).mast_area.at(0.7, 0.6)
    assert there == pytest.approx((-here[0], here[1]), abs=1e-6)


def test_bearings_are_clockwise_from_north():
    assert direction(90.0) == pytest.approx((1.0, 0.0), abs=1e-12)
    assert bearing_deg((0, 0), (0, -2)) == pytest.approx(180.0)
    assert bearing_deg((0, 0), (-1, 1)) == pytest.approx(315.0)


def test_nearest_open_bearing():
    none, only = np.zeros(72, bool), np.zeros(72, bool)
    only[[10, 70]] = True  # 52.5 and 352.5 degrees
    assert nearest_open(3.0, none) is None
    assert nearest_open(52.0, only) == 52.0
    assert nearest_open(3.0, only) == pytest.approx(352.5)
    assert nearest_open(40.0, only) == pytest.approx(52.5)


def test_angle_in_space():
    assert angle_deg((1, 0, -1), (0, 0, 0), (-1, 0, -1)) == pytest.approx(90.0)
    assert angle_deg((0, 2, 0), (0, 0, 0), (0, 0, 5)) == pytest.approx(90.0)


def test_clash_wants_the_roof_cleared_and_lets_the_hold_off():
    plot = plot_of(garden())
    over = ((8.0, 5.2, 6.6), (8.0, -0.5, 6.6))
    assert plot.obstacles.clash(over) is None
    rule, name, short = plot.obstacles.clash(((8.0, 5.2, 6.0), (8.0, 0.0, 6.0)))
    assert (rule, name) == ("building clearance", "house")
    assert short == pytest.approx(0.5)
    away = ((8.0, 4.0, 2.8), (8.0, 9.0, 2.8))
    assert plot.obstacles.clash(away) is not None
    assert plot.obstacles.clash(away, [(8.0, 4.0)]) is None


def test_places_are_named_apart_and_inside():
    from dataclasses import replace

    site = garden()
    twin = replace(site.supports[0], at_m=(1.0, 6.0))
    outside = replace(site.supports[0], at_m=(-1.0, 6.0))
    names = [p.name for p in plot_of(replace(site, supports=(*site.supports, twin, outside))).places]
    assert names == ["gable", "fence post", "gable 2", "pear"]


def test_plot_is_prepared_once_per_site():
    site = plain()
    assert plot_of(site) is plot_of(site)
    assert plot_of(plain()) is not plot_of(site)
    assert math.isclose(plot_of(site).reach_m, math.hypot(20, 12))
