"""Dips of curves known in closed form; responses between the lengths that were solved, against solving there."""

from pathlib import Path

import numpy as np
import pytest

from optimizer.ensemble.garden import as_planned, garden_of
from optimizer.ensemble.unknowns import draw
from optimizer.sheet.built import read_built
from optimizer.trimming.bank import ends_of, final_u
from optimizer.trimming.case import case_of
from optimizer.trimming.response import LEFT_OUT, Dip, Response, dip_of, dips_of, in_gardens, own_dips, plan_of, terms
from optimizer.wires.model import Ground

YARD = Path(__file__).parents[1] / "sheet" / "data" / "yard"


def test_the_dip_of_a_series_circuit_is_its_resonance():
    """R 65 ohm in series with L and C: SWR symmetric in f/f0 - f0/f; half width from that in closed form."""
    f0, r, ell = 7.03e6, 65.0, 20e-6
    freq = np.linspace(6.6e6, 7.5e6, 2001)
    z = r + 2j * np.pi * ell * (freq - f0**2 / freq)
    gamma = np.abs((z - 50) / (z + 50))
    dip, half = dip_of(freq, (1 + gamma) / (1 - gamma))
    assert dip == pytest.approx(f0, rel=1e-5)
    swr = r / 50 + 0.05
    g2 = ((swr - 1) / (swr + 1)) ** 2
    x = np.sqrt((g2 * (r + 50) ** 2 - (r - 50) ** 2) / (1 - g2))  # |z - 50| = g |z + 50|
    assert half == pytest.approx(x / (4 * np.pi * ell * f0), rel=0.01)


def test_a_dip_at_the_edge_is_the_edge():
    freq = np.linspace(7e6, 7.2e6, 50)
    assert dip_of(freq, freq / 1e6) == (7e6, 0.0) and dip_of(freq, 9 - freq / 1e6) == (7.2e6, 0.0)


def two_dips(own_hz, other_hz, depth):
    """A wire's dip, and a narrower one of something close by that is deeper by `depth`."""
    freq = np.linspace(6.5e6, 7.5e6, 481)
    x, y = freq / own_hz - 1, freq / other_hz - 1
    return freq, 1.3 + 400 * x**2 / (1 + 100 * x**2) - depth / (1 + (y / 0.006) ** 2)


def test_the_dips_of_a_curve_deepest_first():
    freq, swr = two_dips(7.05e6, 6.65e6, 0.55 + 400 * 0.0567**2 / (1 + 100 * 0.0567**2))
    found = dips_of(freq, swr)
    assert [d.hz for d in found[:2]] == [pytest.approx(6.65e6, rel=1e-3), pytest.approx(7.05e6, rel=1e-3)]
    assert found[0].hz == dip_of(freq, swr)[0] and found[0].swr < found[1].swr


def test_the_wires_dip_is_the_one_that_moves_with_it():
    """Lengths u = 0 and 0.02: the wire's dip goes from 7.05 down by 2 %, that of a thing close by stays, and is deeper."""
    planned = np.log(7.0e6) - np.array([0.0, 0.02])
    curves = [two_dips(7.05e6 * np.exp(-u), 6.65e6, 1.6) for u in (0.0, 0.02)]
    assert [dip_of(*c)[0] for c in curves] == [pytest.approx(6.65e6, rel=2e-3)] * 2
    chosen = own_dips(planned, [dips_of(*c) for c in curves])
    assert [d.hz for d in chosen] == [pytest.approx(7.05e6, rel=2e-3), pytest.approx(7.05e6 * np.exp(-0.02), rel=2e-3)]


def test_a_wire_whose_dip_is_the_deepest_keeps_it_however_far_it_is_off():
    planned = np.log(7.0e6) - np.array([0.0, 0.02])
    curves = [two_dips(6.7e6 * np.exp(-u), 7.2e6, 0.3) for u in (0.0, 0.02)]
    assert [d.hz for d in own_dips(planned, [dips_of(*c) for c in curves])] == [dip_of(*c)[0] for c in curves]


def test_where_no_dip_moves_with_the_wire_the_plan_stands():
    planned = np.log(7.0e6) - np.array([0.0, 0.02])
    far, near = ([[Dip(hz=f, half=0.0, swr=1.2)]] * 2 for f in (6.6e6, 6.95e6))
    assert [d.hz for d in own_dips(planned, far)] == pytest.approx(np.exp(planned))
    assert [d.hz for d in own_dips(planned, near)] == pytest.approx([6.95e6, 6.95e6 * np.exp(-0.02)])


def test_beyond_the_lengths_that_were_solved_a_dip_goes_on_straight():
    """1 + 2 u + 300 u^3 between -0.03 and 0.02, value and slope at the ends by hand; two pieces with a cross term 5 u v."""
    one = Response(dip=np.array([[1.0, 2.0, 0.0, 300.0]]), swr=np.zeros((1, 4)), curve=np.zeros((1, 181)), flat=0.0, edges=(0, 9), reach=np.array([[-0.03], [0.02]]))
    assert one.log_dip_open([0.01])[0] == pytest.approx(1.0203)
    assert one.log_dip_open([0.07])[0] == pytest.approx(1 + 0.04 + 300 * 8e-6 + 0.05 * (2 + 900 * 4e-4))
    assert one.log_dip_open([[-0.10]])[0] == pytest.approx(1 - 0.06 - 300 * 27e-6 - 0.07 * (2 + 900 * 9e-4))
    two = Response(dip=np.array([[0, 1, 2, 0, 0, 0, 0, 5.0]]), swr=np.zeros((1, 8)), curve=np.zeros((1, 181)), flat=0.0, edges=(0, 9), reach=np.array([[-0.1, -0.1], [0.1, 0.1]]))
    assert two.log_dip_open([0.3, 0.05])[0] == pytest.approx(0.3 + 0.1 + 5 * 0.1 * 0.05 + 0.2 * 5 * 0.05)


def test_terms_by_hand():
    assert terms([2.0, 3.0]).tolist() == [1, 2, 3, 4, 9, 8, 27, 6] and terms(np.zeros((5, 3))).shape == (5, 13)


@pytest.fixture(scope="module", params=[1, 2], ids=["trap_dipole", "loaded_tail"])
def solved(request):
    built = read_built(YARD, request.param)
    case = case_of(built)
    plan = plan_of(case, case.yard(as_planned(Ground(kind="soil", soil=built.site.soil))))
    gardens = [garden_of(m) for m in draw(built.site, 3, 7)]
    return case, plan, gardens, in_gardens(case, plan, gardens)


def test_between_the_lengths_a_response_is_what_solving_gives(solved):
    case, _, gardens, found = solved
    off = []
    for u in (0.5 * case.start, np.array([-0.01, 0.6 * case.start[1]]), np.array([0.4 * case.start[0], -0.01])):
        for look in case.looks:
            for n, garden in enumerate(gardens):
                freq, swr = case.yard(garden).swr(case.at(u), look[0])
                off.append(found[look].log_dip(u)[n] - np.log(dip_of(freq, swr)[0]))
                assert found[look].log_swr(u)[n] == pytest.approx(np.log(swr.min()), abs=0.02)
                beside = freq[np.searchsorted(freq, 1.008 * dip_of(freq, swr)[0])]
                assert found[look].log_swr_at(u, beside)[n] == pytest.approx(np.log(np.interp(beside, freq, swr)), abs=0.06)
    assert np.sqrt(np.mean(np.square(off))) <= LEFT_OUT and np.abs(off).max() <= 3 * LEFT_OUT


def test_the_final_lengths_end_every_band_where_it_should(solved):
    case, plan, gardens, found = solved
    ends = ends_of(case, plan)
    final, off = final_u(case, found, ends), []
    for n, garden in enumerate(gardens):
        for e, end in zip(case.steps, ends):
            freq, swr = case.yard(garden).swr(case.at(final[n]), e.step.band)
            off.append(np.log(dip_of(freq, swr)[0]) - end)
    assert np.sqrt(np.mean(np.square(off))) <= LEFT_OUT
