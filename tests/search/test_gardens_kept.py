"""Gardens broken off in the middle of a design go on where they were: what was handed in is not computed again."""

from pathlib import Path

import pytest
import sqlalchemy as sa

from optimizer.ensemble.growth import Growth
from optimizer.physics.wish_reader import read_wishes
from optimizer.search import crew
from optimizer.search.ledger import STEPS, Ledger
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson")
WISHES = read_wishes("20m", SITE)
BROKEN_OFF_AT = 5


@pytest.fixture()
def computed(monkeypatch):
    """Steps asked for; the one at `at[0]` is broken off as by Ctrl-C."""
    asked, at, real = [], [None], Growth._next

    def counted(self):
        asked.append(len(self.steps))
        if len(asked) == at[0]:
            raise KeyboardInterrupt
        return real(self)

    monkeypatch.setattr(Growth, "_next", counted)
    monkeypatch.setattr(crew, "SLICE_S", 0.0)  # every step is handed in by itself
    return asked, at


def ranked(path):
    return rank_site(SITE, WISHES, SearchSettings(trials=12, seed=1, rows=1, members=3, ledger=path))


def test_only_what_was_under_way_is_done_again(tmp_path, computed):
    asked, at = computed
    whole = ranked(tmp_path / "whole.sqlite")
    everything = list(asked)
    asked.clear()
    at[0] = BROKEN_OFF_AT
    assert ranked(tmp_path / "broken.sqlite").interrupted
    asked.clear()
    at[0] = None
    again = ranked(tmp_path / "broken.sqlite")
    assert asked == everything[BROKEN_OFF_AT - 1 :]
    assert len(again.rows) == len(whole.rows) == 1 and again.rows[0].settled == pytest.approx(whole.rows[0].settled, rel=1e-8)
    with Ledger(tmp_path / "broken.sqlite") as ledger, ledger.engine.connect() as link:
        assert link.execute(sa.select(sa.func.count()).select_from(STEPS)).scalar() == 0, "steps of what is finished are dropped"
