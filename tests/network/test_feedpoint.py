"""The budget, the tuner and the radio, against closed forms and each other. Sources beside the checks."""

import math
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.errors import InputError
from optimizer.families.design import Feed
from optimizer.parts.choke import choke
from optimizer.network.feedpoint import look
from optimizer.network.radio import accepted_share, power_share
from optimizer.network.tuner import Tuner, match, tuner
from optimizer.network.twoport import carried_back, cascade, series, shunt
from optimizer.parts.catalogue import keys

resistances = st.floats(5.0, 6000.0)
reactances = st.floats(-4000.0, 4000.0)


@settings(max_examples=60, deadline=None)
@given(
    r=resistances, x=reactances, line=st.sampled_from(keys("cable_")), length=st.floats(0.5, 60.0),
    transformer=st.sampled_from((None, *keys("transformer_"))), box=st.sampled_from((None, *keys("tuner_"))),
)  # fmt: skip
def test_shares_and_delivered_are_the_whole(r, x, line, length, transformer, box):
    freq = np.array([1.9e6, 7.1e6, 28.5e6])
    found = look(freq, np.full(3, complex(r, x)), Feed(line=line, line_length_m=length, transformer=transformer, tuner=box))
    parts = list(found.shares.values())
    np.testing.assert_allclose(sum(parts) + found.delivered, 1.0, atol=1e-12)
    assert all((p >= -1e-12).all() for p in parts) and (found.delivered > 0).all()
    assert (found.swr_radio >= 1.0 - 1e-9).all()


@settings(max_examples=80, deadline=None)
@given(r=resistances, x=reactances, mhz=st.floats(1.8, 54.0), any_arrangement=st.booleans())
def test_tuner_matches_by_its_own_elements(r, x, mhz, any_arrangement):
    """Put the found coil and capacitor, losses and all, into a chain: the input is 50 ohm, and the loss is as told."""
    box = Tuner(key="any", inductance_max_h=60e-6, capacitance_max_f=5e-9, coil_q=120, capacitor_q=900, any_arrangement=any_arrangement)
    found = match(box, np.array([mhz * 1e6]), np.array([complex(r, x)]))
    if not found.matched[0]:
        assert found.z_in_ohm[0] == complex(r, x) and found.delivered[0] == 1.0
        return
    zs, yp = found.series_ohm[0], found.shunt_siemens[0]
    z = abs(zs) * (1j * np.sign(zs) + (1 / 120 if zs > 0 else 1 / 900))
    y = abs(yp) * (1j * np.sign(yp) + (1 / 900 if yp > 0 else 1 / 120))
    first, second = (series(np.array([z])), shunt(np.array([y])))
    chain = cascade(first, second) if found.shunt_at_load[0] else cascade(second, first)
    seen, share = carried_back(chain, np.array([complex(r, x)]))
    assert seen[0] == pytest.approx(50.0, rel=1e-6)
    assert share[0] == pytest.approx(found.delivered[0], rel=1e-6)


def test_tuner_loss_of_a_simple_step():
    """50 to 200 ohm: network Q is root 3 (P4-043), so coil loss is about Q/Qcoil and the capacitor's Q/Qcap."""
    box = Tuner(key="any", inductance_max_h=1e-4, capacitance_max_f=1e-8, coil_q=200, capacitor_q=2000)
    found = match(box, np.array([7.1e6]), np.array([200 + 0j]))
    assert 1 - found.delivered[0] == pytest.approx(math.sqrt(3) * (1 / 200 + 1 / 2000), rel=0.02)


def test_tuner_says_when_it_cannot():
    built_in = tuner("tuner_in_radio")
    found = match(built_in, np.array([7.1e6, 7.1e6]), np.array([2450 + 0j, 100 + 0j]))
    assert list(found.matched) == [False, True]


@pytest.mark.parametrize("short", [{"inductance_max_h": 3.8e-6}, {"capacitance_max_f": 31e-12}, {"swr_max": 40.0}])
def test_tuner_keeps_within_its_parts(short):
    """50 to 2450 ohm at 14.15 MHz takes 3.896 uH and 31.8 pF (P4-042) at SWR 49: a little less of any is not enough."""
    enough = {"inductance_max_h": 3.95e-6, "capacitance_max_f": 32.5e-12, "swr_max": 50.0}
    for box, possible in ((enough, True), ({**enough, **short}, False)):
        found = match(Tuner(key="any", coil_q=1e6, capacitor_q=1e6, **box), np.array([14.15e6]), np.array([2450 + 0j]))
        assert found.matched[0] == possible


def test_unmatched_look_keeps_the_bare_swr():
    feed = Feed(line="cable_rg58", line_length_m=10.0, tuner="tuner_in_radio")
    bare = look(np.array([7.1e6]), np.array([900 + 0j]), Feed(line="cable_rg58", line_length_m=10.0))
    tuned = look(np.array([7.1e6]), np.array([900 + 0j]), feed)
    assert not tuned.tuned[0] and tuned.swr_radio[0] == bare.swr_radio[0] > 3.0


def test_compensation_lowers_swr_on_the_highest_band():
    """Common practice, no source: 100 pF across the primary of a 49:1 is there for the high bands."""
    freq, load = np.array([28.5e6]), np.array([2450 + 0j])
    with_c, without = (
        look(freq, load, Feed(line="cable_rg213", line_length_m=0.1, transformer="transformer_49_100w", compensation_f=c)).swr_radio[0]
        for c in (100e-12, 1e-15)
    )
    assert with_c < without


def test_choke_resonates_with_its_stray():
    """Above self-resonance a choke falls with its stray: |Z| at 54 MHz below the peak, and below 1/(w C)·1.5."""
    c = choke("choke_ft240_31_12t")
    freq = np.geomspace(1e6, 54e6, 60)
    z = np.abs(c.impedance_ohm(freq))
    assert z.max() > z[-1] and z[-1] < 1.5 / (2 * math.pi * 54e6 * c.stray_f)


def test_fold_back():
    """By hand: at SWR 3 against a limit of 2 the reflection is 1/2 against 1/3, so (2/3)^2 of the power."""
    assert power_share(3.0, 2.0) == pytest.approx(4 / 9)
    assert power_share(1.9, 2.0) == 1.0
    assert accepted_share(3.0, 2.0) == pytest.approx(4 / 9 * 3 / 4)
    assert power_share(np.inf, 2.0) == pytest.approx(1 / 9)


@pytest.mark.parametrize("field", ["line", "transformer", "tuner"])
def test_unknown_part_is_bad_input(field):
    feed = Feed(**{"line": "cable_rg58", "line_length_m": 10.0, field: "no_such_part"})
    with pytest.raises(InputError, match="no_such_part"):
        look(np.array([7.1e6]), np.array([50 + 0j]), feed)


def test_look_is_cheap():
    """Ten frequencies through line and transformer; a fifth of a millisecond leaves room for a busy machine."""
    freq, z = np.linspace(7e6, 7.2e6, 10), np.full(10, 2600 - 300j)
    feed = Feed(line="cable_rg58", line_length_m=15.0, transformer="transformer_49_100w")
    look(freq, z, feed)
    best = min(_timed(lambda: look(freq, z, feed)) for _ in range(5))
    assert best < 0.2e-3


def _timed(call, times=50):
    start = time.perf_counter()
    for _ in range(times):
        call()
    return (time.perf_counter() - start) / times
