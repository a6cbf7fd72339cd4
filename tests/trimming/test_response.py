"""Dips of curves known in closed form; responses between the lengths that were solved, against solving there."""

from pathlib import Path

import numpy as np
import pytest

from optimizer.ensemble.garden import as_planned, garden_of
from optimizer.ensemble.unknowns import draw
from optimizer.sheet.built import read_built
from optimizer.trimming.bank import ends_of, final_u
from optimizer.trimming.case import case_of
from optimizer.trimming.response import LEFT_OUT, dip_of, in_gardens, plan_of, terms
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
