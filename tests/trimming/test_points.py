"""What SWR at three frequencies tells of a dip narrower than they are apart. The aerials are curves made up here; facts of the trade: common practice, no source."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from test_direction import gardens_of

from optimizer.sheet.units import Units
from optimizer.trimming import advise as advising
from optimizer.trimming.advise import RADIO, Settings, advise
from optimizer.trimming.evidence import POINT_TOP
from optimizer.trimming.log import Reading
from optimizer.trimming.points import CLEAR, is_match, with_dip
from optimizer.trimming.response import X
from optimizer.trimming.words import words_of

LEAST, WIDTH = 1.4, 0.004  # SWR at the dip, and how far off it the SWR is one more
SLOPE = 0.8


def swr_at(log_off):
    return LEAST + (np.asarray(log_off) / WIDTH) ** 2


def narrow(start=0.03, spread=0.004):
    """A wire with a dip of some tens of kilohertz in 7.03 to 7.17 MHz."""
    bank = gardens_of([[SLOPE]], [7.1], start=start, spread=spread)
    sound = {look: replace(r, curve=np.tile(np.log(swr_at(X)), (len(r.dip), 1)), swr=r.swr + np.log(LEAST) * (np.arange(r.swr.shape[1]) == 0)) for look, r in bank.sound.items()}
    return replace(bank, sound=sound)


def points_of(bank, dip_hz):
    wish = bank.case.wish("b0")
    return tuple((f, min(POINT_TOP, round(float(swr_at(np.log(f / dip_hz))), 1))) for f in (wish.low_hz, wish.centre_hz, wish.high_hz))


def reading(bank, dip_hz, shortened_m=0.0):
    return Reading(step=bank.case.names[0], band="b0", points=points_of(bank, dip_hz), shortened_m=shortened_m)


@pytest.mark.parametrize("off", [-0.009, -0.006, 0.0, 0.004, 0.009])
def test_a_dip_met_by_one_frequency_is_found_between_them(off):
    bank = narrow()
    hz = bank.case.wish("b0").centre_hz * np.exp(off)
    told = with_dip(bank.sound["b0", False], np.zeros(1), reading(bank, hz))
    assert not told.points and 0.0 < told.dip_share <= CLEAR
    assert abs(np.log(told.dip_hz / hz)) < 3 * told.dip_share


@pytest.mark.parametrize("levels", [(5.0, 5.0, 5.0), (1.8, 1.4, 1.6), (4.2, 5.0, 5.0)])
def test_readings_that_show_no_dip_or_a_flat_one_stay_what_they_are(levels):
    bank = narrow()
    given = replace(reading(bank, 7.1e6), points=tuple((f, s) for (f, _), s in zip(points_of(bank, 7.1e6), levels)))
    assert with_dip(bank.sound["b0", False], np.zeros(1), given) is given


def follow(bank, off, most=8):
    """Somebody whose wire has its dip so much beside where the gardens have it, who folds and lets out as told: the verdicts, and where the dip is in the end."""
    u, log, moved, verdicts = float(bank.case.start[0]), (), 0.0, []
    for _ in range(most):
        dip = np.exp(bank.ends[0] + off - SLOPE * u)
        log = (*log, reading(bank, dip, moved))
        told = advise(bank, log, Settings(user=RADIO))
        verdicts.append(told.verdict)
        if told.verdict in ("done", "wrong"):
            break
        moved = told.move_m
        u = float(np.log(np.exp(u) - moved / bank.case.finished_m[0]))
    return verdicts, float(np.log(dip) - bank.ends[0])


@pytest.mark.parametrize("off", [-0.026, -0.02, -0.012, 0.0, 0.012, 0.02, 0.026])
def test_a_dip_beside_the_band_is_looked_for_and_trimmed(off):
    verdicts, left = follow(narrow(), off)
    assert verdicts[-1] == "done" and abs(left) < 0.006


def test_looking_on_both_sides_without_a_dip_ends_in_an_alarm():
    verdicts, _ = follow(narrow(), 0.3)
    assert verdicts[-1] == "wrong" and "done" not in verdicts and len(verdicts) <= 5


@pytest.mark.parametrize("dip_mhz, verdict", [(7.1, "done"), (6.8, "wrong")])
def test_readings_that_match_are_not_doubted(dip_mhz, verdict, monkeypatch):
    """Whatever fault is likely from how it came about: what shows a match everywhere is done."""
    bank = narrow(start=0.0)
    bank = replace(bank, faulty=((None, None),))
    monkeypatch.setattr(advising, "suspicions", lambda bank, log: (0.01, ()))
    assert advise(bank, (reading(bank, 1e6 * dip_mhz),), Settings(user=RADIO)).verdict == verdict


def test_the_end_of_the_scale_is_no_match_however_poor_one_is_expected():
    """A dip of 3.4 with half as much again is beyond what the meter shows: readings at its end tell nothing."""
    bank = narrow(start=0.0)
    response, ones = bank.sound["b0", False], np.full(len(bank.final), 1 / len(bank.final))
    poor = replace(response, swr=response.swr * (np.log(3.4) / np.log(LEAST)))
    dead, met = (replace(reading(bank, 7.1e6), points=tuple((f, s) for (f, _), s in zip(points_of(bank, 7.1e6), levels))) for levels in ((5.0, 9.0, 5.0), (5.0, 3.8, 5.0)))
    assert not is_match(poor, ones, np.zeros(1), dead, 2.0) and is_match(poor, ones, np.zeros(1), met, 2.0)


@pytest.mark.parametrize("levels, shorter", [((3.4, 5.0, 5.0), True), ((5.0, 5.0, 3.4), False), ((5.0, 5.0, 5.0), False), ((4.5, 4.5, 4.5), False)])
def test_it_is_looked_for_on_the_side_that_reads_lower_else_by_letting_out(levels, shorter):
    bank = narrow()
    folded_m = float(bank.case.finished_m[0] * np.expm1(bank.case.start[0]))
    there = replace(reading(bank, 7.1e6, folded_m), points=tuple((f, s) for (f, _), s in zip(points_of(bank, 7.1e6), levels)))
    told = advise(bank, (there,), Settings(user=RADIO))
    assert told.seeking and (told.move_m > 0) == shorter


@pytest.mark.parametrize(
    "levels, side", [((3.4, 5.0, 5.0), "below them"), ((5.0, 5.0, 3.4), "above them"), ((5.0, 5.0, 5.0), "not known"), ((5.0, 9.0, 6.0), "not known")]
)
def test_the_side_is_told_where_the_readings_show_it(levels, side):
    bank = narrow()
    points = tuple((f, s) for (f, _), s in zip(points_of(bank, 7.1e6), levels))
    there = replace(reading(bank, 7.1e6, float(bank.case.finished_m[0] * np.expm1(bank.case.start[0]))), points=points)
    settings = Settings(user=RADIO)
    told = advise(bank, (there,), settings)
    step = SimpleNamespace(parameter=told.step, band="b0", element="legs, both alike")
    case = SimpleNamespace(steps=(SimpleNamespace(step=step, start_m=10.0),), index=bank.case.index, wish=bank.case.wish)
    assert side in words_of(case, told, settings, Units(), there).splitlines()[0]


def test_where_a_dip_is_not_expected_yet_nothing_is_looked_for():
    """As cut, the dip lies below the band: that is why it was cut so long."""
    bank = narrow()
    first = replace(reading(bank, 6.9e6), points=tuple((f, POINT_TOP) for f, _ in points_of(bank, 7.1e6)))
    told = advise(bank, (first,), Settings(user=RADIO))
    assert told.verdict == "fold" and not told.seeking
