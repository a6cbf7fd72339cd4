"""The service as a user starts it: a run from the lot to the sheet, cancelled within a second, killed and gone on."""

import os
import signal
import sqlite3
import time

import pytest
from running import Server, until
from service_help import TERRACE, YARD

pytestmark = pytest.mark.skipif(not os.path.isdir("/proc/self/task"), reason="looks for worker processes in /proc")


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    with Server(tmp_path_factory.mktemp("service"), "--workers", 1, "--at-once", 1) as server:
        yield server


@pytest.fixture(scope="module")
def site(server):
    return kept(server)


def kept(server, token=None):
    return server.call("POST", "/api/sites", {"name": "terrace", "form": "geojson", "content": TERRACE}, token)[1]["id"]


def begun(server, site, token=None, **more):
    status, made = server.call("POST", "/api/runs", {"site": site, "wish": {"bands": "20m 10m:voice"}, **more}, token)
    assert status == 202, made
    return made["id"]


@pytest.fixture(scope="module")
def done(server, site):
    """A finished run of eight designs."""
    run = begun(server, site, trials=8)
    assert server.wait(run)["state"] == "done"
    return run


def keys(folder):
    """Finished evaluations in a run's ledger."""
    try:
        with sqlite3.connect(f"file:{folder / 'ledger.sqlite'}?mode=ro", uri=True) as link:
            (name,) = link.execute("SELECT name FROM sqlite_master WHERE name LIKE 'evaluations%'").fetchone()
            return {row[0] for row in link.execute(f"SELECT key FROM {name}")}
    except (sqlite3.OperationalError, TypeError):
        return set()


def test_from_the_lot_to_the_sheet(server, done):
    base = f"/api/runs/{done}"
    table = server.call("GET", f"{base}/table")[1]
    scores = [row["score"] for row in table["rows"]]
    assert scores and scores == sorted(scores, reverse=True) and not table["so_far"] and table["rejected"]
    assert server.call("GET", f"{base}/table?format=csv")[1].decode().splitlines()[0].split(",") == table["columns"]
    design = server.call("GET", f"{base}/designs/1")[1]
    assert design["design"] == table["rows"][0]["design"] and design["cost"] == table["rows"][0]["cost"]
    for part, begins in {"plan.svg": b"<svg", "side.svg": b"<svg", "sheet.html": b"<!DOCTYPE html>"}.items():
        status, text = server.call("GET", f"{base}/designs/1/{part}")
        assert status == 200 and text.startswith(begins)
    curves, sky = server.call("GET", f"{base}/designs/1/curves")[1], server.call("GET", f"{base}/designs/1/sky")[1]
    assert [b["key"] for b in curves["bands"]] == [b["key"] for b in sky["bands"]] == ["20m", "10m"]
    assert all(len(b["freq_hz"]) == len(b["swr"]) and min(b["swr"]) >= 1.0 for b in curves["bands"])
    assert all(len(b["mean_dbi"]) == len(sky["elevation_deg"]) and len(b["far_dbi"]) == len(sky["bearing_deg"]) for b in sky["bands"])


def test_other_weights_rank_the_stored_rows_again(server, done):
    """With nothing but thrift counting double, the dearest of two like rows does not gain on the cheaper."""
    table = server.call("GET", f"/api/runs/{done}/table")[1]
    again = server.call("POST", f"/api/runs/{done}/rerank", {"weights": table["weights"]})[1]
    assert [(r["design"], r["score"]) for r in again["rows"]] == [(r["design"], r["score"]) for r in table["rows"]]
    assert [r["design_rank"] for r in again["rows"]] == list(range(1, len(table["rows"]) + 1))
    thrifty = server.call("POST", f"/api/runs/{done}/rerank", {"weights": {"thrift": 1.0}})[1]
    assert [r["score"] for r in thrifty["rows"]] != [r["score"] for r in table["rows"]]
    assert server.call("GET", f"/api/runs/{done}/table?weights=thrift=1")[1]["rows"] == thrifty["rows"]
    assert server.call("POST", f"/api/runs/{done}/rerank", {"weights": {"colour": 1, "gain": "x"}})[0] == 422


def test_a_rerun_says_what_moved(server, done):
    rows = server.call("GET", f"/api/runs/{done}/table")[1]["rows"]
    budget = sorted(r["cost"] for r in rows)[0]
    status, made = server.call("POST", f"/api/runs/{done}/rerun", {"budget": budget})
    assert status == 202 and server.wait(made["id"])["state"] == "done"
    told = server.state(made["id"])
    assert told["parent"] == done and told["wish"]["budget"] == budget
    now = server.call("GET", f"/api/runs/{made['id']}/table")[1]["rows"]
    assert now and all(row["cost"] <= budget for row in now)
    left = {m["design"] for m in server.call("GET", f"/api/runs/{made['id']}/moved")[1]["moves"] if m["rank_now"] is None}
    assert left >= {r["design"] for r in rows if r["cost"] > budget} - {r["design"] for r in now}
    assert server.call("GET", f"/api/runs/{made['id']}/moved")[1]["wishes_changed"] == [f"budget: none → {budget:g}"]
    assert server.call("GET", f"/api/runs/{done}/moved")[0] == 404


def test_readings_are_kept_advise_and_can_be_taken_back(server, done):
    path = f"/api/runs/{done}/designs/1/readings"
    step = server.call("GET", f"/api/runs/{done}/designs/1")[1]["trimming"][0]
    assert server.call("POST", path, {})[1]["verdict"] == "read" and server.call("GET", path)[1]["items"] == []
    aim = step.get("aim_mhz", step["target_mhz"])
    status, advice = server.call("POST", path, {"band": step["band"], "reading_mhz": 0.985 * aim, "swr": 1.4})
    assert status == 201 and advice["words"] and advice["verdict"] in ("cut", "fold", "unfold", "stop", "done", "wrong")
    (kept,) = server.call("GET", path)[1]["items"]
    assert kept["parameter"] == step["parameter"] and kept["dip_hz"] == pytest.approx(0.985e6 * aim)
    status, told = server.call("POST", path, {"band": "3m", "reading_mhz": 14.0, "sweep": "! nothing"})
    assert status == 422 and str(server.home) not in str(told) and "/tmp" not in str(told)
    assert server.call("DELETE", path)[1]["items"] == [] == server.call("DELETE", path)[1]["items"]


def test_a_built_wire_is_checked_by_pairs_or_by_a_sweep(server, done):
    """A flat SWR of 9 over the whole band is far above what any garden shows."""
    path = f"/api/runs/{done}/designs/1/verify"
    points = [{"mhz": 14.0 + 0.05 * i, "swr": 9.0} for i in range(8)]
    status, told = server.call("POST", path, {"points": points})
    assert status == 200 and told["words"] and told["suggests"] and told["pictures"]["20m"].startswith("<svg")
    table = "\n".join(f"{p['mhz']} {p['swr']}" for p in points)
    assert server.call("POST", path, {"sweep": table})[1] == told
    gamma = (9 - 1) / (9 + 1)
    touchstone = "# MHz S RI R 50\n" + "\n".join(f"{p['mhz']} {gamma} 0" for p in points)
    assert server.call("POST", path, {"sweep": touchstone})[1]["words"] == told["words"]
    status, bad = server.call("POST", path, {"sweep": "# MHz S\nnonsense"})
    assert status == 422 and "/tmp" not in str(bad)


def test_a_run_is_cancelled_within_a_second_and_keeps_its_rows(server, site):
    run = begun(server, site, seconds=120, seed=3)
    until(lambda: (server.state(run)["progress"] or {}).get("tried", 0) > 2, 120)
    asked = time.monotonic()
    server.call("POST", f"/api/runs/{run}/cancel", {})
    assert server.state(run)["state"] == "stopped" and time.monotonic() - asked < 1.0
    time.sleep(1.0)
    then = keys(server.folder(run))
    until(lambda: not server.workers(), 60)
    assert keys(server.folder(run)) == then, "nothing is computed later than a second after the cancel"
    assert server.call("GET", f"/api/runs/{run}/table")[1]["rows"]


def test_a_deleted_run_leaves_nothing(server, site):
    run = begun(server, site, seconds=120, seed=4)
    until(lambda: server.workers(), 60)
    assert server.call("DELETE", f"/api/runs/{run}")[0] == 204 and server.call("GET", f"/api/runs/{run}")[0] == 404
    until(lambda: not server.workers() and not server.folder(run).exists(), 30)


@pytest.mark.slow
def test_a_run_survives_kills_of_its_worker_and_of_the_server(tmp_path):
    with Server(tmp_path, "--workers", 1, "--at-once", 1) as server:
        run = begun(server, kept(server), trials=25)
        seen = set()
        for victim in ("worker", "server", "worker", "server"):
            until(lambda: len(keys(server.folder(run)) - seen) >= 2 and server.workers(), 200)
            before = keys(server.folder(run))
            assert seen <= before
            if victim == "worker":
                os.kill(server.workers()[0], signal.SIGKILL)
            else:
                server.end(signal.SIGKILL)
                server.start()
            seen = before
        told = server.wait(run, 600)
        assert told["state"] == "done" and seen <= keys(server.folder(run))
        content = server.call("GET", f"/api/runs/{run}/table")[1]
        assert content["run"]["tried"] == 25 and content["run"]["reused"] >= len(seen) - 5


@pytest.mark.slow
def test_nothing_fits_is_told_with_reasons_and_changes(tmp_path):
    with Server(tmp_path, "--workers", 1) as server:
        run = begun(server, kept(server), trials=3, wish={"bands": "160m", "budget": 1})
        told = server.wait(run)
        assert told["state"] == "nothing_fits" and told["result"]["reasons"]
        yard = server.call("POST", "/api/sites", {"name": "yard", "form": "tape", "content": YARD})[1]["id"]
        assert server.wait(begun(server, yard, trials=3))["state"] == "done"
