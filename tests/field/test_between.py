"""Matrices between the frequencies at which they were filled, and what is kept of one solve for the next.

The references are the function itself where it is known in closed form, the error that the theory of Chebyshev interpolation
allows (L. N. Trefethen, Approximation Theory and Approximation Practice, 2013, ch. 4), and the same wires with every frequency filled.
"""

from dataclasses import replace

import numpy as np
import pytest
from wire_sets import AVERAGE, FREE, PERFECT, Set, end_fed, level_dipole, loaded_tail, port, radials, two_dipoles, wire

from optimizer.field import between, solver
from optimizer.field.between import LEAST, MOST_OFF, few_of, spread_to
from optimizer.physics.constants import C0_M_PER_S

BAND_HZ = np.linspace(26e6, 29.4e6, 11)


@pytest.mark.parametrize("reach_m", [3.0, 12.0, 25.0, 60.0])
def test_a_wave_over_the_distance_is_met_within_the_bound(reach_m):
    few = few_of(BAND_HZ, reach_m)
    assert LEAST <= len(few) < len(BAND_HZ)
    z = np.exp(-2j * np.pi * few / C0_M_PER_S * reach_m) / few
    found = spread_to(BAND_HZ, z[:, None, None], few)[:, 0, 0] * BAND_HZ
    assert np.abs(found - np.exp(-2j * np.pi * BAND_HZ / C0_M_PER_S * reach_m)).max() < MOST_OFF


def test_more_are_filled_where_wires_reach_farther_and_all_where_few_would_not_do():
    counts = [len(few_of(BAND_HZ, reach)) for reach in (5.0, 35.0, 60.0)]
    assert counts == sorted(set(counts)) and counts[0] == LEAST
    assert few_of(BAND_HZ, 300.0) is BAND_HZ
    four, z = BAND_HZ[:LEAST], np.ones((LEAST, 2, 2), complex)
    assert few_of(four, 5.0) is four and spread_to(four, z, four) is z


def test_a_frequency_many_times_over_is_as_good_as_once():
    same = replace(level_dipole(ground=FREE), mhz=(7.1,) * (LEAST + 2))
    assert same.z() == pytest.approx(np.full(LEAST + 2, replace(same, mhz=(7.1,)).z()[0]), rel=1e-9)
    for apart in (0.0, 1e-9, 1e-6):
        some = 7.1e6 + apart * np.arange(LEAST + 2)
        few = few_of(some, 12.0)
        assert spread_to(some, np.ones((len(few), 1, 1), complex), few) == pytest.approx(1.0, rel=1e-9)


def test_powers_up_to_the_third_are_exact_and_what_cancels_cancels():
    few = few_of(BAND_HZ, 1.0)
    x, dense = few / 28e6, BAND_HZ / 28e6
    z = np.array([1.0 + 2.0j * x**1 - 0.5 * x**2 + 0.25j * x**3, -1.0 + 0 * x])[..., None] / x[:, None]  # the charges of a loop and the rest
    z = z.transpose(1, 0, 2)
    found = spread_to(BAND_HZ, z, few)
    assert found[:, 0, 0] == pytest.approx((1.0 + 2.0j * dense - 0.5 * dense**2 + 0.25j * dense**3) / dense, rel=1e-12)
    assert found.sum(axis=1)[:, 0] == pytest.approx(2.0j - 0.5 * dense + 0.25j * dense**2, rel=1e-12)


def banded(case, low, high, count=9):
    return replace(case, mhz=tuple(np.linspace(low, high, count)))


CASES = {
    "dipole over soil": banded(level_dipole(), 6.55, 7.45),
    "dipole over metal": banded(level_dipole(ground=PERFECT, half=2.5), 26.1, 29.7),
    "end-fed": banded(end_fed(), 26.1, 29.7),
    "loaded tail": banded(loaded_tail(), 13.1, 14.7),
    "radials on the soil": banded(radials(), 6.7, 7.4),
    "two dipoles": banded(two_dipoles(), 26.1, 29.7),
    "a long wire": banded(Set(wires=(wire("w", (0, 0, 8), (90, 0, 8)),), ports=(port("w", 17.0),), ground=AVERAGE), 26.1, 29.7, 15),
    "a small loop": banded(
        Set(wires=(wire("w", (0, 0, 3), (0.3, 0, 3), (0.3, 0, 3.3), (0, 0, 3.3), (0, 0, 3)),), ports=(port("w", 0.15),), ground=FREE), 26.1, 29.7
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_impedances_are_those_of_a_matrix_filled_at_every_frequency(name, monkeypatch):
    case = CASES[name]
    found = case.solve()
    assert all(len(b.filled_hz) < len(b.freq_hz) for b in found.bands)
    monkeypatch.setattr(solver, "few_of", lambda freq_hz, reach_m: freq_hz)
    whole = case.solve()
    assert found.z_ohm.real == pytest.approx(whole.z_ohm.real, rel=3e-4)
    assert found.z_ohm == pytest.approx(whole.z_ohm, rel=3e-4)


@pytest.mark.parametrize("case", [CASES["end-fed"], CASES["loaded tail"]], ids=["28 MHz", "14 MHz"])
def test_what_has_not_moved_is_taken_over(case, monkeypatch):
    first = solver.solve(case.wires, case.ports, case.loads, case.ground, np.array(case.mhz) * 1e6, keep=True)
    w, *others = case.wires
    end = tuple(w.point_at(w.length_m - 0.2))
    moved = replace(case, wires=(replace(w, points_m=(*w.points_m[:-1], end)), *others))
    fresh = moved.z()
    filled = []
    fill = solver.kernels.fill
    monkeypatch.setattr(solver.kernels, "fill", lambda *a: filled.append(a[4].mean()) or fill(*a))
    again = solver.solve(moved.wires, moved.ports, moved.loads, moved.ground, np.array(case.mhz) * 1e6, known=first.known)
    assert again.z_ohm == pytest.approx(fresh, rel=1e-9)
    assert max(filled) < 0.7
