"""Wish lists: the one-line form, the file, and every fault. The contract is the source of the keys and defaults."""

from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.errors import InputError
from optimizer.physics.wish_reader import read_wishes
from optimizer.physics.wishes import WishList

HERE = SimpleNamespace(itu_region=1, country=None)


def faults(text, site=HERE, **overrides):
    with pytest.raises(InputError) as caught:
        read_wishes(text, site, **overrides)
    return caught.value.faults


def test_the_contracts_line():
    wishes = read_wishes("40m:digital*2 20m 10m:voice", HERE)
    forty, twenty, ten = wishes.bands
    assert (forty.key, forty.segment, forty.weight, forty.contacts, forty.bearing_deg) == (
        "40m",
        "digital",
        2.0,
        "both",
        None,
    )
    assert (twenty.segment, twenty.low_hz, twenty.high_hz, twenty.weight) == ("all", 14.0e6, 14.35e6, 1.0)
    assert ten.segment == "voice" and 28.0e6 < ten.low_hz < ten.high_hz <= 29.7e6
    assert (wishes.swr_limit, wishes.tuner, wishes.budget, wishes.mast_limit_m) == (2.0, "none", None, None)


def test_marks_in_any_order_commas_and_capitals():
    (a, b, c) = read_wishes("40M:Morse@far*3@270, 20m@45@near,10m*.5", HERE).bands
    assert (a.weight, a.contacts, a.bearing_deg, a.segment) == (3.0, "far", 270.0, "morse")
    assert (b.weight, b.contacts, b.bearing_deg) == (1.0, "near", 45.0)
    assert c.weight == 0.5


def test_two_frequencies_and_a_band_named_twice():
    a, b, c = read_wishes("40m:7.05-7.1 20m 40m:voice", HERE).bands
    assert (a.key, a.segment, a.low_hz, a.high_hz) == ("40m", "custom", 7.05e6, 7.1e6)
    assert (b.key, c.key, c.band) == ("20m", "40m-2", "40m")


@pytest.mark.parametrize(
    ("line", "value", "says"),
    [
        ("40m:digtal", "digtal", "did you mean digital?"),
        ("20", "20", "did you mean 20m?"),
        ("31m", "31m", "160m"),
        ("30m:voice", "voice", "a segment of 30m"),
        ("40m:7.05-7.4", "7.05-7.4", "7-7.2 MHz"),
        ("40m:6.9-7.1", "6.9-7.1", "7-7.2 MHz"),
        ("40m:7050-7060", "7050-7060", "frequencies are in MHz"),
        ("40m:7.1-7.05", "7.1-7.05", "lower frequency first"),
        ("40m:7.1", "7.1", "two frequencies"),
        ("40m*0", "40m*0", "WEIGHT above 0"),
        ("40m*", "40m*", "WEIGHT above 0"),
        ("40m*x", "40m*x", "WEIGHT above 0"),
        ("40m*1e3", "40m*1e3", "WEIGHT above 0"),
        ("40m@400", "40m@400", "BEARING"),
        ("40m@close", "40m@close", "@near"),
        ("40m@far@near", "40m@far@near", "one contacts"),
        ("40m:", "", "morse"),
        (":voice", "", "one of"),
        ("", "", "at least one band"),
        (" , ", " , ", "at least one band"),
    ],
)
def test_a_bad_line_names_value_and_what_is_allowed(line, value, says):
    (fault,) = faults(line)
    assert (fault.source, fault.field, fault.value) == ("option", "--bands", value)
    assert says in str(fault)


def test_every_fault_at_once_options_included():
    found = faults("41m 40m:x 20m*-1", budget=-1, mast_limit_m=float("nan"), swr_limit=1, tuner="auto", powr_w=5)
    assert [f.field for f in found].count("--bands") == 3
    assert {"--budget", "--mast-m", "--swr-limit", "--tuner", "--powr-w"} <= {f.field for f in found}


def test_the_allocation_of_region_and_country_decides():
    us = SimpleNamespace(itu_region=2, country="US")
    assert read_wishes("40m:7.25-7.3", us).bands[0].high_hz == 7.3e6
    assert faults("40m:7.25-7.3")
    japan = SimpleNamespace(itu_region=3, country="JP")
    assert "allocated here" in str(faults("60m", japan)[0])


FILE = """
power_w = 50
mode_duty = 1.0
transmit_share = 0.25
swr_limit = 3
tuner = "external"
budget = 80.0
mast_limit_m = 7
station = "battery"
[[band]]
band = "40m"
segment = [7.05, 7.1]
weight = 2
contacts = "near"
[[band]]
band = "20m"
bearing_deg = 270
[on_hand]
wire_green = 25.5
"""


@pytest.fixture
def wish_file(tmp_path):
    def write(text):
        (tmp_path / "wish.toml").write_text(text)
        return tmp_path / "wish.toml"

    return write


def test_a_file_holds_everything(wish_file):
    w = read_wishes(wish_file(FILE), HERE)
    assert (w.power_w, w.mode_duty, w.transmit_share, w.swr_limit) == (50.0, 1.0, 0.25, 3.0)
    assert (w.tuner, w.budget, w.mast_limit_m, w.station) == ("external", 80.0, 7.0, "battery")
    assert w.on_hand == (("wire_green", 25.5),)
    assert (w.bands[0].low_hz, w.bands[0].weight, w.bands[0].contacts) == (7.05e6, 2.0, "near")
    assert (w.bands[1].segment, w.bands[1].bearing_deg) == ("all", 270.0)


def test_stock_may_be_in_pieces(wish_file):
    w = read_wishes(wish_file("bands = '40m'\n[on_hand]\ncable_rg58 = [12, 8]\nplug_pl259 = 2"), HERE)
    assert w.on_hand == (("cable_rg58", 12.0), ("cable_rg58", 8.0), ("plug_pl259", 2.0))


def test_options_win_over_the_file_and_none_is_not_given(wish_file):
    w = read_wishes(str(wish_file(FILE)), HERE, budget=60, mast_limit_m=None)
    assert (w.budget, w.mast_limit_m) == (60.0, 7.0)


def test_a_file_may_use_the_line(wish_file):
    assert read_wishes(wish_file('bands = "40m*2 20m"\n'), HERE).bands == read_wishes("40m*2 20m", HERE).bands
    assert len(read_wishes(wish_file('bands = ["40m*2", "20m"]\n'), HERE).bands) == 2


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("power_w = true\nbands = '40m'", "power_w"),
        ("mode_duty = 1.5\nbands = '40m'", "mode_duty"),
        ("swr_limit = 1\nbands = '40m'", "swr_limit"),
        ("budgt = 5\nbands = '40m'", "budgt"),
        ("bands = 5", "bands"),
        ("", "bands"),
        ("band = 5", "band"),
        ("band = [5]", "band[0]"),
        ("[[band]]\nsegment = 'all'", "band[0].band"),
        ("[[band]]\nband = '40m'\nsegmnt = 'all'", "band[0].segmnt"),
        ("[[band]]\nband = '40m'\nsegment = [7.1]", "band[0].segment"),
        ("[[band]]\nband = '40m'\nsegment = [7.1, nan]", "band[0].segment"),
        ("[[band]]\nband = '40m'\nsegment = [7.1, 7.9]", "band[0].segment"),
        ("[[band]]\nband = '40m'\nbearing_deg = -5", "band[0].bearing_deg"),
        ("bands = '40m'\n[on_hand]\nx = -1", "on_hand.x"),
        ("bands = '40m'\n[on_hand]\nx = [1, 'two']", "on_hand.x[1]"),
        ("bands = '40m'\n[on_hand]\nx = []", "on_hand.x"),
        ("bands = '40m'\n[prices]\nx = [1, 2]", "prices.x"),
        ("bands = '40m'\non_hand = 4", "on_hand"),
        ("bands = ", "file"),
    ],
)
def test_faults_of_a_file_are_named(wish_file, text, field):
    assert field in {f.field for f in faults(wish_file(text))}


def test_no_such_file():
    assert faults("no/such/wish.toml")[0].field == "file"


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet="0123456789m:*@.- ,nearfodigtlvc" + "é\0", max_size=30))
def test_any_line_gives_wishes_or_faults(line):
    try:
        assert isinstance(read_wishes(line, HERE), WishList)
    except InputError as error:
        assert error.faults
