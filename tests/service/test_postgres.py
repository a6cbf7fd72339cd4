"""Many machines: two servers share one queue on PostgreSQL, every run is done once; a cluster's workers do the solving."""

import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from running import Server
from service_help import ORDER, TERRACE, is_problem, keep, queue, serving

from optimizer.service import queue as work
from optimizer.service import runs
from optimizer.service.settings import Limits
from optimizer.service.store import Store
from optimizer.service.users import hash_of

pytestmark = pytest.mark.slow
sys.path.insert(0, str(Path(__file__).parents[1] / "search"))


def test_requests_and_hostile_ids(postgres_url, tmp_path):
    with serving(tmp_path, store=postgres_url) as client:
        site = keep(client, headers={"Idempotency-Key": "k"})
        assert keep(client, headers={"Idempotency-Key": "k"}) == site
        run = queue(client, site)
        assert client.get(f"/api/runs/{run}").json()["place"] == 1
        is_problem(client.get("/api/sites/%00"), 404, "not_found")
        is_problem(client.get("/api/sites", params={"after": "a\x00"}), 422, "bad_input")
        is_problem(client.get("/api/sites/é"), 404, "not_found")
        is_problem(client.post("/api/sites", json={"name": "a\x00", "form": "geojson", "content": TERRACE}), 422, "bad_input")
        assert client.post(f"/api/runs/{run}/cancel").json()["state"] == "stopped"


def test_many_hands_take_each_run_once(postgres_url):
    store = Store(postgres_url)
    put = {runs.put(store, f"user{i % 5}", "s", ORDER, Limits(), key=None, asked={})["id"] for i in range(40)}
    with ThreadPoolExecutor(8) as hands:
        taken = [t[0] for t in hands.map(lambda _: work.take(store), range(60)) if t]
    store.close()
    assert sorted(taken) == sorted(put)


def test_the_same_creation_sent_at_the_same_moment_is_made_once(postgres_url):
    store = Store(postgres_url)
    with ThreadPoolExecutor(8) as hands:
        made = list(hands.map(lambda _: runs.put(store, "eve", "s", ORDER, Limits(), key="same", asked={})["id"], range(16)))
    store.close()
    assert len(set(made)) == 1


def test_two_servers_share_one_queue(postgres_url, tmp_path):
    tokens = {"LOTWIRE_TOKENS": ",".join(f"{name} {hash_of(name)}" for name in ("ada", "ben")), "LOTWIRE_STORE": postgres_url}
    options = ("--workers", 1, "--at-once", 1)
    with Server(tmp_path, *options, env=tokens) as one, Server(tmp_path, *options, env=tokens) as two:
        begun = {}
        for name, server in (("ada", one), ("ben", two)):
            site = server.call("POST", "/api/sites", {"name": "lot", "form": "geojson", "content": TERRACE}, name)[1]["id"]
            for seed in (1, 2):
                made = server.call("POST", "/api/runs", {"site": site, "wish": {"bands": "20m"}, "trials": 3, "seed": seed}, name)[1]
                begun[made["id"]] = name
        for run, name in begun.items():
            told = two.wait(run, 600, name)
            assert told["state"] == "done" and two.call("GET", f"/api/runs/{run}/table", token=name)[1]["rows"]
            other = {"ada": "ben", "ben": "ada"}[name]
            assert one.call("GET", f"/api/runs/{run}", token=other)[0] == 404


def test_a_cluster_does_the_solving(tmp_path):
    """Its scheduler has moved tasks when the run is done, though the service itself was given one process."""
    distributed = pytest.importorskip("distributed", reason="no cluster: pip install 'lotwire[cluster]'")
    from cluster import Cluster

    (tmp_path / "cluster").mkdir()
    with Cluster(tmp_path / "cluster", workers=1) as cluster:
        cluster.ready(1)
        with Server(tmp_path / "home", "--workers", 1, "--cluster", cluster.address) as server:
            site = server.call("POST", "/api/sites", {"name": "lot", "form": "geojson", "content": TERRACE})[1]["id"]
            run = server.call("POST", "/api/runs", {"site": site, "wish": {"bands": "20m"}, "trials": 3})[1]["id"]
            told = server.wait(run, 600)
        with distributed.Client(cluster.address, set_as_default=False) as client:
            moved = client.run_on_scheduler(lambda dask_scheduler: dask_scheduler.transition_counter)
    assert told["state"] in ("done", "nothing_fits"), told["result"]
    assert moved > 0
