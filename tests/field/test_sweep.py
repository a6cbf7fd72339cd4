"""Curves from four solved frequencies against dense sweeps, on sharp resonances too, and against circuits in closed form."""

from dataclasses import replace

import numpy as np
import pytest
from truth import end_fed_tail
from wire_sets import AVERAGE, BALANCE, FREE, SEA, Set, coil, end_fed, level_dipole, loaded_tail, port, wire

from optimizer.field.sweep import curve, curve_with_error

ENOUGH = 2e-3  # of the reflection on any reference: 1 per cent of SWR near 2:1


def short_tail(q, ground=AVERAGE, mhz=(7.0,)):
    """5 m, a coil of 60 microhenry and a metre of tail: half power within a few kilohertz of 6.97 MHz."""
    w = wire("w", (0, 0, 6), (0, 6, 6))
    return Set(wires=(w,), ports=(port("w", 2.5),), loads=(coil("w", 5.0, 60.0, q, 1.0),), ground=ground, mhz=mhz)


# name: case, lowest and highest frequency [MHz]
BANDS = {
    "dipole": (level_dipole(), 7.0, 7.2),
    "ten metres of a wire for forty": (level_dipole(), 28.0, 29.7),
    "end-fed": (end_fed(), 7.0, 7.2),
    "end-fed harmonic": (end_fed(), 28.0, 29.7),
    "short, far off resonance": (level_dipole(half=14.0), 3.5, 3.8),
    "over sea water": (level_dipole(half=20.0, height=4.0, ground=SEA), 1.81, 2.0),
    "trap dipole": (BALANCE["trap dipole"], 7.0, 7.2),
    "loaded tail at its resonance": (loaded_tail(), 6.55, 6.75),
    "loaded tail, wide": (loaded_tail(), 6.4, 6.9),
    "short loaded tail over soil": (short_tail(600.0), 6.9, 7.1),
    "short loaded tail without loss": (short_tail(None), 6.9, 7.1),
    "end-fed loaded tail at its peak": (end_fed_tail(), 6.8, 7.0),
    "end-fed loaded tail at its peak, free space": (end_fed_tail(FREE, q=None), 6.8, 7.0),
    "end-fed loaded tail beside its peak": (end_fed_tail(tail=1.4), 7.0, 7.3),
}


def reflection(z, r):
    return (z - r) / (z + r)


@pytest.mark.parametrize("name", BANDS)
def test_four_solves_against_a_dense_sweep(name):
    case, low, high = BANDS[name]
    few, dense = np.linspace(low, high, 4), np.linspace(low, high, 61)
    wanted = replace(case, mhz=tuple(dense)).z()
    z_few = replace(case, mhz=tuple(few)).z()
    found, estimate = curve_with_error(few * 1e6, z_few, dense * 1e6)
    for reference in (50.0, 450.0, 3200.0):
        assert np.abs(reflection(found, reference) - reflection(wanted, reference)).max() < ENOUGH
    own = float(np.median(np.abs(z_few)))
    assert np.abs(reflection(found, own) - reflection(wanted, own)).max() <= estimate.max() + 1e-6
    assert estimate.max() < 0.1


def test_resonances_are_sharp():
    """The cases are what they are said to be: a peak inside the band, quality factors of several hundred."""
    case, low, high = BANDS["end-fed loaded tail at its peak"]
    dense = np.linspace(low, high, 201)
    r = replace(case, mhz=tuple(dense)).z().real
    assert 3 < r.argmax() < 197
    for q, least in ((600.0, 300), (None, 800)):
        z = replace(short_tail(q), mhz=(6.97, 6.972)).z()
        slope = (z[1].imag - z[0].imag) / 0.002  # ohm per MHz
        assert 6.971 * slope / (2 * z[1].real) > least


def test_peak_frequency_within_a_kilohertz():
    case, low, high = BANDS["end-fed loaded tail at its peak"]
    few, dense = np.linspace(low, high, 4), np.linspace(low, high, 401)
    peak = dense[replace(case, mhz=tuple(dense)).z().real.argmax()]
    found = dense[curve(few * 1e6, replace(case, mhz=tuple(few)).z(), dense * 1e6).real.argmax()]
    assert abs(found - peak) <= 0.001


@pytest.mark.parametrize("q", [5.0, 500.0])
@pytest.mark.parametrize("parallel", [False, True])
def test_a_resonant_circuit_comes_out_exactly(q, parallel):
    """R, L and C in series or side by side are ratios of polynomials of degree two: four points say all."""
    f0, r = 7.05e6, 50.0

    def z(f):
        detuned = 1j * q * (f / f0 - f0 / f)
        return r / (1 + detuned) if parallel else r * (1 + detuned)

    few, dense = np.linspace(6.95e6, 7.2e6, 4), np.linspace(6.95e6, 7.2e6, 500)
    assert curve(few, z(few), dense) == pytest.approx(z(dense), rel=1e-6)


def test_solved_points_are_met_in_any_order():
    case, low, high = BANDS["end-fed"]
    few = np.linspace(low, high, 5)[[3, 0, 4, 1, 2]]
    z = replace(case, mhz=tuple(few)).z()
    assert curve(few * 1e6, z, few * 1e6) == pytest.approx(z, rel=1e-8)


def test_constant_and_straight_curves():
    few, dense = np.linspace(7e6, 7.2e6, 4), np.linspace(7e6, 7.2e6, 11)
    assert curve(few, np.full(4, 50 + 10j), dense) == pytest.approx(np.full(11, 50 + 10j))
    line = lambda f: 50 + 1j * (f - 7.1e6) / 1e3
    assert curve(few, line(few), dense) == pytest.approx(line(dense), rel=1e-6)


def test_estimate_grows_where_points_are_too_few():
    """Two resonances in one span: three points cannot tell, and the estimate says so."""
    def z(f):
        return 50 / (1 + 300j * (f / 7.05e6 - 7.05e6 / f)) + 50 / (1 + 300j * (f / 7.15e6 - 7.15e6 / f))

    dense = np.linspace(7e6, 7.2e6, 201)
    errors, estimates = [], []
    for n in (4, 5, 6, 7):
        few = np.linspace(7e6, 7.2e6, n)
        found, estimate = curve_with_error(few, z(few), dense, reference_ohm=50.0)
        errors.append(np.abs(reflection(found, 50) - reflection(z(dense), 50)).max())
        estimates.append(estimate.max())
    assert errors[0] > 0.05 and estimates[0] > 0.05
    assert errors[-1] < 1e-4
