"""The sheet's files: HTML always, PDF where it can be made."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ..errors import Fault, InputError
from ..report.stale import SHEETS
from .built import read_built
from .content import document
from .html import render
from .pdf import NoPdf, write_pdf
from .units import Units


@dataclass(frozen=True, kw_only=True)
class Written:
    """`pdf`: None where none was made, then `why` says so."""

    html: Path
    pdf: Path | None
    why: str = ""


def write_sheet(folder: Path, rank: int, units: Units, *, html: Path | None = None, pdf: Path | None = None) -> Written:
    """Write the sheet of a design. A PDF that was asked for by name and cannot be made is an error (NoPdf)."""
    page = document(read_built(folder, rank), units)
    html = html or folder / SHEETS / f"{rank}.html"
    try:
        html.parent.mkdir(parents=True, exist_ok=True)
        html.write_text(render(page), encoding="utf-8")
        return _with_pdf(page, html, pdf)
    except OSError as error:
        raise InputError([Fault("sheet", "file", str(html), "a place that can be written", str(error))]) from error


def _with_pdf(page, html: Path, pdf: Path | None) -> Written:
    target = pdf or html.with_suffix(".pdf")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        write_pdf(page, target)
    except NoPdf as missing:
        if pdf is not None:
            raise
        return Written(html=html, pdf=None, why=str(missing))
    return Written(html=html, pdf=target)
