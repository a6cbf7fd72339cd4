"""Near fields E and H against Hertzian dipoles and plane waves (plane_waves.py), Maxwell's equations and the far-field law."""

import numpy as np
import pytest
from plane_waves import dense_moments, dipoles, perfect_image, reflected, wave_number
from wire_sets import AVERAGE, DRY, FREE, PERFECT, SEA, Set, end_fed, level_dipole, port, radials, two_dipoles, wire

from optimizer.field import near
from optimizer.physics.constants import C0_M_PER_S, EPS0_F_PER_M, MU0_H_PER_M, TWO_PI

ASKED = 0.03  # the accuracy asked of near fields


def off(found, wanted):
    """Error of a vector over its size."""
    return np.linalg.norm(found - wanted) / np.linalg.norm(wanted)


def short(ground, height=2.0, tilt=0.0, mhz=14.15):
    half = 0.05 * np.array([np.cos(tilt), 0.0, np.sin(tilt)])
    middle = np.array([0.0, 0.0, height])
    return Set(wires=(wire("s", middle - half, middle + half, radius=1e-5),), ports=(port("s", 0.05),), ground=ground, mhz=(mhz,))


def sources(solution, i=0, pieces=60):
    mesh, amps = solution.slot_currents(i)
    k = wave_number(solution.freq_hz[i])
    return *dense_moments(mesh, amps, k, pieces), k


POINTS = [(1.2, 0.7, 2.4), (0.3, -1.0, 1.1), (4.0, 3.0, 0.5), (-9.0, 14.0, 6.0)]


@pytest.mark.parametrize("tilt", [0.0, 0.6, np.pi / 2])
@pytest.mark.parametrize("ground", [FREE, PERFECT], ids=lambda g: g.kind)
def test_short_dipole_by_closed_form(ground, tilt):
    solution = short(ground, tilt=tilt).solve()
    at, moments, k = sources(solution)
    e, h = near.fields(solution, 0, POINTS)
    for n, point in enumerate(POINTS):
        we, wh = dipoles(at, moments, point, k)
        if ground is PERFECT:
            we, wh = (a + b for a, b in zip((we, wh), perfect_image(at, moments, point, k)))
        assert off(e[n], we) < 0.005 and off(h[n], wh) < 0.005


@pytest.mark.parametrize("gap_m", [0.02, 0.05, 0.1, 0.3])
def test_close_to_a_wire_by_closed_form(gap_m):
    """The same currents as short dipoles, each a small part of the gap long."""
    case = Set(wires=(wire("w", (0, 0, 0), (4.0, 0, 0), radius=1e-4),), ports=(port("w", 2.0),), ground=FREE, mhz=(28.0,))
    solution = case.solve()
    at, moments, k = sources(solution, pieces=400)
    points = [(1.1, gap_m, 0.0), (2.7, 0.6 * gap_m, 0.8 * gap_m)]
    e, h = near.fields(solution, 0, points)
    for n, point in enumerate(points):
        we, wh = dipoles(at, moments, point, k)
        assert off(h[n], wh) < 0.005 and off(e[n], we) < 0.01


def test_point_dipole_closed_form_agrees_with_one_moment():
    """The whole wire as one moment at its middle, some twenty lengths away."""
    solution = short(FREE).solve()
    _, moments, k = sources(solution)
    we, wh = dipoles(np.array([[0.0, 0.0, 2.0]]), moments.sum(axis=0)[None], (1.5, 1.0, 3.0), k)
    e, h = near.fields(solution, 0, [(1.5, 1.0, 3.0)])
    assert off(e[0], we) < 0.005 and off(h[0], wh) < 0.005


@pytest.mark.parametrize("tilt", [0.0, 0.6, np.pi / 2])
def test_plane_waves_over_endless_conductivity_are_the_image(tilt):
    """The second route itself, checked against the image dipole."""
    at, moments, k = sources(short(FREE, tilt=tilt).solve(), pieces=4)
    for point in POINTS:
        for found, wanted in zip(reflected(at, moments, np.array(point), k, -1e12j), perfect_image(at, moments, point, k)):
            assert off(found, wanted) < 1e-4


@pytest.mark.parametrize("ground", [AVERAGE, DRY, SEA], ids=["average", "dry", "sea"])
@pytest.mark.parametrize("tilt", [0.0, 0.6, np.pi / 2])
def test_short_dipole_over_soil_by_plane_waves(ground, tilt):
    solution = short(ground, tilt=tilt).solve()
    at, moments, k = sources(solution, pieces=4)
    n2 = complex(ground.soil.complex_permittivity(14.15e6))
    e, h = near.fields(solution, 0, POINTS)
    for n, point in enumerate(POINTS):
        back = reflected(at, moments, np.array(point), k, n2)
        we, wh = (a + b for a, b in zip(dipoles(at, moments, point, k), back))
        assert off(e[n], we) < ASKED and off(h[n], wh) < ASKED


@pytest.mark.parametrize("case, points", [
    (level_dipole(height=3.0), [(0.5, 2.0, 3.0), (0.0, 6.3, 2.3), (1.5, -10.2, 1.8), (3.0, 12.0, 1.0)]),
    (end_fed(), [(0.0, -0.6, 2.6), (3.0, 0.0, 2.0), (-1.5, 0.9, 1.0), (14.0, 5.0, 1.8)]),
    (radials(height=0.1), [(0.6, 0.0, 1.0), (4.0, 4.0, 1.8), (0.3, 0.5, 10.0)]),
], ids=["level", "end-fed", "radials"])
def test_wires_over_soil_by_plane_waves(case, points):
    """Half a metre and more from wires on which current and charge are large. The solver's currents, divided finely, on the second route."""
    solution = case.solve()
    at, moments, k = sources(solution, pieces=60)
    coarse = sources(solution, pieces=4)
    n2 = complex(case.ground.soil.complex_permittivity(solution.freq_hz[0]))
    e, h = near.fields(solution, 0, points)
    for n, point in enumerate(points):
        back = reflected(coarse[0], coarse[1], np.array(point), k, n2)
        we, wh = (a + b for a, b in zip(dipoles(at, moments, point, k), back))
        assert off(e[n], we) < ASKED and off(h[n], wh) < ASKED


@pytest.mark.parametrize("case", [level_dipole(height=3.0), end_fed(), two_dipoles(mhz=(14.2,))], ids=["level", "end-fed", "two"])
def test_maxwells_equations_over_soil(case):
    """curl H = j w eps E and curl E = -j w mu H by differences of the answers, at points a few metres from the wires."""
    solution = case.solve()
    w, d = TWO_PI * solution.freq_hz[0], 0.25
    for point in ((5.0, -6.0, 1.5), (-6.0, 3.0, 4.0), (9.0, 9.0, 0.6)):
        stencil = [np.array(point) + sign * d * axis for axis in np.eye(3) for sign in (1, -1)]
        e, h = near.fields(solution, 0, [point, *stencil])

        def check(v, wanted):
            slope = (v[1::2] - v[2::2]) / (2 * d)  # (axis, component)
            curl = np.array([slope[1, 2] - slope[2, 1], slope[2, 0] - slope[0, 2], slope[0, 1] - slope[1, 0]])
            # near wires the curl is what is left of slopes many times as large
            assert np.linalg.norm(curl - wanted) < 0.02 * np.linalg.norm(wanted) + 0.01 * np.linalg.norm(slope)

        check(h, 1j * w * EPS0_F_PER_M * e[0])
        check(e, -1j * w * MU0_H_PER_M * h[0])


def test_level_field_vanishes_on_perfect_ground():
    solution = end_fed(ground=PERFECT).solve()
    e, h = near.fields(solution, 0, [(4.0, -3.0, near.STEP_M), (-2.0, 5.0, near.STEP_M)])
    for ev, hv in zip(e, h):
        assert np.linalg.norm(ev[:2]) < 0.03 * abs(ev[2]) and abs(hv[2]) < 0.03 * np.linalg.norm(hv)


@pytest.mark.parametrize("distance", [300.0, 4000.0])
def test_far_away_in_free_space(distance):
    """E = sqrt(30 P G)/r [rms], and H = E/eta."""
    solution = two_dipoles(ground=FREE, mhz=(14.2,)).solve()
    for el, az in ((10.0, 20.0), (-35.0, 200.0), (70.0, 110.0)):
        ce = np.cos(np.radians(el))
        point = distance * np.array([ce * np.sin(np.radians(az)), ce * np.cos(np.radians(az)), np.sin(np.radians(el))])
        e, h = near.fields(solution, 0, [point + [2.0, 0.0, 5.5]], power_w=100.0)
        wanted = np.sqrt(30 * 100.0 * float(solution.pattern(0).gain(el, az))) / distance
        assert np.linalg.norm(e[0]) == pytest.approx(wanted, rel=0.02)
        assert np.linalg.norm(h[0]) == pytest.approx(wanted / 376.73, rel=0.02)


@pytest.mark.parametrize("wavelengths", [12.0, 40.0])
def test_far_away_over_soil(wavelengths):
    """The same above the horizon, where the wave along the ground has died out. Beyond a dozen wavelengths the tables are other ones."""
    mhz = 14.2
    solution = end_fed(mhz=(mhz,)).solve()
    distance = wavelengths * C0_M_PER_S / mhz / 1e6
    for el, az in ((35.0, 20.0), (55.0, 200.0), (80.0, 110.0)):
        ce = np.cos(np.radians(el))
        point = distance * np.array([ce * np.sin(np.radians(az)), ce * np.cos(np.radians(az)), np.sin(np.radians(el))])
        middle = np.array([9.0, 3.0, 0.0])
        e, _ = near.fields(solution, 0, [point + middle], power_w=1.0)
        wanted = np.sqrt(30 * float(solution.pattern(0).gain(el, az))) / distance
        assert np.linalg.norm(e[0]) == pytest.approx(wanted, rel=0.03)


def test_power_scales_the_fields():
    solution = end_fed().solve()
    one, four = (near.fields(solution, 0, [(3.0, 0.0, 2.0)], power_w=p) for p in (1.0, 4.0))
    assert np.allclose(four[0], 2 * one[0]) and np.allclose(four[1], 2 * one[1])
    raw, _ = near.fields(solution, 0, [(3.0, 0.0, 2.0)])
    assert np.allclose(one[0], raw / np.sqrt(solution.z_ohm[0].real))  # 1 A peak into R is R/2 watt: rms for 1 W is peak over sqrt(R)
