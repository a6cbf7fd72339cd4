"""One part changed, the figures move as physics says. Each direction and size by hand from a law named beside it."""

import math

import numpy as np
import pytest

from optimizer.families.design import Feed
from optimizer.network.bench import answers_of, sheets_of
from optimizer.network.feedpoint import look
from optimizer.network.line import line_type, total_loss_db
from optimizer.network.transformer import transformer
from optimizer.parts.ring_transformer import core_loss_share
from optimizer.physics.elements import Coil, FixedImpedance, Trap
from optimizer.wires.model import Load

FREQ_HZ = np.array([7.1e6])
LOAD = np.array([2450 + 0j])
PLAIN = {"line": "cable_rg58", "line_length_m": 20.0, "transformer": "transformer_49_100w", "impedance_ratio": 49}


def seen(**changed):
    return look(FREQ_HZ, LOAD, Feed(**{**PLAIN, **changed}))


def test_thicker_line_loses_by_its_attenuation():
    """Same load at the line's end, so the losses in dB go as the matched losses with the same reflection (P4-015 law)."""
    thin, thick = seen(), seen(line="cable_rg213")
    for found, key in ((thin, "cable_rg58"), (thick, "cable_rg213")):
        matched = float(line_type(key).matched_loss_db_per_100m(7.1e6)) * 0.2
        gamma = (found.swr_line[0] - 1) / (found.swr_line[0] + 1)
        assert -10 * math.log10(1 - found.shares["line"][0]) == pytest.approx(float(total_loss_db(matched, gamma)), rel=0.1)
    assert thick.shares["line"][0] < 0.5 * thin.shares["line"][0]


def test_second_ring_halves_the_core_loss():
    """Twice the height is twice the impedance, half the conductance: share g/(g + G) with half the g."""
    one, two = (core_loss_share(transformer(k).magnetising_ohm(FREQ_HZ))[0] for k in ("transformer_49_100w", "transformer_49_400w"))
    assert two / (1 - two) == pytest.approx(0.5 * one / (1 - one), rel=1e-9)
    found = seen(), seen(transformer="transformer_49_400w")
    lost = [f.shares["transformer"][0] / (1 - f.shares["line"][0]) for f in found]
    assert lost[1] / lost[0] == pytest.approx(two / one, rel=0.1)


def test_low_loss_ferrite_delivers_more():
    """Type 52 has a tenth of type 43's mu'' at 7 MHz (P3-155): the core takes a fraction of the loss."""
    plain, better = seen(transformer="transformer_49_400w"), seen(transformer="transformer_49_400w_52")
    assert better.shares["transformer"][0] < 0.3 * plain.shares["transformer"][0]
    assert better.delivered[0] > plain.delivered[0]


def test_coil_of_lower_q_takes_more():
    """R = w L / Q: half the Q, twice the ohms in series at the same reactance."""
    high, low = (complex(Coil(inductance_h=20e-6, q=q).impedance_ohm(7.1e6)) for q in (300.0, 150.0))
    assert low.real == pytest.approx(2 * high.real) and low.imag == pytest.approx(high.imag)


def test_tuner_gives_the_radio_fifty_ohms_and_keeps_the_line_loss():
    """A tuner at the radio matches, but the line's standing waves and their loss stay."""
    mismatched = {"line": "cable_rg58", "line_length_m": 20.0, "transformer": None, "impedance_ratio": None}
    load = np.array([300 + 0j])
    bare = look(FREQ_HZ, load, Feed(**mismatched))
    tuned = look(FREQ_HZ, load, Feed(**mismatched, tuner="tuner_l_400w"))
    assert bare.swr_radio[0] > 3 and tuned.swr_radio[0] == pytest.approx(1.0)
    assert tuned.swr_line[0] == bare.swr_line[0]
    assert tuned.shares["line"][0] == pytest.approx(bare.shares["line"][0] * (1 - tuned.shares["tuner"][0]))


def test_bench_lists_what_the_design_has():
    loads = [Load(wire="main", at_m=3.0, element=e) for e in (
        Coil(inductance_h=34e-6, q=300.0, stray_f=2e-12), Trap(inductance_h=5e-6, capacitance_f=25e-12, q=150.0), FixedImpedance(ohm=5.0),
        Coil(inductance_h=34e-6, q=300.0, stray_f=2e-12),
    )]  # fmt: skip
    feed = Feed(**PLAIN, choke="choke_ft240_31_12t", tuner="tuner_l_100w")
    parts = answers_of(feed, loads)
    assert list(parts) == ["tuner", "line", "choke", "transformer", "load 1", "load 2"]
    assert parts["load 1"].inductance_h == 34e-6
    assert parts["load 2"].resonance_hz == pytest.approx(14.2353e6, rel=5e-4)  # P3-129
    assert set(sheets_of(feed, loads)) == {"line", "choke", "transformer", "load 1", "load 2"}
