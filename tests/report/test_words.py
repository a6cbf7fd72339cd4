"""What a row says of a match that only a lossy line makes: by hand, 180 ohm at the end of thin cable."""

from types import SimpleNamespace

import pytest

from optimizer.families.design import Feed
from optimizer.report.terminal import _spread
from optimizer.report.words import hidden_by_line


def row(line_m, ohm, **more):
    feed = Feed(line="cable_rg58", line_length_m=line_m, **more)
    band = SimpleNamespace(solved_hz=(28.0e6, 28.5e6), solved_ohm=((50.0, 0.0), (ohm, 0.0)))
    return SimpleNamespace(design=SimpleNamespace(feed=feed), bands={"10m": band})


def test_a_bad_match_behind_much_thin_cable_is_told_with_its_true_swr():
    assert hidden_by_line(row(40.0, 180.0)) == {"10m": pytest.approx(3.6)}  # 180 / 50


@pytest.mark.parametrize(("line_m", "ohm"), [(2.0, 180.0), (40.0, 90.0), (40.0, 2000.0)], ids=["seen at the radio", "no bad match", "seen for all the cable"])
def test_what_the_radio_sees_for_itself_or_is_no_bad_match_is_not(line_m, ohm):
    assert hidden_by_line(row(line_m, ohm)) == {}


def test_a_tuner_makes_the_match_not_the_line():
    assert hidden_by_line(row(40.0, 180.0, tuner="tuner_l_100w")) == {}


@pytest.mark.parametrize(("low", "high", "told"), [(0.995, 1.0, "100 %"), (0.2, 0.31, "20-31 %"), (0.6, 0.6, "60 %")])
def test_a_spread_whose_ends_read_alike_is_one_figure(low, high, told):
    row = {"gardens": 24, "trim_moves": 2, "on_target_share": 1.0}
    row |= {f"40m_{figure}{end}": share for figure in ("covered_share", "efficiency") for end, share in (("_low", low), ("_high", high))}
    assert f"40m {told} covered, {told} to the sky" in _spread(row, ["40m"])
