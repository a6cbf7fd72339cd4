"""The docs of the families say what the code does."""

from pathlib import Path

import pytest
from family_page import PAGE, page

from optimizer.families.catalogue import FAMILIES

WORDS = (Path(PAGE).parent / "families.md").read_text(encoding="utf-8")


def test_the_page_of_parameters_is_the_one_the_families_make():
    assert PAGE.read_text(encoding="utf-8") == page(), "run python tests/families/family_page.py"


@pytest.mark.parametrize("key", FAMILIES)
def test_every_family_has_its_line_in_the_table_and_one_sentence_for_its_weak_point(key):
    rows = [line for line in WORDS.splitlines() if line.startswith("|") and key in line.split("|")[1]]
    assert rows and len(rows[0].strip("|").split("|")) == 6 and all(cell.strip() for cell in rows[0].strip("|").split("|"))
    weak = FAMILIES[key].weak_point
    assert weak.endswith(".") and ". " not in weak


def test_every_family_stands_on_the_page_s_lot():
    assert "Does not stand there" not in page()
