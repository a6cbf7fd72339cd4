"""Helpers: a service in this process that queues runs but works on none, things to send it, and what an error looks like."""

import json
from pathlib import Path

from fastapi.testclient import TestClient

from optimizer.service.app import create_app
from optimizer.service.settings import Limits, ServiceSettings

SITES = Path(__file__).parents[2] / "sites"
TERRACE = json.loads((SITES / "terrace.geojson").read_text(encoding="utf-8"))
YARD = (SITES / "workshop_yard.toml").read_text(encoding="utf-8")
WISH = {"bands": "20m 10m:voice"}
ORDER = {
    "site": {"id": "s", "name": "lot", "form": "tape", "content": "", "summary_json": "{}"}, "wish": {}, "weights": {}, "seconds": 1.0, "trials": None,
    "seed": 1, "from": None, "change": None,
}  # fmt: skip
FREE = Limits(requests_per_s=1e9, requests_at_once=10**9)


def serving(home, **more):
    """A client of a fresh service over the folder `home`."""
    app = create_app(ServiceSettings(**{"home": home, "at_once": 0, "limits": FREE} | more))
    return TestClient(app, base_url="http://localhost", raise_server_exceptions=False)


def keep(client, name="terrace", **more):
    made = client.post("/api/sites", json={"name": name, "form": "geojson", "content": TERRACE}, **more)
    assert made.status_code == 201, made.text
    return made.json()["id"]


def queue(client, site, **more):
    made = client.post("/api/runs", json={"site": site, "wish": WISH, "trials": 5, **more})
    assert made.status_code == 202, made.text
    return made.json()["id"]


def is_problem(answer, status, kind):
    """The one error form, with nothing else in it."""
    body = answer.json()
    assert answer.status_code == status, answer.text
    assert set(body) == {"error"} and set(body["error"]) == {"kind", "message", "faults"}
    assert body["error"]["kind"] == kind and body["error"]["message"]
    assert all(set(f) == {"field", "value", "allowed", "hint"} for f in body["error"]["faults"])
    return body["error"]
