"""Judged again from stored work: a smaller budget, a lower mast, other weights. Nothing is solved, and nothing heavy loaded."""

import gc
import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from optimizer.criteria.weights import DEFAULT, Weights, read_weights
from optimizer.errors import InputError
from optimizer.evaluate import COARSE
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import rank_into, rerun, uncollected
from optimizer.search.again import rank_again
from optimizer.search.book import Book
from optimizer.search.ledger import Ledger
from optimizer.search.rank import rank_site
from optimizer.search.reasons import reason_of
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

PATH = Path(__file__).parents[2] / "sites" / "terrace.geojson"
SITE = read_site(PATH)
WISHES = read_wishes("20m 10m:voice", SITE, budget=400.0)


@pytest.fixture(scope="module")
def ranked(tmp_path_factory):
    folder = tmp_path_factory.mktemp("again") / "terrace"
    return rank_into(folder, PATH, SITE, WISHES, SearchSettings(trials=16, seed=3, members=0))


@pytest.fixture()
def nothing_solved(monkeypatch):
    def never(*_, **__):
        raise AssertionError("solved or built something")

    monkeypatch.setattr("optimizer.evaluate.measure", never)
    monkeypatch.setattr("optimizer.evaluate.place", never)


def again(ranked, wishes=WISHES, weights=DEFAULT):
    settings = SearchSettings(members=0, weights=weights, ledger=ranked.folder / "ledger.sqlite")
    return rank_again(SITE, wishes, settings, {"told": "before"})


def test_the_same_wishes_give_the_same_table(ranked, nothing_solved):
    rows = again(ranked).rows
    assert [(r.family, r.values, r.total) for r in rows] == [(r.family, r.values, r.total) for r in ranked.result.rows]


def test_a_smaller_budget_keeps_to_it_and_says_what_it_costs_the_others(ranked, nothing_solved):
    costs = sorted(r.cost for r in ranked.result.rows)
    budget = costs[len(costs) // 2]
    found = again(ranked, replace(WISHES, budget=budget))
    assert found.rows and all(r.cost <= budget and r.fits for r in found.rows)
    gone = {r.family for r in ranked.result.rows} - {r.family for r in found.rows}
    assert gone and all("budget is missed" in found.rejected[f] for f in gone) and found.rejected["told"] == "before"


def taken_over(ranked, wishes):
    """What a book finds and what came nearest, and how many measurements it read for that."""
    with Ledger(ranked.folder / "ledger.sqlite") as ledger:
        book = Book(SITE, wishes, DEFAULT, ledger)
        book.take_over(COARSE, tighter=True)
        read = sum("found" in vars(entry) for entry in ledger.known.values())
    return {key: e.total for key, e in book.found.items()}, {family: reason_of(e) for family, e in book.nearest.items()}, book.taken_over, read


def test_what_costs_too_much_is_told_by_its_price_alone(ranked, monkeypatch):
    """The same is found, and the same came nearest, as where every measurement is read."""
    less = replace(WISHES, budget=sorted(r.cost for r in ranked.result.rows)[1])
    *told, read = taken_over(ranked, less)
    monkeypatch.setattr(Book, "_misses_by_more", lambda *_: False)
    *known, all_read = taken_over(ranked, less)
    assert told == known and told[0] and any("budget is missed" in why for why in told[1].values())
    assert read < all_read == told[2]


def test_every_smaller_budget_finds_its_rows_told(tmp_path, monkeypatch):
    few = SearchSettings(trials=40, seed=2, members=0, rows=2, weights=Weights(thrift=0.0), ledger=tmp_path / "ledger.sqlite")
    budget = max(row.cost for row in rank_site(SITE, WISHES, few).rows)
    monkeypatch.setattr("optimizer.search.book.safety_of", None)  # whoever would solve for it breaks down
    tables = []
    while rows := rank_again(SITE, replace(WISHES, budget=budget - 0.01), few, {}).rows:
        tables.append(rows)
        budget = max(row.cost for row in rows)
    assert len(tables) > 1


def test_the_next_smaller_budget_finds_its_rows_told_even_where_no_time_was_left_to_look_ahead(tmp_path, monkeypatch):
    monkeypatch.setattr("optimizer.search.rank._Run._look_ahead", lambda self: False)
    few = SearchSettings(trials=40, seed=2, members=0, rows=2, weights=Weights(thrift=0.0), ledger=tmp_path / "ledger.sqlite")
    dearest = max(row.cost for row in rank_site(SITE, WISHES, few).rows)
    monkeypatch.setattr("optimizer.search.book.safety_of", None)  # whoever would solve for it breaks down
    assert rank_again(SITE, replace(WISHES, budget=dearest - 0.01), few, {}).rows


def test_thrift_alone_falls_with_the_cost(ranked, nothing_solved):
    weights = Weights(thrift=1.0, handling=0.0)
    for row in again(ranked, weights=weights).rows:  # at full weight: performance times the share of the budget left
        assert row.total == pytest.approx(100.0 * row.score.performance * (1.0 - row.cost / 400.0))


def test_a_lower_mast_drops_what_needs_more(ranked):
    tallest = max(m.height_m for r in ranked.result.rows for m in r.design.structure.masts)
    rows = again(ranked, replace(WISHES, mast_limit_m=tallest - 1.0)).rows
    assert all(m.height_m <= tallest - 1.0 + 1e-6 for r in rows for m in r.design.structure.masts)


def test_weights_go_on_with_the_folder_and_reach_the_reasons(ranked):
    same = lambda site, earlier: earlier  # noqa: E731
    settings = SearchSettings(members=0)
    usual = rerun(ranked.folder, same, settings)
    dear = rerun(ranked.folder, same, settings, weights=Weights(thrift=1.0, efficiency=0.0, gain=0.0, handling=0.0))
    kept = rerun(ranked.folder, same, settings)
    try:
        assert [r.values for r in dear.result.rows] == [r.values for r in kept.result.rows]
        assert json.loads((ranked.folder / "ranked.json").read_text())["settings"]["weights"]["thrift"] == 1.0
        assert list(usual.table["score"]) != list(dear.table["score"]) and list(usual.table["why"]) != list(dear.table["why"])
        assert not any("efficiency" in text or "dBi" in text for text in dear.table["why"])
    finally:
        rerun(ranked.folder, same, settings, weights=DEFAULT)


def test_nothing_heavy_is_loaded(ranked):
    code = (
        "import sys; sys.argv = ['lotwire', 'rerun', sys.argv[1], '--budget', '399']\n"
        "from optimizer import cli\n"
        "try: cli.main()\n"
        "except SystemExit: pass\n"
        "print(sorted({'numba', 'optuna', 'scipy.stats'} & set(sys.modules)))"
    )
    env = {**os.environ, "PYTHONPATH": str(PATH.parents[1])}
    run = subprocess.run([sys.executable, "-c", code, str(ranked.folder)], capture_output=True, text=True, check=True, env=env)
    assert "designs judged" in run.stdout and run.stdout.strip().endswith("[]")


@pytest.mark.parametrize(("text", "named"), [("gain=x", "gain=x"), ("loudness=0.1", "loudness"), ("gain=0.9 efficiency=0.9", "efficiency + gain"), ("gain=-1", "gain")])
def test_weights_that_are_none(text, named):
    with pytest.raises(InputError) as bad:
        read_weights(text)
    assert named in str(bad.value)


def test_weights_from_words():
    assert read_weights("gain=0.5, thrift=0") == replace(DEFAULT, gain=0.5, thrift=0.0)


def test_garbage_is_looked_for_again_after_an_answer_at_once():
    with pytest.raises(ValueError), uncollected():
        assert not gc.isenabled()
        raise ValueError
    assert gc.isenabled()
