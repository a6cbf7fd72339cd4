"""Sites over HTTP: kept, changed, listed a page at a time, deleted; drawings to the millimetre; every fault at once."""

import math

import pytest
from service_help import TERRACE, YARD, is_problem, keep, queue


def test_a_site_is_kept_until_it_is_deleted(client, site):
    assert [s["id"] for s in client.get("/api/sites").json()["items"]] == [site]
    assert client.get(f"/api/sites/{site}").json()["content"] == TERRACE
    assert client.delete(f"/api/sites/{site}").status_code == 204
    is_problem(client.get(f"/api/sites/{site}"), 404, "not_found")
    is_problem(client.delete(f"/api/sites/{site}"), 404, "not_found")


def test_a_site_takes_another_content_under_its_id(client, site):
    changed = client.put(f"/api/sites/{site}", json={"name": "yard", "form": "tape", "content": YARD})
    assert changed.status_code == 200 and changed.json()["content"] == YARD
    assert client.get("/api/sites").json()["items"][0]["name"] == "yard"
    is_problem(client.put("/api/sites/none", json={"name": "yard", "form": "tape", "content": YARD}), 404, "not_found")


def test_a_drawing_has_true_sides_and_area(client):
    """A rectangle by tape, 30 m by 40 m with its 50 m diagonals (Pythagoras), a post at a corner."""
    told = client.post("/api/sites/check", json={"form": "tape", "content": RECTANGLE}).json()
    assert told["ok"] and told["faults"] == []
    drawing = told["drawing"]
    assert drawing["area_m2"] == pytest.approx(1200.0, abs=0.01)
    (usable,) = drawing["usable_m"]
    assert math.dist(usable[0][0], usable[0][1]) == pytest.approx(28.0, abs=1e-3) or math.dist(usable[0][0], usable[0][1]) == pytest.approx(38.0, abs=1e-3)
    assert drawing["side_lengths_m"] == pytest.approx([30.0, 40.0, 30.0, 40.0], abs=1e-3)
    roles = {f["role"]: f for f in drawing["features"]}
    (ring,) = roles["lot"]["rings_m"]
    assert len(ring) == 4 and math.dist(ring[0], ring[2]) == pytest.approx(50.0, abs=2e-3)
    assert math.dist(roles["support"]["at_m"], ring[2]) < 1e-3 and roles["support"]["height_m"] == 3.0


def test_a_check_lists_every_fault_at_its_place(client):
    bad = {**TERRACE, "site": {**TERRACE["site"], "height_limit_m": -1, "itu_region": 7}}
    bad["features"] = [*TERRACE["features"], {"type": "Feature", "properties": {"role": "tre"}, "geometry": None}]
    told = client.post("/api/sites/check", json={"form": "geojson", "content": bad}).json()
    assert not told["ok"] and told["drawing"] is None
    fields = {f["field"] for f in told["faults"]}
    assert {"site.height_limit_m", "site.itu_region", f"features[{len(TERRACE['features'])}].properties.role"} <= fields
    kept = client.post("/api/sites", json={"name": "bad", "form": "geojson", "content": bad})
    assert {f["field"] for f in is_problem(kept, 422, "bad_input")["faults"]} == fields


def test_lists_come_a_page_at_a_time_newest_first(client):
    made = [keep(client, f"lot {i}") for i in range(5)]
    seen, after = [], None
    while True:
        page = client.get("/api/sites", params={"limit": 2} | ({"after": after} if after else {})).json()
        assert len(page["items"]) <= 2
        seen += [s["id"] for s in page["items"]]
        after = page["next"]
        if after is None:
            break
    assert seen == made[::-1]
    is_problem(client.get("/api/sites", params={"limit": 0}), 422, "bad_input")


def test_a_creation_sent_twice_with_its_key_is_made_once(client):
    key = {"Idempotency-Key": "k1"}
    first, second = keep(client, headers=key), keep(client, headers=key)
    assert first == second and len(client.get("/api/sites").json()["items"]) == 1
    other = client.post("/api/sites", json={"name": "other", "form": "tape", "content": YARD}, headers=key)
    is_problem(other, 409, "bad_input")


def test_a_site_that_a_run_works_on_stays(client, site):
    run = queue(client, site)
    is_problem(client.delete(f"/api/sites/{site}"), 409, "busy")
    client.post(f"/api/runs/{run}/cancel")
    assert client.delete(f"/api/sites/{site}").status_code == 204
    assert client.get(f"/api/runs/{run}").json()["site_name"] == "terrace"


RECTANGLE = """
[site]
name = "Test paddock, Nowhere Lane"
height_limit_m = 9.0
itu_region = 1
currency = "EUR"
base_bearing_deg = 90
setback_m = 1.0
[[tape]]
from = "a"
to = "b"
m = 30.0
[[tape]]
from = "b"
to = "c"
m = 40.0
[[tape]]
from = "a"
to = "c"
m = 50.0
[[tape]]
from = "c"
to = "d"
m = 30.0
[[tape]]
from = "d"
to = "a"
m = 40.0
[[tape]]
from = "b"
to = "d"
m = 50.0
[[feature]]
role = "lot"
points = ["a", "b", "c", "d"]
[[feature]]
role = "support"
kind = "post"
height_m = 3.0
points = ["c"]
[[feature]]
role = "radio"
height_m = 1.0
points = ["a"]
"""
