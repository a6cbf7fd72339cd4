"""The interface as a whole: described, readable, one error form on every route, documents with a policy of their own."""

import base64
import hashlib
import json
import re
import subprocess
import sys
from copy import deepcopy

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from service_help import TERRACE, is_problem

from optimizer.criteria.weights import DEFAULT
from optimizer.physics.wishes import WishList
from optimizer.service import policy
from optimizer.service.runs import WISH_FIELDS
from optimizer.service.shapes import WEIGHTS, WISH, RerunIn


def calls(client):
    paths = client.get("/api/openapi.json").json()["paths"]
    return [(path, method, call) for path, item in paths.items() for method, call in item.items()]


def test_every_call_is_described_and_readable(client):
    page = client.get("/api")
    assert page.headers["content-type"].startswith("text/html") and "<script" not in page.text
    described = calls(client)
    assert len(described) > 25
    for path, method, call in described:
        assert call["description"], (path, method)
        assert f"<b>{method.upper()}</b> {path}<" in page.text
        assert {"404", "422", "429"} <= set(call["responses"])
    assert not re.search(r'(src|href)="(?!/)', page.text)


def test_every_route_has_the_one_error_form(client):
    """An id that is not there, or a body of nothing, wherever a route takes either."""
    asked = 0
    for path, method, call in calls(client):
        if "{" in path or "requestBody" in call:
            told = client.request(method, path.replace("{rank}", "1").replace("{run}", "none").replace("{site}", "none"), **({"json": {}} if "requestBody" in call else {}))
            is_problem(told, told.status_code, {404: "not_found", 422: "bad_input"}[told.status_code])
            asked += 1
    assert asked > 20
    is_problem(client.get("/api/none"), 404, "not_found")
    is_problem(client.patch("/api/sites"), 405, "bad_input")


def test_wish_weights_and_rerun_follow_the_records_they_stand_for():
    assert set(WISH["properties"]) == set(WISH_FIELDS) == set(WishList.__dataclass_fields__)
    assert set(WEIGHTS["properties"]) == set(vars(DEFAULT))
    assert set(WISH_FIELDS) <= set(RerunIn.model_fields)


def test_a_document_names_its_styles_by_hash_and_allows_nothing_else():
    text = '<style>a{b:c}</style><p style="fill:url(#x)"><text style="font:&quot;A&quot;">'
    told = policy.for_document(text)
    for piece in ("a{b:c}", "fill:url(#x)", 'font:"A"'):
        assert f"'sha256-{base64.b64encode(hashlib.sha256(piece.encode()).digest()).decode()}'" in told
    assert "default-src 'none'" in told and "script-src" not in told and "unsafe-inline" not in told


LEAVES = st.none() | st.booleans() | st.integers(-(2**70), 2**70) | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=20) | st.just([]) | st.just({})


def places(thing, way=()):
    """Every way into a document."""
    yield way
    inner = thing.items() if isinstance(thing, dict) else enumerate(thing) if isinstance(thing, list) else ()
    for key, value in inner:
        yield from places(value, (*way, key))


WAYS = [way for way in places(TERRACE) if way]


@pytest.mark.parametrize("count", [1, 5])
def test_a_good_site_with_places_spoilt_is_a_list_of_faults_or_fine(client, count):
    @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
    @given(st.lists(st.tuples(st.sampled_from(WAYS), LEAVES), min_size=count, max_size=count))
    def spoil(changes):
        site = deepcopy(TERRACE)
        for way, value in changes:
            put(site, way, value)
        told = client.post("/api/sites/check", content=json.dumps({"form": "geojson", "content": site}), headers={"content-type": "application/json"})
        assert told.status_code in (200, 422), told.text
        if told.status_code == 200:
            assert told.json()["ok"] != bool(told.json()["faults"])

    spoil()


def put(thing, way, value):
    """Set a place, where it is still there."""
    for key in way[:-1]:
        try:
            thing = thing[key]
        except (KeyError, IndexError, TypeError):
            return
    try:
        thing[way[-1]] = value
    except (IndexError, TypeError):
        pass


def test_the_service_itself_loads_no_solver():
    """Compiled code, tables and the search library belong to the processes that work; the service stays small without them."""
    code = "import sys, optimizer.service.app; print(sorted({'numba', 'pandas', 'optuna', 'weasyprint'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"
