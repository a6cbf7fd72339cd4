"""The whole search on a demo lot: same seed same table, going on, hard limits, and what to say when nothing fits."""

from dataclasses import replace
from pathlib import Path
from threading import Event

import pytest

from optimizer.criteria.fit import fits
from optimizer.criteria.weights import Weights
from optimizer.errors import NothingFits
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.search.variety import alike
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson")
WISHES = read_wishes("20m 10m:voice", SITE)
FEW = SearchSettings(trials=14, workers=1, seed=3)


def figures(result):
    return [(e.family, e.values, e.total) for e in result.rows]


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    ledger = tmp_path_factory.mktemp("run") / "ledger.sqlite"
    return rank_site(SITE, WISHES, replace(FEW, ledger=ledger)), ledger


def test_rows_keep_every_hard_limit_and_fall_in_score(first):
    rows = first[0].rows
    assert len({e.family for e in rows}) >= 3
    assert all(fits(e.margins) and e.storey in ("full", "spread") for e in rows)
    assert [e.total for e in rows] == sorted((e.total for e in rows), reverse=True)
    assert all(0.0 <= e.total <= 100.0 for e in rows)


def test_rows_are_not_copies_of_each_other(first):
    rows = first[0].rows
    assert not any(alike(a, b) for i, a in enumerate(rows) for b in rows[:i])


def test_same_seed_same_table(first):
    assert figures(rank_site(SITE, WISHES, FEW)) == figures(first[0])


def test_another_seed_another_search(first):
    assert figures(rank_site(SITE, WISHES, replace(FEW, seed=4))) != figures(first[0])


def test_going_on_reuses_every_evaluation_and_gives_the_same_table(first):
    again = rank_site(SITE, WISHES, replace(FEW, ledger=first[1]))
    assert again.reused == again.tried == first[0].tried
    assert figures(again) == figures(first[0])


def test_more_trials_on_the_same_ledger_never_lower_the_best(first):
    more = rank_site(SITE, WISHES, replace(FEW, trials=20, ledger=first[1]))
    assert more.reused >= first[0].tried and more.rows[0].total >= first[0].rows[0].total - 1e-9


def test_other_weights_rank_the_stored_figures_again_without_a_search(first):
    wishes = replace(WISHES, budget=400.0)
    at_once = replace(FEW, trials=None, seconds=0.0, ledger=first[1], members=0)
    usual = rank_site(SITE, wishes, at_once)
    thrifty = rank_site(SITE, wishes, replace(at_once, weights=Weights(thrift=1.0, handling=0.0)))
    assert usual.tried == thrifty.tried == 0 and usual.rows and thrifty.rows
    for e in thrifty.rows:  # at full weight the score is performance times the share of the budget left
        assert e.total == pytest.approx(100.0 * e.score.performance * (1.0 - e.cost / 400.0))
    assert figures(usual) != figures(thrifty)


def test_a_budget_below_the_cheapest_names_what_more_it_takes():
    with pytest.raises(NothingFits) as nothing:
        rank_site(SITE, replace(WISHES, budget=5.0), FEW)
    assert all("budget" in r or "bands" in r or "missed" in r for r in nothing.value.reasons.values())
    spend = next(t for t in nothing.value.relaxations if "more to spend" in t)
    enough = 5.0 + float(spend.split()[0])
    relaxed = rank_site(SITE, replace(WISHES, budget=enough + 1.0), replace(FEW, trials=10))
    assert relaxed.rows and all(e.cost <= enough + 1.0 for e in relaxed.rows)


def test_stopped_from_the_keyboard_keeps_what_there_is():
    def stop(progress):
        if progress.tried >= 6:
            raise KeyboardInterrupt

    result = rank_site(SITE, WISHES, replace(FEW, trials=500), stop)
    assert result.interrupted and result.rows and result.tried >= 6


def test_a_wish_that_no_wire_of_the_lot_can_serve_says_which_band_to_drop():
    with pytest.raises(NothingFits) as nothing:
        rank_site(SITE, read_wishes("160m", SITE), FEW)
    assert set(nothing.value.reasons) and all(nothing.value.reasons.values())


def test_an_event_from_outside_ends_the_run_with_what_there_is():
    stop, shown = Event(), []

    def note(progress):
        if progress.tried >= 8:
            stop.set()

    result = rank_site(SITE, WISHES, replace(FEW, trials=500), note, stop=stop, show=shown.append)
    assert result.interrupted and result.rows and result.tried == 8
    assert all(r.rows and r.interrupted for r in shown)
    bests = [r.rows[0].total for r in shown] + [result.rows[0].total]
    assert bests == sorted(bests)
