"""What a row says of a match that only a lossy line makes: by hand, 180 ohm at the end of thin cable."""

import math
from io import StringIO
from types import SimpleNamespace

import pytest
from rich.console import Console

from optimizer.families.design import Feed
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.terminal import _spread, print_ranked
from optimizer.report.words import blocks, hidden_by_line


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


GB, DE = (SimpleNamespace(itu_region=1, country=code, currency="EUR", name="lot", warnings=(), tape_report=None) for code in ("GB", "DE"))


def test_of_a_band_in_blocks_the_one_that_is_judged_is_told():
    """60m in Great Britain as the table of bands has it: eleven blocks, the widest of 12.5 kHz, the next of 10 kHz."""
    assert blocks(read_wishes("60m 40m", GB), GB) == ["60m: 11 blocks with gaps here; 5.362-5.3745 MHz is judged; another is wished as 60m:5.313-5.323"]
    assert blocks(read_wishes("60m:voice", GB), GB)[0].count("5.362-5.366 MHz is judged")
    (wish,) = read_wishes("60m:5.313-5.323", GB).bands  # what the line says is a wish
    assert (wish.low_hz, wish.high_hz) == (5.313e6, 5.323e6)


def test_one_block_and_own_frequencies_need_no_word():
    assert blocks(read_wishes("60m 40m", DE), DE) == [] and blocks(read_wishes("60m:5.313-5.323", GB), GB) == []


def told(*gardens, site=DE, bands="60m"):
    """What the terminal prints of rows judged in so many gardens; not a number: in none."""
    bare = {"design": "wire", "cost": 50.0, "on_front": False, "mast_m": 0.0, "needs": "no mast", "why": "most worth", "trim_moves": 2, "on_target_share": 1.0}
    bare |= {f"60m_{k}{end}": 0.5 for k in ("covered_share", "efficiency", "swr_best", "swr_worst", "gain_near_dbi", "gain_far_dbi") for end in ("", "_low", "_high")}
    rows = [bare | {"rank": i, "score": 70.0 + i, "gardens": n} for i, n in enumerate(gardens, 1)]
    result = SimpleNamespace(rejected={}, note="", tried=9, reused=0, ruled_out=0, elapsed_s=1.0, versions={"program": "1", "solver": "1", "ground": "soil"})
    ranked = SimpleNamespace(site=site, wishes=read_wishes(bands, site), content={"rows": rows}, result=result, folder="out")
    console = Console(width=100, record=True, file=StringIO(), color_system=None)
    print_ranked(ranked, console)
    return console.export_text()


def test_rows_of_the_plan_alone_are_told_apart_by_a_sign_that_is_explained():
    text = told(24.0, math.nan)
    assert " 71.0 " in text and " ~72.0 " in text and text.count("not tried in gardens") == 1
    assert "~" not in told(24.0, 24.0) and "what the others lost" in text and "what the others lost" not in told(math.nan)


def test_the_terminal_tells_the_block():
    assert "5.362-5.3745 MHz is judged" in told(24.0, site=GB) and "MHz is judged" not in told(24.0)
