"""Exposure against closed forms: the short dipole's near field, the far-field distance of OET 65, and areas that geometry gives."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Point, Polygon, box

from optimizer.criteria.exposure import (
    distance_from_wires_m,
    nearest_points,
    share_at,
    watch_over,
    worst_where_people_stay,
)
from optimizer.criteria.zone import contour, zone_of
from optimizer.field.solver import solve
from optimizer.physics.constants import C0_M_PER_S, ETA0_OHM, TWO_PI
from optimizer.physics.exposure import RULES, distance_by_field_m, rule_for
from optimizer.site.model import Building, People, Site
from optimizer.site.people import BEYOND_M, WALL_M, stays_of
from optimizer.site.read import read_site
from optimizer.wires.model import Ground, Port, Wire

FREE = Ground(kind="none")
SOIL = Ground(kind="soil", soil=read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson").soil)


def dipole(length_m, height_m=0.0, radius_m=0.001):
    wire = Wire(name="main", points_m=((-length_m / 2, 0.0, height_m), (length_m / 2, 0.0, height_m)), radius_m=radius_m)
    return (wire,), (Port(name="feed", wire="main", at_m=length_m / 2),)


def solved(length_m, freq_hz, ground=FREE, **more):
    wires, ports = dipole(length_m, **more)
    return solve(wires, ports, (), ground, [freq_hz])


def short_dipole_field(power_w, freq_hz, distance_m, from_axis_rad):
    """E and H, rms magnitudes, of a Hertzian dipole that radiates that power (any textbook, e.g. Balanis, Antenna Theory, 4.2)."""
    k = TWO_PI * freq_hz / C0_M_PER_S
    moment = math.sqrt(power_w * 12.0 * math.pi / (ETA0_OHM * k * k) / 2.0)  # I l, rms
    kr = k * distance_m
    h = moment * k * math.sin(from_axis_rad) / (4 * math.pi * distance_m) * abs(1 + 1 / (1j * kr))
    e_r = ETA0_OHM * moment * math.cos(from_axis_rad) / (2 * math.pi * distance_m**2) * abs(1 + 1 / (1j * kr))
    e_t = ETA0_OHM * moment * k * math.sin(from_axis_rad) / (4 * math.pi * distance_m) * abs(1 + 1 / (1j * kr) - 1 / kr**2)
    return math.hypot(e_r, e_t), h


@pytest.mark.parametrize("rule", ["icnirp_2020", "icnirp_1998", "fcc"])
@pytest.mark.parametrize("distance_m, angle_deg", [(4.0, 90.0), (4.0, 30.0), (7.0, 60.0), (40.0, 90.0)])
def test_share_of_a_short_dipole_is_the_closed_form(rule, distance_m, angle_deg):
    freq, rule = 7.1e6, RULES[rule]
    angle = math.radians(angle_deg)
    at = [[distance_m * math.cos(angle), distance_m * math.sin(angle), 0.0]]
    share, by_e = share_at(solved(0.4, freq), 0, at, rule, 1.0)
    e, h = short_dipole_field(1.0, freq, distance_m, angle)
    e_level, h_level = (float(v) for v in rule.levels(freq))
    assert share[0] == pytest.approx(max(e / e_level, h / h_level), rel=0.03)
    assert bool(by_e[0]) == (e / e_level >= h / h_level)


def test_far_away_it_is_the_distance_of_oet_65():
    """sqrt(30 P G)/d, half-wave dipole of 2.15 dBi in the clear, nine wavelengths off (OET Bulletin 65, equation 6 without reflection)."""
    freq, rule = 28.5e6, RULES["fcc"]
    solution = solved(0.475 * C0_M_PER_S / freq, freq)
    away = 9.0 * C0_M_PER_S / freq
    share, _ = share_at(solution, 0, [[0.0, away, 0.0]], rule, 1.0)
    met_at_w = 1.0 / share[0] ** 2
    assert distance_by_field_m(met_at_w, 2.15, float(rule.levels(freq)[0]), field_factor=1.0) == pytest.approx(away, rel=0.02)


def test_share_follows_the_root_of_power_and_delivery():
    solution = solved(20.0, 7.1e6, SOIL, height_m=5.0)
    whole, half = (share_at(solution, 0, [[10.0, 0.5, 1.7]], RULES["fcc"], d)[0][0] for d in (1.0, 0.5))
    assert half == pytest.approx(whole * math.sqrt(0.5), rel=1e-9)


# ---- where people stay ----


def lot(**more):
    return Site(
        name="lot", stem="lot", lot=box(0, 0, 20, 12), usable=box(0, 0, 20, 12), height_limit_m=9.0, itu_region=1, currency="EUR", **more
    )


def test_places_are_where_they_should_be():
    house = Building(name="house", footprint=box(4, 0, 12, 5), height_m=6.0)
    shed = Building(name="shed", footprint=box(15, 0, 17, 2), height_m=2.2, occupied=False)
    seat = People(name="seat", footprint=box(1, 8, 3, 10), height_m=1.3)
    site = lot(buildings=(house, shed), people=(seat,))
    stays = stays_of(site)
    assert set(stays.names) == {"house", "seat", "beyond the lot"}
    for i, point in enumerate(stays.points_m):
        at, name = Point(point[:2]), stays.name_of(i)
        if name == "house":
            assert house.footprint.exterior.distance(at) == pytest.approx(WALL_M) and house.footprint.contains(at)
            assert point[2] < house.height_m
        elif name == "seat":
            assert seat.footprint.buffer(1e-9).covers(at) and point[2] <= seat.height_m
        else:
            assert site.lot.distance(at) == pytest.approx(BEYOND_M, rel=0.01) and not house.footprint.contains(at)
    heights = {name: {p[2] for i, p in enumerate(stays.points_m) if stays.name_of(i) == name} for name in stays.names}
    assert heights["seat"] == {1.0, 1.3} and max(heights["house"]) == pytest.approx(2.7 + 1.7)


def test_a_place_moves_the_key_of_stored_work():
    from optimizer.physics.wish_reader import read_wishes
    from optimizer.search.keys import problem_key

    plain, wishes = lot(), read_wishes("20m", lot())
    others = (
        replace(plain, people=(People(name="seat", footprint=box(1, 8, 3, 10)),)), replace(plain, country="DE"),
        lot(buildings=(Building(name="h", footprint=box(4, 0, 12, 5), height_m=6.0),)),
        lot(buildings=(Building(name="h", footprint=box(4, 0, 12, 5), height_m=6.0, occupied=False),)),
    )  # fmt: skip
    assert len({problem_key(site, wishes) for site in (plain, *others)}) == 5


def test_nearest_points_are_the_nearest_by_brute_force():
    rng = np.random.default_rng(4)
    points = rng.uniform(-10, 10, (300, 3)) * (1, 1, 0.1) + (0, 0, 1)
    wires, _ = dipole(12.0, height_m=4.0)
    line = [np.array([x, 0.0, 4.0]) for x in np.linspace(-6, 6, 4001)]
    slow = np.array([min(np.linalg.norm(p - q) for q in line) for p in points[:40]])
    assert distance_from_wires_m(points[:40], wires) == pytest.approx(slow, rel=1e-3)
    chosen = nearest_points(points, wires, 8)
    assert len(set(chosen.tolist())) == 8
    assert int(np.argmin(distance_from_wires_m(points, wires))) in chosen
    for end in wires[0].points_m:
        assert int(np.argmin(np.linalg.norm(points - end, axis=1))) in chosen


@pytest.mark.parametrize("site_file", ["terrace.geojson", "l_shape.geojson", "workshop_yard.toml"])
@pytest.mark.parametrize("mhz", [3.6, 7.1, 28.5])
def test_few_points_see_what_all_points_see(site_file, mhz):
    site = read_site(Path(__file__).parents[2] / "sites" / site_file)
    middle = site.lot.centroid
    points = ((middle.x - 4, middle.y - 3, 3.0), (middle.x, middle.y, 7.5), (middle.x + 5, middle.y + 2, 3.2))
    wires = (Wire(name="main", points_m=points, radius_m=0.001),)
    solution = solve(wires, (Port(name="feed", wire="main", at_m=0.4 * wires[0].length_m),), (), Ground(kind="soil", soil=site.soil), [mhz * 1e6])
    rule, stays = rule_for(site.country), stays_of(site)
    few, every = (worst_where_people_stay(solution, 0, watch_over(stays, wires, rule, count), 1.0) for count in (6, 10_000))
    assert 0.85 * every.share <= few.share <= every.share * (1 + 1e-9)
    assert every.place in stays.names and every.average_w == pytest.approx(1 / every.share**2)


def test_more_people_nearer_are_exposed_more():
    wires, ports = dipole(20.0, height_m=3.0)
    solution = solve(wires, ports, (), SOIL, [7.1e6])
    near, far = (
        worst_where_people_stay(solution, 0, watch_over(stays_of(lot(people=(People(name="seat", footprint=box(9, y, 11, y + 1)),))), wires, rule_for(None), 60), 1.0)
        for y in (0.0, 6.0)
    )
    assert near.share > far.share


# ---- the zone ----


def test_contour_of_a_cone_is_a_circle():
    x = y = np.arange(-6.0, 6.01, 0.25)
    xx, yy = np.meshgrid(x, y)
    shape = contour(x, y, 4.0 - np.hypot(xx, yy), 1.0)
    assert shape.area == pytest.approx(9.0 * math.pi, rel=0.01)
    assert contour(x, y, np.zeros_like(xx), 1.0).is_empty
    assert contour(x, y, np.ones_like(xx), 1.0).area == pytest.approx(144.0)


def test_zone_holds_what_exceeds_and_grows_with_power():
    wires, ports = dipole(20.0, height_m=2.6)
    solution = solve(wires, ports, (), SOIL, [7.05e6])
    site, rule = lot(), RULES["icnirp_1998"]
    zones = {p: zone_of(site, [(solution, 0, 1.0)], rule, p) for p in (1.0, 20.0, 100.0)}
    assert zones[1.0].outline_m == () and zones[1.0].keep_m == 0.0
    assert 0.0 < zones[20.0].keep_m < zones[100.0].keep_m
    zone = max((Polygon(ring) for ring in zones[100.0].outline_m), key=lambda p: p.area)
    x, y = np.meshgrid(np.arange(-14, 14, 0.83), np.arange(-5, 5, 0.83))
    points = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, 1.7)])
    share = share_at(solution, 0, points, rule, 1.0)[0] * 10.0
    inside = np.array([any(Polygon(r).contains(Point(p[:2])) for r in zones[100.0].outline_m) for p in points])
    assert inside[share > 1.3].all() and not inside[share < 0.75].any()
    assert zone.area > 1.0


def test_zone_leaves_buildings_out():
    wires, ports = dipole(20.0, height_m=2.6)
    solution = solve(wires, ports, (), SOIL, [7.05e6])
    house = box(-12.0, -3.0, -8.0, 3.0)
    zone = zone_of(lot(buildings=(Building(name="h", footprint=house, height_m=3.0),)), [(solution, 0, 1.0)], RULES["icnirp_1998"], 100.0)
    assert all(Polygon(ring).intersection(house).area < 0.05 for ring in zone.outline_m)
