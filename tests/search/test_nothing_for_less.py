"""A rerun whose budget buys nothing: what stored work would cost is told, and the folder keeps its last table."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from optimizer.errors import NothingFits
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import rank_into, rerun
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

PATH = Path(__file__).parents[2] / "sites" / "terrace.geojson"
SITE = read_site(PATH)
FEW = SearchSettings(trials=14, seed=3, members=0)


@pytest.fixture(scope="module")
def ranked(tmp_path_factory):
    return rank_into(tmp_path_factory.mktemp("less") / "terrace", PATH, SITE, read_wishes("20m 10m:voice", SITE, budget=400.0), FEW)


@pytest.fixture(scope="module")
def nothing(ranked):
    """The error of a rerun for a third of what the cheapest costs, with hardly any time."""
    with pytest.raises(NothingFits) as found:
        rerun(ranked.folder, lambda site, wishes: replace(wishes, budget=cheapest(ranked) / 3), SearchSettings(seconds=0.5, members=0))
    return found.value


def files(folder):
    return [p for p in folder.rglob("*") if p.is_file() and "ledger" not in p.name]


def cheapest(ranked):
    return min(row.cost for row in ranked.result.rows)


def test_what_is_stored_and_only_costs_too_much_is_never_called_untried(ranked, nothing):
    for row in ranked.result.rows:
        missed = re.match(r"budget is missed by ([0-9.]+) in the site's currency", nothing.reasons[row.family])
        assert missed and float(missed[1]) <= row.cost - cheapest(ranked) / 3 + 0.01


def test_no_more_money_is_asked_for_than_the_cheapest_stored_design_takes(ranked, nothing):
    more = next(float(text.split()[0]) for text in nothing.relaxations if "more to spend" in text)
    assert 0 < more <= cheapest(ranked) - cheapest(ranked) / 3 + 0.005
    enough = cheapest(ranked) / 3 + more + 0.01
    rows = rerun(ranked.folder, lambda site, wishes: replace(wishes, budget=enough), SearchSettings(members=0)).result.rows
    assert rows and all(row.cost <= enough for row in rows)


def test_the_folder_keeps_its_last_table_and_says_so(ranked, nothing):
    held = {p: p.read_bytes() for p in files(ranked.folder)}
    with pytest.raises(NothingFits) as again:
        rerun(ranked.folder, lambda site, wishes: replace(wishes, budget=1.0), SearchSettings(seconds=0.5, members=0))
    assert {p: p.read_bytes() for p in files(ranked.folder)} == held
    for found in (nothing, again.value):
        assert "left as it was" in found.note and str(ranked.folder) in found.note
