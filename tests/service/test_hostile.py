"""Bodies meant to break a reader: never a server error, always the one form."""

import json

import pytest
from service_help import TERRACE, is_problem

JSON = {"content-type": "application/json"}


def ring(n, scale=1e-4):
    from math import cos, pi, sin

    points = [[9.7 + scale * cos(2 * pi * i / n), 51.4 + scale * sin(2 * pi * i / n)] for i in range(n)]
    return [*points, points[0]]


def lot(coordinates, **site):
    feature = {"type": "Feature", "properties": {"role": "lot"}, "geometry": {"type": "Polygon", "coordinates": coordinates}}
    return {"form": "geojson", "content": {"type": "FeatureCollection", "site": {**TERRACE["site"], **site}, "features": [feature]}}


def post(client, raw, path="/api/sites/check", **headers):
    return client.post(path, content=raw, headers={**JSON, **headers})


@pytest.mark.parametrize(
    "raw",
    [
        b"", b"{", b"null", b"[]", b'"text"', b"1e999", b"NaN", b"Infinity", b"\xff\xfe{\x00}\x00", b"\xef\xbb\xbf{}", b"\x00" * 100,
        b'{"form": "geojson", "content": NaN}', b'{"form": "geojson", "content": {"a": -Infinity}}',
        b'{"form": "geojson", "form": "tape", "content": {}}', b'{"form": "tape", "content": "\\ud800"}', b'{"form": "tape", "content": "\\u0000"}',
        b'{"form": "geojson", "content": {"n": ' + b"9" * 5000 + b"}}", b"[" * 100_000, b'{"a":' * 50_000, b'{"form": "geojson", "content": ' + b"[" * 900 + b"]" * 900 + b"}",
        b'{"form": "tape", "content": "x", "more": 1}', b'{"form": ["tape"], "content": {"$ref": "file:///etc/passwd"}}',
    ],
    ids=lambda raw: f"{raw[:24]!r}{len(raw)}",
)  # fmt: skip
def test_broken_json_is_a_fault(client, raw):
    assert post(client, raw).json()["error"]["faults"], raw[:40]
    is_problem(post(client, raw), 422, "bad_input")


@pytest.mark.parametrize("encoding", ["utf-16", "utf-32", "latin-1", "cp037"])
def test_other_encodings_are_refused_not_guessed(client, encoding):
    body = json.dumps({"form": "tape", "content": "Größe"}, ensure_ascii=False).encode(encoding, "replace")
    is_problem(post(client, body), 422, "bad_input")


@pytest.mark.parametrize(
    "body",
    [
        lot([ring(10_500)]), lot([ring(4), *[ring(4, 1e-6 * i) for i in range(1, 500)]]), lot([ring(100, 80.0)]), lot([[[0, 0]] * 5000]),
        lot([[[1e308, 1e308], [-1e308, 1e308], [0, -1e308], [1e308, 1e308]]]), lot([[[9.7, 51.4], [9.8, 51.4], [9.7, 51.4], [9.7, 51.4]]]),
        lot([ring(8)], height_limit_m=1e308), lot([ring(8)], setback_m=1e300), lot([ring(8)], name="\u202e" * 50), lot([ring(8)], name="x" * 10_000),
        lot([ring(8)], itu_region=True), lot([[[str(i), i] for i in range(9)]]), lot([[[[0, 0]]]]), lot({}), lot(None),
        {"form": "geojson", "content": {"type": "FeatureCollection", "site": [], "features": {}}},
        {"form": "geojson", "content": {"type": "FeatureCollection", "site": TERRACE["site"], "features": [None] * 20_000}},
        {"form": "tape", "content": "x = " + "[" * 5000}, {"form": "tape", "content": "a." * 5000 + "b = 1"}, {"form": "tape", "content": "x = nan"},
        {"form": "tape", "content": "x = 1979-05-27T07:32:00Z\n[site]\nname = 1979-05-27"}, {"form": "tape", "content": "[[tape]]\n" * 5000},
        {"form": "tape", "content": {"x": 1}}, {"form": "geojson", "content": "{]"},
    ],
    ids=lambda body: str(body)[-50:],
)  # fmt: skip
def test_hostile_sites_are_faults(client, body):
    """As a check a list of faults, as a creation the one error form; nothing is kept."""
    told = client.post("/api/sites/check", json=body)
    assert told.status_code == 200, told.text[:300]
    assert not told.json()["ok"] and told.json()["faults"]
    is_problem(client.post("/api/sites", json={"name": "bad", **body}), 422, "bad_input")
    assert client.get("/api/sites").json()["items"] == []


@pytest.mark.parametrize("name", ["", " " * 3 + "\n", "a\x00b", "x" * 201, "\x1b[31m", None, 5])
def test_names_are_one_line_of_text(client, name):
    is_problem(client.post("/api/sites", json={"name": name, "form": "geojson", "content": TERRACE}), 422, "bad_input")


@pytest.mark.parametrize("path", ["../../etc/passwd", "..%2f..%2fetc%2fpasswd", "%2e%2e/store.sqlite", "....//x", "%00", "a" * 5000, "é", "%ff"])
@pytest.mark.parametrize("where", ["/api/sites/{}", "/api/runs/{}", "/api/runs/{}/table", "/api/runs/{}/designs/1/plan.svg", "/static/{}"])
def test_no_path_comes_from_text(client, path, where):
    told = client.get(where.format(path))
    assert told.status_code in (404, 405, 422), told.status_code
    assert "root:" not in told.text and set(told.json()) == {"error"}


@pytest.mark.parametrize("rank", ["0", "-1", "1e3", "1001", "99999999999999999999", "x", "1;2"])
def test_ranks_are_small_numbers(client, rank):
    assert client.get(f"/api/runs/none/designs/{rank}").status_code in (404, 422)


@pytest.mark.parametrize("key", ["", "x" * 201])
def test_keys_are_short(client, key):
    body = {"name": "a", "form": "geojson", "content": TERRACE}
    is_problem(client.post("/api/sites", json=body, headers={"Idempotency-Key": key}), 422, "bad_input")


@pytest.mark.parametrize("last", ["-1", "x", "1" * 400, "٣", "1.5"])
def test_a_strange_last_event_id_counts_as_none(client, last):
    is_problem(client.get("/api/runs/none/events", headers={"last-event-id": last.encode()}), 404, "not_found")
