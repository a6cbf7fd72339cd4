"""Requests made up from the OpenAPI description: no server error, every status documented, every body of its declared form.

Half of them keep to the description, half break it; half go to a site and a run that are there. The event stream is tested by hand.
"""

from collections import Counter

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from schemathesis import GenerationMode
from schemathesis.checks import CHECKS, load_all_checks, not_a_server_error
from service_help import FREE, keep, queue, serving

load_all_checks()
ASKED = ("status_code_conformance", "content_type_conformance", "response_schema_conformance")
CHECKED = [not_a_server_error, *(CHECKS.get_one(name) for name in ASKED)]
STREAM = "/api/runs/{run}/events"
HOST = {"Host": "localhost"}
FEW, MANY, LEAST = 8, 150, 5000


@pytest.fixture(scope="module")
def live(tmp_path_factory):
    with serving(tmp_path_factory.mktemp("openapi"), limits=FREE) as client:
        site = keep(client)
        known = {"site": site, "run": queue(client, site), "rank": 1}
    return client.app, known


def examine(live, examples: int) -> Counter:
    """`examples` requests an operation and mode; statuses met."""
    app, known = live
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", app, headers=HOST).exclude(path=STREAM)
    told: Counter = Counter()
    for found in schema.get_all_operations():
        operation = found.ok()
        for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):
            if operation.body or operation.query or mode is GenerationMode.POSITIVE:
                _ask(operation, operation.as_strategy(mode), known, examples, told)
    return told


def _ask(operation, cases, known, examples, told) -> None:
    @seed(1)
    @settings(max_examples=examples, deadline=None, database=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
    @given(case=cases, there=st.booleans())
    def one(case, there):
        if there and operation.method.upper() != "DELETE":
            case.path_parameters = {**(case.path_parameters or {}), **{k: v for k, v in known.items() if "{" + k + "}" in operation.path}}
        answer = case.call_and_validate(checks=CHECKED, headers=HOST)
        told[operation.label, answer.status_code] += 1

    one()


def test_made_up_requests_meet_no_server_error(live):
    told = examine(live, FEW)
    assert sum(told.values()) >= 200 and max(status for _, status in told) < 500
    assert {status for _, status in told} >= {200, 404, 422}


@pytest.mark.slow
def test_five_thousand_made_up_requests(live):
    told = examine(live, MANY)
    assert sum(told.values()) >= LEAST, sum(told.values())
    assert max(status for _, status in told) < 500
