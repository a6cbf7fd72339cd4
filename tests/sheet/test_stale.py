"""A sheet in a results folder is of the design of its rank, or it is gone; what was measured is never gone."""

import json
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from optimizer.cli import app
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import rank_into, rerun
from optimizer.report.stale import kept_aside
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


def filed(folder, rank):
    return json.loads((folder / f"designs/{rank}.json").read_text(encoding="utf-8"))


def measured_page(folder, rank, swr="2"):
    """What somebody measured on the wire of that rank, as the command keeps it."""
    low = filed(folder, rank)["bands"]["20m"]["case"]["frequencies_mhz"]
    at = " ".join(f"{f:.3f}:{swr}" for f in low)
    done = CliRunner().invoke(app, ["verify", str(folder), str(rank), "--at", at])
    assert done.exit_code == 0, done.output
    return (folder / f"verify/{rank}.html").read_text(encoding="utf-8")


def pages(folder):
    return sorted(p.name for p in (folder / "verify").iterdir())


def test_what_was_measured_on_another_design_is_kept_under_its_own_name_and_says_so(ranked, folder):
    before = [measured_page(folder, rank) for rank in (1, 2)]
    again = rerun(folder, lambda site, wishes: replace(wishes, budget=ranked.result.rows[1].cost - 0.01), SearchSettings(members=0))
    assert again.verify_kept == (("verify/2.html", "verify/2-earlier.html"),) and pages(folder) == ["1.html", "2-earlier.html"]
    assert (folder / "verify/1.html").read_text(encoding="utf-8") == before[0]
    head, note, rest = re.split('(<p class="loud">[^<]*</p>\n)', (folder / "verify/2-earlier.html").read_text(encoding="utf-8"), maxsplit=1)
    assert head + rest == before[1] and "rank 2 has another one now" in note


def test_a_page_of_another_design_is_not_written_over_though_no_run_has_looked(folder):
    """The run was killed before its end: the designs changed places, the pages did not; twice."""
    earlier = []
    for swr in ("2", "3"):
        earlier.append(measured_page(folder, 1, swr))
        one, two = filed(folder, 1), filed(folder, 2)
        for rank, design in ((1, two), (2, one)):
            (folder / f"designs/{rank}.json").write_text(json.dumps(design | {"rank": rank}), encoding="utf-8")
    measured_page(folder, 1, "4")
    assert pages(folder) == ["1-earlier-2.html", "1-earlier.html", "1.html"]
    kept = [(folder / f"verify/1-earlier{n}.html").read_text(encoding="utf-8") for n in ("", "-2")]
    assert [re.sub('<p class="loud">[^<]*</p>\n', "", page) for page in kept] == earlier


@pytest.mark.parametrize("mark", ['<meta name="lotwire-design" content="ab">', ""])
def test_a_page_whose_rank_is_gone_says_so(tmp_path, mark):
    (tmp_path / "verify").mkdir()
    (tmp_path / "verify/7.html").write_text(f"{mark}<body>\nread", encoding="utf-8")
    ((_, now),) = kept_aside(tmp_path, [])
    assert "rank 7 has none now" in (tmp_path / now).read_text(encoding="utf-8")


def test_a_page_of_an_earlier_version_and_files_of_the_user_are_kept(ranked, folder):
    (folder / "verify").mkdir()
    for name, content in (("1.html", b"<body>\nan older page"), ("2.html", b"\xff\xfe"), ("1.s1p", b"! a sweep"), ("notes.html", b"own")):
        (folder / "verify" / name).write_bytes(content)
    rerun(folder, lambda site, wishes: wishes, SearchSettings(members=0))
    assert pages(folder) == ["1-earlier.html", "1.s1p", "2-earlier.html", "notes.html"]
    assert (folder / "verify/2-earlier.html").read_bytes() == b"\xff\xfe" and (folder / "verify/1-earlier.html").read_bytes().endswith(b"an older page")


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
