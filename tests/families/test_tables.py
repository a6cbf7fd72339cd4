"""Six lots of our own drawing, a courtyard to a large garden, flats with a balcony rail as the only support: each table offers at least three sensible kinds of wire."""

import sys
from pathlib import Path

import pytest

sys.path.append(str(Path(__file__).parents[1] / "bench"))  # at the end: there is another `lots` there
from bench_tables import WISHED, table

from optimizer.search.settings import SearchSettings

PAGE = (Path(__file__).parents[2] / "optimizer" / "docs" / "families_tables.md").read_text(encoding="utf-8")


@pytest.mark.slow
@pytest.mark.parametrize("name", WISHED)
def test_at_least_three_families_score_half_the_best_or_more(name):
    found = table(name, SearchSettings(trials=25, members=0))
    assert len(found.sensible) >= 3, [(r.family, round(r.total, 1)) for r in found.rows]
    assert all(min(row.margins.values()) >= 0 for row in found.rows)


@pytest.mark.parametrize("name", WISHED)
def test_the_page_shows_every_lot_with_three_sensible_families(name):
    part = PAGE.split(f"## {name}: ")[1].split("\n## ")[0]
    count = next(int(s.split()[0]) for s in part.replace("\n", " ").split(". ") if "families score half the best" in s)
    rows = [line for line in part.splitlines() if line[:3] in ("| 1", "| 2", "| 3")]
    assert count >= 3 and len(rows) == 3
