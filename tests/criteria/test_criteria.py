"""Criteria against cases worked by hand: 0, 1, one in between, monotony and degenerate shapes."""

import math

import pytest

from optimizer.criteria.cost import budget_margin, thrift
from optimizer.criteria.coverage import covered_share, swr_best_worst
from optimizer.criteria.efficiency import efficiency_worth
from optimizer.criteria.fit import fits, mast_margin_m, worst
from optimizer.criteria.gain import FAR_SCALE_DBI, gain_worth, near_share, on_scale
from optimizer.criteria.handling import handling, mean_change_min, outdoor_min
from optimizer.criteria.reach import reach
from optimizer.criteria.weights import Weights
from optimizer.errors import InputError

V_CURVE = ([7.0e6, 7.1e6, 7.2e6], [3.0, 1.0, 3.0])  # straight lines: SWR 2 at 7.05 and 7.15 MHz, half the band


def test_covered_share_of_a_v_shaped_curve_is_half():
    assert covered_share(*V_CURVE, low_hz=7.0e6, high_hz=7.2e6, swr_limit=2.0) == pytest.approx(0.5)


def test_covered_share_counts_the_part_of_a_segment_inside_one_sample_step():
    # between 7.00 and 7.10 MHz SWR falls from 3 to 1; of 7.02..7.06 the part from 7.05 on is under 2: a quarter
    assert covered_share(*V_CURVE, low_hz=7.02e6, high_hz=7.06e6, swr_limit=2.0) == pytest.approx(0.25)


@pytest.mark.parametrize("limit, share", [(0.9, 0.0), (3.0, 1.0), (1.5, 0.25), (2.5, 0.75)])
def test_covered_share_for_other_radios(limit, share):
    assert covered_share(*V_CURVE, low_hz=7.0e6, high_hz=7.2e6, swr_limit=limit) == pytest.approx(share)


def test_a_segment_without_width_is_covered_or_not():
    assert covered_share(*V_CURVE, low_hz=7.1e6, high_hz=7.1e6, swr_limit=2.0) == 1.0
    assert covered_share(*V_CURVE, low_hz=7.0e6, high_hz=7.0e6, swr_limit=2.0) == 0.0


def test_samples_must_reach_the_edges():
    with pytest.raises(InputError, match="samples from"):
        covered_share(*V_CURVE, low_hz=6.9e6, high_hz=7.2e6, swr_limit=2.0)


def test_best_and_worst_include_the_edges():
    assert swr_best_worst(*V_CURVE, low_hz=7.02e6, high_hz=7.06e6) == pytest.approx((1.8, 2.6))


def test_reach_grows_with_coverage_and_near_misses_stay_below_any_real_cover():
    far_off = reach(covered_share=0.0, swr_best=9.0, swr_worst=20.0, swr_limit=2.0)
    near = reach(covered_share=0.0, swr_best=2.1, swr_worst=3.0, swr_limit=2.0)
    part = reach(covered_share=0.3, swr_best=1.2, swr_worst=9.0, swr_limit=2.0)
    assert 0.0 < far_off < near < 0.15 < part < reach(covered_share=1.0, swr_best=1.0, swr_worst=2.0, swr_limit=2.0) == 1.0


def test_efficiency_is_worth_its_decibels():
    assert efficiency_worth(1.0) == 1.0
    assert efficiency_worth(0.0) == efficiency_worth(0.05) == 0.0
    assert efficiency_worth(0.5) == pytest.approx(1 - 3.0103 / 13, abs=1e-4)


def test_gain_scales_and_kinds_of_contact():
    assert on_scale(FAR_SCALE_DBI[0] - 5, FAR_SCALE_DBI) == 0.0
    assert on_scale(FAR_SCALE_DBI[1] + 5, FAR_SCALE_DBI) == 1.0
    assert gain_worth(gain_near_dbi=7.0, gain_far_dbi=-99.0, contacts="near", freq_hz=7e6) == 1.0
    assert gain_worth(gain_near_dbi=7.0, gain_far_dbi=-99.0, contacts="far", freq_hz=7e6) == 0.0
    assert near_share("both", 28e6) == 0.0 and near_share("both", 3.6e6) == pytest.approx(0.7)


def test_thrift_and_budget_margin():
    assert thrift(0.0, 80.0) == 1.0 and thrift(80.0, 80.0) == 0.0 and thrift(20.0, 80.0) == pytest.approx(0.75)
    assert thrift(200.0, None) == pytest.approx(math.exp(-1))
    assert budget_margin(92.5, 80.0) == -12.5 and budget_margin(1e9, None) == math.inf


def test_hard_limits():
    assert fits({"lot_m": 0.0, "budget": 3.0}) and not fits({"lot_m": 0.2, "budget": -0.01})
    assert worst({"lot_m": 0.2, "budget": -1.0}) == ("budget", -1.0)
    assert mast_margin_m(7.0, 6.5) == -0.5 and mast_margin_m(7.0, None) == math.inf


def test_weights_refuse_nonsense_naming_every_fault():
    with pytest.raises(InputError) as bad:
        Weights(efficiency=0.9, gain=1.2, thrift=-0.1)
    assert {f.field for f in bad.value.faults} == {"gain", "thrift", "efficiency + gain"}


def test_handling_at_nothing_to_do_and_at_too_much():
    assert handling(0.0) == 1.0 and handling(6.0) == handling(30.0) == 0.0
    assert handling(3.0) == pytest.approx(0.5)
    assert outdoor_min("ends", 15.0) == pytest.approx(3.5) and outdoor_min("middle", 30.0) == pytest.approx(7.0)


def test_a_mean_change_by_hand():
    # weights 2, 1, 1: pairs 2, 2, 1 of 5; outside only between the first segment and the others: 4/5 of 5 min, half a minute at every change
    change = mean_change_min([2.0, 1.0, 1.0], ["closed", "open", "open"], outdoor_min=5.0, retune_min=0.5)
    assert change == pytest.approx(4.5)


def test_a_single_band_is_never_changed():
    assert mean_change_min([1.0], ["closed"], outdoor_min=5.0, retune_min=0.5) == 0.0
