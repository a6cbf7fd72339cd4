"""Voltages that can be touched, against Ohm's law and against the potential of the textbook's sinusoidal current."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from optimizer.criteria.touch import REACH_M, HotPoint, end_potential_v, hot_points, open_ends, potential_v, worst_of
from optimizer.field.solver import solve
from optimizer.physics.constants import C0_M_PER_S, EPS0_F_PER_M, ETA0_OHM, MU0_H_PER_M, TWO_PI
from optimizer.physics.elements import Coil
from optimizer.wires.model import Ground, Load, Port, Wire

FREE = Ground(kind="none")
FREQ_HZ = 7.1e6


def half_wave(z_m=3.0, loads=(), ground=FREE, radius_m=0.001):
    half = 0.238 * C0_M_PER_S / FREQ_HZ
    wire = Wire(name="main", points_m=((-half, 0.0, z_m), (half, 0.0, z_m)), radius_m=radius_m)
    return solve((wire,), (Port(name="feed", wire="main", at_m=half),), loads, ground, [FREQ_HZ]), half


def test_end_of_a_half_wave_has_the_potential_that_its_vector_potential_asks():
    """Along the conductor E = -j w A - d phi/dx = 0, so phi(end) = w times the integral of A from the middle, A of a sinusoidal current
    (thin-wire theory, any textbook); the feed's own half volt per ohm stands in quadrature."""
    solution, half = half_wave()
    k = math.pi / (2 * half)

    def vector_potential(x):
        def retarded(s):
            r = math.hypot(x - s, 0.001)
            return math.cos(k * s) * math.cos(TWO_PI * FREQ_HZ / C0_M_PER_S * r) / r

        return MU0_H_PER_M / (4 * math.pi) * quad(retarded, -half, half, points=[x], limit=400)[0]

    volts, _ = quad(vector_potential, 0.0, half, limit=60, epsrel=1e-4)
    wanted = math.hypot(TWO_PI * FREQ_HZ * volts, 0.5 * solution.z_ohm[0].real)
    assert abs(end_potential_v(solution, 0, (half, 0.0, 3.0), 0.001)) == pytest.approx(wanted, rel=0.1)


def test_perfect_ground_takes_potential_off():
    """An image of the opposite sign: less than in the clear, and nothing at the ground itself."""
    solution, half = half_wave(z_m=2.0, ground=Ground(kind="perfect"))
    clear, _ = half_wave(z_m=2.0)
    assert abs(potential_v(solution, 0, (half, 0.0, 2.0), 0.001)) < abs(potential_v(clear, 0, (half, 0.0, 2.0), 0.001))
    assert abs(potential_v(solution, 0, (half, 1.0, 0.0), 0.001)) == pytest.approx(0.0, abs=1e-9)


def test_feed_and_coil_by_ohms_law():
    """A coil beside the feed carries nearly the feed's current: V = I w L; the feed: V = sqrt(P |Z|^2 / R)."""
    coil = Coil(inductance_h=5e-6, q=200.0)
    solution, _ = half_wave(loads=(Load(wire="main", at_m=0.235 * C0_M_PER_S / FREQ_HZ, element=coil),))
    points = {p.what: p for p in hot_points(solution, 0, solution.ports[0], False, "40m", 100.0)}
    z = complex(solution.z_ohm[0])
    amps = math.sqrt(100.0 / z.real)
    assert points["feed"].volts == pytest.approx(amps * abs(z), rel=1e-9)
    assert points["coil in main"].volts == pytest.approx(amps * TWO_PI * FREQ_HZ * 5e-6, rel=0.02)
    assert points["end of main"].volts > points["coil in main"].volts


def test_volts_go_with_the_root_of_power():
    solution, _ = half_wave()
    low, high = ([p.volts for p in hot_points(solution, 0, solution.ports[0], False, "40m", w)] for w in (25.0, 100.0))
    assert np.array(high) == pytest.approx(2.0 * np.array(low))


def test_open_ends_are_those_where_nothing_is_joined():
    a = Wire(name="a", points_m=((0.0, 0.0, 3.0), (5.0, 0.0, 3.0)), radius_m=0.001)
    b = Wire(name="b", points_m=((0.0, 0.0, 3.0), (0.0, 4.0, 3.0)), radius_m=0.001)
    assert open_ends((a, b)) == (("a", (5.0, 0.0, 3.0)), ("b", (0.0, 4.0, 3.0)))
    ring = Wire(name="ring", points_m=((0.0, 0.0, 3.0), (5.0, 0.0, 3.0), (0.0, 5.0, 3.0), (0.0, 0.0, 3.0)), radius_m=0.001)
    assert open_ends((ring,)) == ()


def test_the_worst_band_stands_and_the_low_ones_are_within_reach():
    points = [HotPoint(what="end", at_m=(0.0, 0.0, z), volts=v, band=b) for z, v, b in ((2.4, 300.0, "40m"), (2.4, 500.0, "20m"), (6.0, 20.0, "40m"))]
    found = worst_of(points)
    assert [(p.volts, p.band, p.within_reach) for p in found] == [(500.0, "20m", True)]
    assert not HotPoint(what="end", at_m=(0.0, 0.0, REACH_M), volts=500.0, band="20m").within_reach


def test_potential_of_a_short_dipole_is_the_closed_form():
    """Lorenz potential of a Hertzian dipole on its axis, I l sqrt(k^2 + 1/r^2)/(4 pi eps w r) (any textbook); its moment from
    its radiation resistance, eta k^2 l^2 / 6 pi."""
    wire = Wire(name="main", points_m=((-0.2, 0.0, 0.0), (0.2, 0.0, 0.0)), radius_m=0.001)
    solution = solve((wire,), (Port(name="feed", wire="main", at_m=0.2),), (), FREE, [FREQ_HZ])
    k, w = TWO_PI * FREQ_HZ / C0_M_PER_S, TWO_PI * FREQ_HZ
    length_m = math.sqrt(6.0 * math.pi * solution.z_ohm[0].real / ETA0_OHM) / k
    for r in (4.0, 10.0, 25.0):
        wanted = length_m * math.hypot(k, 1.0 / r) / (4 * math.pi * EPS0_F_PER_M * w * r)
        assert abs(potential_v(solution, 0, (r, 0.0, 0.0), 1e-3)) == pytest.approx(wanted, rel=0.05)
