"""A rerun with another tuner, make of parts, station or power: every row is one that such wishes would offer, and it says what was changed."""

from dataclasses import replace
from pathlib import Path

import pytest

from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import rank_into, rerun
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

PATH = Path(__file__).parents[2] / "sites" / "terrace.geojson"
SITE = read_site(PATH)
FEW = SearchSettings(trials=16, seed=3, members=0)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Ranked without a tuner on three bands, own-wound."""
    found = tmp_path_factory.mktemp("wishes") / "terrace"
    rank_into(found, PATH, SITE, read_wishes("40m 20m 15m", SITE), FEW)
    return found


def changed(folder, settings=FEW, **wishes):
    return rerun(folder, lambda site, earlier: replace(earlier, **wishes), settings)


def wires(row):
    return row.family, row.design.structure.masts


@pytest.mark.parametrize("settings", [FEW, replace(FEW, trials=None, seconds=6.0)], ids=["replayed", "gone on"])
def test_a_tuner_of_the_radio_is_used_by_every_row_and_taken_away_again(folder, settings):
    tuned = changed(folder, settings, tuner="radio")
    assert tuned.result.rows and {row.design.feed.tuner for row in tuned.result.rows} == {"tuner_in_radio"}
    assert tuned.wishes_changed == ("tuner: none → radio",)
    without = changed(folder, settings, tuner="none")
    assert without.result.rows and {row.design.feed.tuner for row in without.result.rows} == {None}
    assert without.wishes_changed == ("tuner: radio → none",)


def test_the_earlier_tables_best_is_offered_with_the_tuner_of_today(folder):
    """Its wires hang where they hung, and what the radio's tuner covers is no less than what was covered without."""
    before = changed(folder, tuner="none").result.rows[0]
    tuned = changed(folder, replace(FEW, trials=1), tuner="radio").result.rows
    same = next(row for row in tuned if wires(row) == wires(before))
    assert all(same.bands[key].covered_share >= band.covered_share - 0.02 for key, band in before.bands.items())
    changed(folder, tuner="none")


def test_bought_parts_are_in_every_row_and_own_wound_ones_again(folder):
    for parts in ("bought", "own"):
        rows = changed(folder, parts=parts).result.rows
        assert rows and {row.values["make"] for row in rows if "make" in row.values} == {parts}


def test_an_external_tuner_is_offered_and_may_be_done_without(folder):
    rows = changed(folder, replace(FEW, trials=None, seconds=8.0), tuner="external").result.rows
    assert {row.design.feed.tuner for row in rows} & {"tuner_l_100w", "tuner_balanced_400w"}
    changed(folder, tuner="none")


def test_power_supply_and_radio_are_judged_by_todays_wishes(folder):
    strong = changed(folder, power_w=400.0, swr_limit=3.0, station="battery", mode_duty=1.0)
    assert strong.wishes_changed == ("power: 100 → 400 W", "mode duty: 0.4 → 1", "swr limit: 2 → 3", "station: mains → battery")
    assert all(limit.most_w >= 400.0 for row in strong.result.rows for limit in row.power_limits)
    changed(folder, power_w=100.0, swr_limit=2.0, station="mains", mode_duty=0.4)
