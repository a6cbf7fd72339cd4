"""Runs as their owner sees them: queued once, listed, cancelled at once, deleted; wishes checked on the way in."""

import pytest
from service_help import WISH, is_problem, keep, queue, serving

from optimizer.service.settings import Limits


def test_a_run_waits_in_the_queue(client, site):
    first, second = queue(client, site), queue(client, site, seed=2)
    told = client.get(f"/api/runs/{second}").json()
    assert told["state"] == "waiting" and told["place"] == 2 and told["wish"] == WISH and told["seed"] == 2
    assert client.get(f"/api/runs/{first}").json()["place"] == 1
    assert [r["id"] for r in client.get("/api/runs").json()["items"]] == [second, first]
    is_problem(client.get(f"/api/runs/{first}/table"), 404, "not_found")


def test_a_wish_with_faults_lists_them_all(client, site):
    wish = {"bands": [{"band": "41m"}, {"band": "20m", "weight": -1}], "tuner": "magic", "colour": "red"}
    told = is_problem(client.post("/api/runs", json={"site": site, "wish": wish}), 422, "bad_input")
    assert {f["field"] for f in told["faults"]} == {"band[0].band", "band[1].weight", "tuner", "colour"}


def test_bands_come_as_text_or_as_a_list(client, site):
    bands = [{"band": "40m", "segment": [7.05, 7.1], "weight": 2, "contacts": "near", "bearing_deg": 270}]
    queue(client, site, wish={"bands": bands, "on_hand": {"mast_9m": 1}, "budget": 100})


@pytest.mark.parametrize("more", [{"seconds": 0}, {"seconds": 1e9}, {"trials": 0}, {"seed": -1}, {"seconds": "10"}, {"hurry": True}])
def test_bounds_of_a_run(client, site, more):
    is_problem(client.post("/api/runs", json={"site": site, "wish": WISH, **more}), 422, "bad_input")


def test_a_run_needs_a_site_that_is_there(client):
    is_problem(client.post("/api/runs", json={"site": "nowhere", "wish": WISH}), 404, "not_found")


def test_a_run_sent_twice_with_its_key_is_queued_once(client, site):
    body, key = {"site": site, "wish": WISH}, {"Idempotency-Key": "again"}
    answers = [client.post("/api/runs", json=body, headers=key).json() for _ in range(3)]
    assert answers[0] == answers[1] == answers[2] and len(client.get("/api/runs").json()["items"]) == 1
    is_problem(client.post("/api/runs", json={**body, "seed": 9}, headers=key), 409, "bad_input")


def test_a_waiting_run_is_cancelled_and_deleted(client, site):
    run = queue(client, site)
    assert client.post(f"/api/runs/{run}/cancel").json()["state"] == "stopped"
    assert client.post(f"/api/runs/{run}/cancel").json()["state"] == "stopped"
    assert client.delete(f"/api/runs/{run}").status_code == 204
    is_problem(client.get(f"/api/runs/{run}"), 404, "not_found")


def test_only_so_many_sites_and_runs(tmp_path):
    with serving(tmp_path, limits=Limits(sites=1, waiting_runs=2, runs=3)) as client:
        site = keep(client)
        full = client.post("/api/sites", json={"name": "b", "form": "geojson", "content": client.get(f"/api/sites/{site}").json()["content"]})
        is_problem(full, 429, "too_many")
        runs = [queue(client, site) for _ in range(2)]
        is_problem(client.post("/api/runs", json={"site": site, "wish": WISH}), 429, "too_many")
        client.post(f"/api/runs/{runs[0]}/cancel")
        queue(client, site)
        client.post(f"/api/runs/{runs[1]}/cancel")
        is_problem(client.post("/api/runs", json={"site": site, "wish": WISH}), 429, "too_many")


def test_everything_is_still_there_after_a_restart(tmp_path):
    with serving(tmp_path) as client:
        site = keep(client)
        run = queue(client, site)
    with serving(tmp_path) as client:
        assert client.get(f"/api/sites/{site}").json()["name"] == "terrace"
        assert client.get(f"/api/runs/{run}").json()["state"] == "waiting"
