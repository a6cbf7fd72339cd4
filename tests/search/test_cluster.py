"""Many machines: workers that are separate processes over a socket, a ledger on PostgreSQL, a worker killed mid-run."""

from dataclasses import replace
from pathlib import Path

import pytest
from cluster import Cluster

from optimizer.errors import InputError
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.keys import problem_key
from optimizer.search.ledger import Ledger
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson")
WISHES = read_wishes("20m 10m:voice", SITE)
SETTINGS = SearchSettings(trials=30, seed=3, members=0)


@pytest.mark.slow
def test_a_worker_killed_mid_run_loses_nothing_and_the_next_start_goes_on(tmp_path, postgres_url):
    pytest.importorskip("distributed", reason="no cluster: pip install 'lotwire[cluster]'")
    with Cluster(tmp_path, workers=2) as cluster:
        cluster.ready(2)

        def kill_one(progress):
            if progress.tried >= 6 and cluster.workers[0].poll() is None:
                cluster.workers[0].kill()

        first = rank_site(SITE, WISHES, replace(SETTINGS, cluster=cluster.address, ledger=postgres_url), kill_one)
    assert cluster.workers[0].returncode == -9
    assert first.tried >= SETTINGS.trials and not first.failed and first.rows
    with Ledger(postgres_url) as ledger:
        stored = ledger.load(problem_key(SITE, WISHES))
    assert len({e.key for e in stored if e.storey == "coarse"}) >= SETTINGS.trials - first.reused
    again = rank_site(SITE, WISHES, replace(SETTINGS, trials=1, ledger=postgres_url))
    assert again.rows[0].total >= first.rows[0].total - 1e-9


def test_an_address_where_nobody_answers_is_bad_input(monkeypatch):
    pytest.importorskip("distributed", reason="no cluster: pip install 'lotwire[cluster]'")
    monkeypatch.setattr("optimizer.search.hands.CONNECT_S", 1)
    with pytest.raises(InputError, match="--cluster.*running scheduler"):
        rank_site(SITE, WISHES, replace(SETTINGS, cluster="tcp://127.0.0.1:9"))


def test_a_ledger_on_postgresql_keeps_and_gives_back(postgres_url):
    from test_ledger import entry

    with Ledger(postgres_url) as ledger:
        ledger.add(entry(1, "pg"))
        ledger.commit()
        ledger.add(entry(1, "pg"))
    with Ledger(postgres_url) as ledger:
        assert ledger.load("pg") == (entry(1, "pg"),)
        ledger.forget("pg")
        assert ledger.load("pg") == ()
