"""Spans and poles beyond the published rows: limits worked by hand, and directions that must hold."""

import math
from dataclasses import replace

import pytest

from optimizer.parts.catalogue import MAST_HEIGHTS_M, keys, mast_for
from optimizer.parts.conductors import wire_type
from optimizer.parts.loads import load_report, span_load, wind_stood_m_per_s
from optimizer.parts.masts import pole
from optimizer.parts.mechanics import (
    DRAG,
    Pole,
    Tube,
    buckling_n,
    catenary_length_m,
    resultant_load_n_per_m,
    tension_after_n,
    wind_pressure_pa,
    worst_guy_share,
)  # fmt: skip
from optimizer.site.model import Anchor, Mast, Span, Structure

WIRE = wire_type("wire_ccs_2mm")


def test_change_of_state_keeps_the_unstressed_length():
    """Catenary length over (1 + H/EA)(1 + alpha dT) is the same before and after."""
    after = tension_after_n(20.0, WIRE, 50.0, warming_k=-30.0, load_n_per_m=0.9)
    before_m = catenary_length_m(20.0, WIRE.weight_n_per_m, 50.0) / (1 + 50.0 / WIRE.stiffness_n)
    after_m = catenary_length_m(20.0, 0.9, after) / (1 + after / WIRE.stiffness_n)
    assert after_m == pytest.approx(before_m * (1 - 30.0 * WIRE.expansion_per_k), rel=1e-9)


def test_taut_wire_tightens_by_thermal_strain():
    """A nearly straight wire between rigid ends: dH = EA alpha dT (Hooke); slack of the catenary takes little of it here."""
    light = replace(WIRE, weight_n_per_m=1e-4)
    assert tension_after_n(20.0, light, 200.0, warming_k=-20.0) == pytest.approx(200.0 + WIRE.stiffness_n * 13e-6 * 20.0, rel=1e-3)


def test_no_change_is_no_change_and_yield_saves_the_wire():
    assert tension_after_n(15.0, WIRE, 40.0) == pytest.approx(40.0, rel=1e-6)
    rigid, soft = (tension_after_n(15.0, WIRE, 40.0, load_n_per_m=1.5, give_m_per_n=g) for g in (0.0, 0.01))
    assert soft < rigid


def test_ice_and_wind_add_as_they_do():
    still, wind, ice = (span_load(12.0, WIRE, wind_m_per_s=v, radial_ice_m=i) for v, i in ((0.0, 0.0), (30.0, 0.0), (0.0, 0.006)))
    assert still.wind_n == pytest.approx(math.hypot(still.hung_n, WIRE.weight_n_per_m * 6.0), rel=1e-3)
    assert wind.wind_n > still.wind_n and ice.ice_n > still.ice_n
    assert resultant_load_n_per_m(0.3, 0.002, 0.0) == 0.3


def test_coil_weight_sags_and_pulls():
    plain, heavy = (span_load(12.0, WIRE, wind_m_per_s=0.0, hung_n=30.0, point_load_n=p) for p in (0.0, 2.0))
    assert heavy.sag_hot_m > plain.sag_hot_m
    assert heavy.cold_n > plain.cold_n


def test_pole_without_taper_is_a_tube():
    straight = Pole(height_m=4.0, base_m=0.05, tip_m=0.05, wall_m=0.003, modulus_pa=69e9, strength_pa=100e6, mass_kg=5.0)
    tube = Tube(outer_m=0.05, wall_m=0.003)
    assert straight.tip_deflection_m(100.0) == pytest.approx(tube.tip_deflection_m(4.0, 100.0), rel=1e-3)
    assert straight.worst_stress_pa(100.0) == pytest.approx(tube.root_stress_pa(4.0, 100.0), rel=1e-9)
    windy = wind_pressure_pa(20.0) * DRAG * 0.05
    assert straight.worst_stress_pa(0.0, wind_m_per_s=20.0) == pytest.approx(tube.root_stress_pa(4.0, load_n_per_m=windy), rel=1e-3)
    stiffness = 69e9 * tube.second_moment_m4
    assert straight.tip_deflection_m(0.0, wind_m_per_s=20.0) == pytest.approx(windy * 4.0**4 / (8 * stiffness), rel=1e-3)
    assert straight.wind_moment_nm(20.0) == pytest.approx(windy * 4.0**2 / 2, rel=1e-9)
    assert straight.pull_limit_n() == pytest.approx(100e6 * tube.section_modulus_m3 / 4.0, rel=1e-4)


def test_buckling_is_eulers():
    """Handbook: pi^2 E I / l^2."""
    assert buckling_n(69e9, 1e-7, 2.0) == pytest.approx(math.pi**2 * 69e9 * 1e-7 / 4.0)


def test_three_guys_worst_direction():
    """Statics: a pull 30 degrees off one guy's line, by brute force over all directions."""
    worst = 0.0
    for deg in range(360):
        direction = math.radians(deg)
        for i in range(3):  # the pair of neighbours that can hold it
            a, b = math.radians(120 * i), math.radians(120 * (i + 1))
            ta = math.sin(b - direction) / math.sin(b - a)
            tb = math.sin(direction - a) / math.sin(b - a)
            if ta >= -1e-9 and tb >= -1e-9:
                worst = max(worst, ta, tb)
    assert worst_guy_share(3) == pytest.approx(worst, rel=1e-6)
    assert worst_guy_share(4) == 1.0


def vee(height_m=9.0, east_m=9.0):
    guys = tuple(Anchor(at_m=at, kind="guy") for at in ((3.0, 0.0), (-1.5, 2.6), (-1.5, -2.6)))
    run = Span(holds_m=((-10.0, 0.0, 3.0), (0.0, 0.0, height_m), (east_m, 0.0, 3.0)), lengths_m=(11.8, 11.0))
    return Structure(wires=(), masts=(Mast(at_m=(0.0, 0.0), height_m=height_m),), anchors=guys, spans=(run,))


def test_report_names_its_limits_and_wind_wears_them_down():
    calm, storm = (load_report(vee(), "wire_pe_ccs_0_5mm2", mast_for, wind_m_per_s=v).margins for v in (5.0, 35.0))
    assert set(calm) == {"wire_tension", "pole_bending", "guy_stake", "mast_compression"}
    assert all(storm[name] < calm[name] for name in calm)
    assert min(calm.values()) > 0 > min(storm.values())


def test_wind_stood_is_where_the_first_margin_ends():
    stood = wind_stood_m_per_s(vee(), "wire_pe_ccs_0_5mm2", mast_for)
    low, high = (min(load_report(vee(), "wire_pe_ccs_0_5mm2", mast_for, wind_m_per_s=v).margins.values()) for v in (stood, stood + 1.0))
    assert low >= 0 > high


def test_balanced_legs_pull_the_mast_less_than_one_leg():
    both = load_report(vee(), "wire_ccs_2mm", mast_for, wind_m_per_s=0.0).masts[0]
    run = Span(holds_m=((-10.0, 0.0, 3.0), (0.0, 0.0, 9.0)), lengths_m=(11.8,))
    single = load_report(replace(vee(), spans=(run,)), "wire_ccs_2mm", mast_for, wind_m_per_s=0.0).masts[0]
    assert both.pull_n < 0.3 * single.pull_n


@pytest.mark.parametrize("height", MAST_HEIGHTS_M)
def test_every_pole_has_its_facts(height):
    found = pole(f"mast_{height}m")
    assert found.height_m == height and found.base_m > found.tip_m > 0
    assert f"mast_{height}m" in keys("mast_")
