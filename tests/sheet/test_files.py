"""Files and command: HTML always, PDF where its engine is installed."""

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from optimizer.cli import app
from optimizer.sheet import pdf
from optimizer.sheet.units import Units
from optimizer.sheet.write import write_sheet

YARD = Path(__file__).parent / "data" / "yard"


def has_engine() -> bool:
    try:
        pdf.engine()
    except pdf.NoPdf:
        return False
    return True


def test_command_writes_the_page_where_told(tmp_path):
    target = tmp_path / "out" / "one.html"
    done = CliRunner().invoke(app, ["sheet", str(YARD), "1", "--html", str(target)])
    assert done.exit_code == 0 and str(target) in done.output
    assert "Trap dipole" in target.read_text(encoding="utf-8")


@pytest.mark.parametrize("more", [["7"], ["1", "--units", "cubits"]])
def test_bad_input_has_status_two(more, tmp_path):
    assert CliRunner().invoke(app, ["sheet", str(YARD), *more, "--html", str(tmp_path / "x.html")]).exit_code == 2


def test_without_the_engine_the_page_is_still_written(tmp_path, monkeypatch):
    def none():
        raise pdf.NoPdf("no PDF: install lotwire[pdf]")

    monkeypatch.setattr(pdf, "engine", none)
    written = write_sheet(YARD, 2, Units(), html=tmp_path / "two.html")
    assert written.pdf is None and "lotwire[pdf]" in written.why and written.html.exists()
    with pytest.raises(pdf.NoPdf):
        write_sheet(YARD, 2, Units(), html=tmp_path / "two.html", pdf=tmp_path / "two.pdf")


@pytest.mark.skipif(not has_engine(), reason="no PDF engine here (extra lotwire[pdf])")
def test_garden_sides_fill_one_page_each(page, tmp_path):
    printed = pdf._fitted(page, pdf.engine())
    starts = {name: i for i, sheet in enumerate(printed.pages) for name in sheet.anchors}
    assert (starts["where"], starts["work"], starts["what"]) == (0, 1, 2)
    assert pdf.write_pdf(page, tmp_path / "sheet.pdf") >= 4
    assert re.match(rb"%PDF-1\.\d", (tmp_path / "sheet.pdf").read_bytes())
