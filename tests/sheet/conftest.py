"""Two filed designs of different families on a demo lot: a trap dipole on a mast, an end-fed wire with a loaded tail."""

from pathlib import Path

import pytest

from optimizer.sheet.built import read_built
from optimizer.sheet.content import document
from optimizer.sheet.html import render
from optimizer.sheet.units import Units

YARD = Path(__file__).parent / "data" / "yard"


@pytest.fixture(scope="session", params=[1, 2], ids=["trap_dipole", "loaded_tail"])
def built(request):
    return read_built(YARD, request.param)


@pytest.fixture(scope="session")
def page(built):
    return document(built, Units())


@pytest.fixture(scope="session")
def html(page):
    return render(page)
