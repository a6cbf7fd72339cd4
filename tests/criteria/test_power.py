"""Power as a limit: where margins are zero, which of them is least, and how it is said."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from optimizer.criteria.exposure import NOBODY, Worst
from optimizer.criteria.power import PowerLimit, power_limits, power_margins, power_that_lets_in, watts
from optimizer.network.endure import FOLD_BACK_SWR, Stands, currents_stood_a, stands_of
from optimizer.network.line import line_type
from optimizer.network.transformer import transformer
from optimizer.parts.coil import design_coil
from optimizer.parts.ring_transformer import peak_power_w
from optimizer.physics.wishes import BandWish, WishList

BAND = BandWish(key="40m", band="40m", segment="all", low_hz=7.0e6, high_hz=7.2e6)


def wishes(**more):
    return WishList(bands=(BAND,), **more)


def figures(share=0.0, **stands):
    return SimpleNamespace(exposure=Worst(share=share, place="seat") if share else NOBODY, stands=stands)


def test_margin_is_zero_where_the_level_is_just_met():
    """0.2 per root watt is met at 25 W of average; at 0.4 x 0.5 that is 125 W of peak."""
    limits = power_limits(wishes(), {"40m": figures(0.2)})
    assert limits[0].most_w == pytest.approx(125.0)
    assert power_margins(limits, 125.0)["exposure"] == pytest.approx(0.0)
    assert power_margins(limits, 250.0)["exposure"] == pytest.approx(-1.0)
    assert power_margins(limits, 0.0)["exposure"] == 1.0


def test_heat_goes_with_the_average_and_voltage_with_the_peak():
    part = Stands(heat_w=30.0, peak_w=400.0)
    assert part.most_peak_w(0.05) == 400.0
    assert part.most_peak_w(0.5) == pytest.approx(60.0)


def test_least_band_decides_and_nobody_is_no_limit():
    limits = {p.name: p for p in power_limits(wishes(), {"40m": figures(0.1, coil=Stands(heat_w=5.0)), "20m": figures(0.0, coil=Stands(peak_w=9.0))})}
    assert limits["exposure"].band == "40m" and limits["coil_power"].band == "20m" and limits["coil_power"].most_w == 9.0
    assert power_limits(wishes(), {"40m": figures()}) == ()


@pytest.mark.parametrize("most, said", [(12.9, "12"), (187.0, "180"), (1.55, "1.5"), (0.0, "0"), (1000.0, "1000"), (99.9, "99")])
def test_watts_are_rounded_down(most, said):
    assert watts(most) == said and float(said) <= most


def test_only_power_missing_is_what_power_can_mend():
    seat, coil = (PowerLimit(name=n, most_w=w, band="40m", what=n) for n, w in (("exposure", 12.0), ("coil_power", 60.0)))
    margins = power_margins((seat, coil), 100.0)
    assert power_that_lets_in(margins, (seat, coil)) is seat
    assert power_that_lets_in(margins | {"lot_m": -0.5}, (seat, coil)) is None
    assert power_that_lets_in(power_margins((seat, coil), 5.0), (seat, coil)) is None
    assert "at most 12 W" in seat.text


# ---- what parts stand ----


def matched(freq, swr=1.0, tuner=0.0):
    """A look at a line with that SWR at its end, and a wire that takes all."""
    one = np.ones(len(freq))
    shares = {"tuner": tuner * one, "line": 0.0 * one, "transformer": 0.0 * one}
    return SimpleNamespace(swr_radio=swr * one, swr_line=swr * one, shares=shares, delivered=(1 - tuner) * one)


def wire(freq, ohm):
    return SimpleNamespace(freq_hz=freq, z_ohm=np.full(len(freq), ohm + 0j), loads=(), ports=(None,))


def feed(line="cable_rg58", length_m=0.001, transformer=None, tuner=None):
    return SimpleNamespace(line=line, line_length_m=length_m, transformer=transformer, tuner=tuner)


def test_a_matched_line_stands_its_rating():
    """The rating is at 10 MHz; heating goes with the root of frequency (skin effect) and with the SWR."""
    freq = np.array([10e6])
    rated = line_type("cable_rg58").power_at_10mhz_w
    assert stands_of(wire(freq, 50.0), matched(freq), feed())["line"].heat_w == pytest.approx(rated, rel=1e-3)
    assert stands_of(wire(freq, 50.0), matched(freq, swr=2.0), feed())["line"].heat_w == pytest.approx(rated / 2, rel=1e-3)
    assert stands_of(wire(4 * freq, 50.0), matched(freq), feed())["line"].heat_w == pytest.approx(rated / 2, rel=1e-3)


def test_transformer_at_its_own_load_stands_what_its_ring_does():
    key, freq = "transformer_49_100w", np.array([7.1e6])
    part = transformer(key)
    found = stands_of(wire(freq, 50.0 * part.ratio), matched(freq), feed(transformer=key))["transformer"]
    by_ring, set_by = peak_power_w(part.ring, part.primary_turns, 7.1e6, 1.0)
    assert set_by == "heat" and found.heat_w == pytest.approx(by_ring, rel=0.01)
    twice = stands_of(wire(freq, 100.0 * part.ratio), matched(freq), feed(transformer=key))["transformer"]
    assert twice.heat_w == pytest.approx(found.heat_w / 2, rel=0.01)  # twice the volts squared at the same power


def test_frequencies_out_of_match_set_no_limit():
    freq = np.array([7.0e6])
    assert stands_of(wire(freq, 50.0), matched(freq, swr=1.01 * FOLD_BACK_SWR), feed()) == {}


def test_currents_stood_are_at_the_edge_of_the_parts_own_answer():
    coil = design_coil(30e-6, 7.1e6)
    heat_a, peak_a = currents_stood_a(coil, 7.1e6)
    assert coil.stress(0.99 * heat_a, freq_hz=7.1e6).weakest != "warming" and coil.stress(1.01 * heat_a, freq_hz=7.1e6).weakest == "warming"
    assert coil.stress(0.99 * peak_a, freq_hz=7.1e6, duty=1e-12).stands and not coil.stress(1.01 * peak_a, freq_hz=7.1e6, duty=1e-12).stands
    assert math.isfinite(heat_a)
