"""The sheet as PDF, where the PDF engine is installed (the extra `lotwire[pdf]`; it needs the system's Pango library).

The text of each garden side is as large as leaves it on one page.
"""

from __future__ import annotations

import logging
from bisect import bisect_left
from dataclasses import replace
from pathlib import Path

from ..errors import LotwireError
from .html import render
from .model import Document

SIZES_PT = (11.5, 11.0, 10.5, 10.0, 9.6, 9.2, 8.8, 8.4, 8.0, 7.6, 7.2)


class NoPdf(LotwireError):
    """The PDF engine is not there."""


def engine():
    """The PDF engine's module. Raises NoPdf with what to do about it."""
    try:
        import weasyprint
    except (ImportError, OSError) as missing:
        raise NoPdf(f"no PDF: install lotwire[pdf] and the Pango library, or print the HTML page ({missing})") from missing
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    logging.getLogger("fontTools").setLevel(logging.ERROR)
    return weasyprint


def write_pdf(document: Document, path: Path) -> int:
    """Write the file; the number of pages. Raises NoPdf."""
    printed = _fitted(document, engine())
    printed.write_pdf(path)
    return len(printed.pages)


def pdf_of(document: Document) -> bytes:
    """The file's bytes. Raises NoPdf."""
    return _fitted(document, engine()).write_pdf()


def _fitted(document: Document, weasyprint):
    """Laid out with the largest text at which every garden side fills one page at most."""
    sizes = {s.key: _size(replace(document, sections=(s,)), weasyprint) for s in document.sections if s.garden}
    return _laid_out(document, sizes, weasyprint)


def _size(side: Document, weasyprint) -> float:
    """Text size of one garden side [points], by halving: what fits at one size fits at every smaller one."""
    key = side.sections[0].key
    at = bisect_left(SIZES_PT[:-1], True, key=lambda pt: len(_laid_out(side, {key: pt}, weasyprint).pages) == 1)
    return SIZES_PT[at]


def _laid_out(document: Document, sizes: dict[str, float], weasyprint):
    return weasyprint.HTML(string=render(document, sizes), url_fetcher=_refuse).render()


def _refuse(url, *_, **__):
    raise ValueError(f"the sheet fetches nothing: {url}")
