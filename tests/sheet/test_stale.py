"""A sheet in a results folder is of the design of its rank, or it is gone."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import rank_into, rerun
from optimizer.search.settings import SearchSettings
from optimizer.sheet import pdf
from optimizer.sheet.units import Units
from optimizer.sheet.write import write_sheet
from optimizer.site.read import read_site

PATH = Path(__file__).parents[2] / "sites" / "terrace.geojson"
SITE = read_site(PATH)
FEW = SearchSettings(trials=14, seed=3, members=0)


@pytest.fixture(scope="module")
def ranked(tmp_path_factory):
    return rank_into(tmp_path_factory.mktemp("stale") / "terrace", PATH, SITE, read_wishes("20m 10m:voice", SITE, budget=400.0), FEW)


@pytest.fixture()
def folder(ranked, tmp_path, monkeypatch):
    """The run with the sheets of its first two designs, a PDF beside the second."""

    def none():
        raise pdf.NoPdf("none here")

    monkeypatch.setattr(pdf, "engine", none)
    copy = shutil.copytree(ranked.folder, tmp_path / "terrace")
    for rank in (1, 2):
        write_sheet(copy, rank, Units())
    (copy / "sheets/2.pdf").write_bytes(b"%PDF-1.7")
    return copy


def sheets(folder):
    return sorted(p.name for p in (folder / "sheets").iterdir())


def test_a_sheet_goes_when_another_design_has_its_rank_and_the_run_says_so(ranked, folder):
    first, second = (row.cost for row in ranked.result.rows[:2])
    assert first < second
    again = rerun(folder, lambda site, wishes: replace(wishes, budget=second - 0.01), SearchSettings(members=0))
    assert again.sheets_removed == ("sheets/2.html", "sheets/2.pdf") and sheets(folder) == ["1.html"]


def test_sheets_of_designs_that_kept_their_rank_stay(folder):
    again = rerun(folder, lambda site, wishes: wishes, SearchSettings(members=0))
    assert again.sheets_removed == () and sheets(folder) == ["1.html", "2.html", "2.pdf"]


def test_run_on_by_the_same_command_and_a_sheet_of_nobody_knows_which_design(folder):
    (folder / "sheets/2.html").write_text("<html>an older one</html>", encoding="utf-8")
    (folder / "sheets/plan of mine.html").write_text("own", encoding="utf-8")
    again = rank_into(folder, PATH, SITE, read_wishes("20m 10m:voice", SITE, budget=400.0), FEW)
    assert again.sheets_removed == ("sheets/2.html", "sheets/2.pdf") and sheets(folder) == ["1.html", "plan of mine.html"]
