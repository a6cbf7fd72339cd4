"""The service's first light: a site checked, kept, listed and deleted; errors in one form."""

import json
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from optimizer.service.app import create_app
from optimizer.service.settings import ServiceSettings

TERRACE = json.loads((Path(__file__).parents[2] / "sites" / "terrace.geojson").read_text(encoding="utf-8"))


@pytest.fixture
def client(tmp_path):
    app = create_app(ServiceSettings(home=tmp_path))
    with TestClient(app, base_url="http://localhost") as client:
        yield client


def test_a_site_is_kept_until_it_is_deleted(client):
    made = client.post("/api/sites", json={"name": "terrace", "form": "geojson", "content": TERRACE})
    assert made.status_code == 201
    site = made.json()["id"]
    assert [s["id"] for s in client.get("/api/sites").json()["items"]] == [site]
    assert client.get(f"/api/sites/{site}").json()["content"] == TERRACE
    assert client.delete(f"/api/sites/{site}").status_code == 204
    assert client.get(f"/api/sites/{site}").json()["error"]["kind"] == "not_found"
