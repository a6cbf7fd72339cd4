"""The store on PostgreSQL: two servers share one queue, every run is done once. The server is Debian's, started here and ended."""

import os
import shutil
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from conftest import ORDER, TERRACE, is_problem, keep, queue, serving
from running import Server

from optimizer.service import queue as work
from optimizer.service import runs
from optimizer.service.settings import Limits
from optimizer.service.store import Store
from optimizer.service.users import hash_of

pytest.importorskip("psycopg")
PROGRAMS = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
pytestmark = [pytest.mark.slow, pytest.mark.skipif(not PROGRAMS, reason="PostgreSQL is not installed")]


@pytest.fixture(scope="module")
def address():
    """URL of a fresh database, reached by a socket in a folder of its own."""
    programs, folder = PROGRAMS[-1].parent, Path(tempfile.mkdtemp(prefix="lotwire-pg-"))
    as_user = {"user": "postgres"} if os.getuid() == 0 else {}
    if as_user:
        shutil.chown(folder, "postgres")

    def run(*command):
        subprocess.run([programs / command[0], *command[1:]], check=True, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **as_user)

    run("initdb", "-A", "trust", "-U", "lotwire", "-D", folder / "data")
    run("pg_ctl", "-D", folder / "data", "-w", "-o", f"-k {folder} -c listen_addresses=''", "-l", folder / "log", "start")
    try:
        yield f"postgresql+psycopg://lotwire@/postgres?host={folder}"
    finally:
        run("pg_ctl", "-D", folder / "data", "-m", "immediate", "stop")
        shutil.rmtree(folder)


def test_requests_and_hostile_ids(address, tmp_path):
    with serving(tmp_path, store=address) as client:
        site = keep(client, headers={"Idempotency-Key": "k"})
        assert keep(client, headers={"Idempotency-Key": "k"}) == site
        run = queue(client, site)
        assert client.get(f"/api/runs/{run}").json()["place"] == 1
        is_problem(client.get("/api/sites/%00"), 404, "not_found")
        is_problem(client.get("/api/sites", params={"after": "a\x00"}), 422, "bad_input")
        is_problem(client.get("/api/sites/é"), 404, "not_found")
        is_problem(client.post("/api/sites", json={"name": "a\x00", "form": "geojson", "content": TERRACE}), 422, "bad_input")
        assert client.post(f"/api/runs/{run}/cancel").json()["state"] == "stopped"


def test_many_hands_take_each_run_once(address):
    store = Store(address)
    put = {runs.put(store, f"user{i % 5}", "s", ORDER, Limits(), key=None, asked={})["id"] for i in range(40)}
    with ThreadPoolExecutor(8) as hands:
        taken = [t[0] for t in hands.map(lambda _: work.take(store), range(60)) if t]
    store.close()
    assert sorted(taken) == sorted(put)


def test_the_same_creation_sent_at_the_same_moment_is_made_once(address):
    store = Store(address)
    with ThreadPoolExecutor(8) as hands:
        made = list(hands.map(lambda _: runs.put(store, "eve", "s", ORDER, Limits(), key="same", asked={})["id"], range(16)))
    store.close()
    assert len(set(made)) == 1


def test_two_servers_share_one_queue(address, tmp_path):
    tokens = {"LOTWIRE_TOKENS": ",".join(f"{name} {hash_of(name)}" for name in ("ada", "ben")), "LOTWIRE_STORE": address}
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
