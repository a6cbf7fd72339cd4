"""Files and command: HTML always, PDF where its engine is installed."""

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from optimizer.cli import app
from optimizer.sheet import pdf
from optimizer.sheet.html import render
from optimizer.sheet.model import Figures
from optimizer.sheet.units import Units
from optimizer.sheet.write import write_sheet

YARD = Path(__file__).parent / "data" / "yard"


def has_engine() -> bool:
    try:
        pdf.engine()
    except pdf.NoPdf:
        return False
    return True


needs_engine = pytest.mark.skipif(not has_engine(), reason="no PDF engine here (extra lotwire[pdf])")


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


@pytest.fixture(scope="module")
def printed(page):
    """The sheet laid out on paper."""
    return pdf._fitted(page, pdf.engine())


def drawings(printed):
    """(page, x, y, width, height) of every drawing on paper [CSS pixels]."""
    boxes = [(i, b) for i, sheet in enumerate(printed.pages) for b in sheet._page_box.descendants() if str(b.element_tag).endswith("svg")]
    return [(i, b.position_x, b.position_y, b.width, b.height) for i, b in boxes]


@needs_engine
def test_no_drawing_is_lost_cut_or_shrunk_on_paper(page, printed):
    """Drawings of the annex at their own size, those of the garden sides as large as their side lets them; all within the margins of their page."""
    own = [tuple(map(float, size)) for size in re.findall(r'<svg [^>]* width="(\d+)" height="(\d+)"', render(page))]
    found = drawings(printed)
    assert len(found) == len(own)
    for (i, x, y, width, height), size in zip(found, own):
        assert (width, height) == pytest.approx(size, abs=0.01) or i < 2 and width > 0.6 * size[0]
        box = printed.pages[i]._page_box
        left, top = box.content_box_x(), box.content_box_y()
        assert left <= x and x + width <= left + box.width + 0.01 and top <= y and y + height <= top + box.height + 0.01


@needs_engine
def test_three_bands_stand_abreast_and_the_sheet_is_ten_pages(page, printed):
    """Sky and shares of power take a band a column: in pairs, and one below the other, the sheet was eleven pages, half of their width bare."""
    bands = len(page_bands(page))
    rows = {}
    for i, _, y, width, _ in drawings(printed):
        rows.setdefault((i, round(y), width), []).append(width)
    assert bands == 3 and sorted(len(row) for row in rows.values() if row[0] < 250.0) == [3, 3, 3]
    assert len(printed.pages) <= 10


def page_bands(page):
    """Bands of the drawings of the sky."""
    sky = next(s for s in page.sections if s.key == "sky")
    return next(b for b in sky.blocks if isinstance(b, Figures)).figures


@needs_engine
def test_garden_sides_fill_one_page_each(page, printed, tmp_path):
    starts = {name: i for i, sheet in enumerate(printed.pages) for name in sheet.anchors}
    assert (starts["where"], starts["work"], starts["what"]) == (0, 1, 2)
    assert pdf.write_pdf(page, tmp_path / "sheet.pdf") >= 4
    assert re.match(rb"%PDF-1\.\d", (tmp_path / "sheet.pdf").read_bytes())
