"""A service in this process and requests from one user or two."""

import pytest
from fastapi.testclient import TestClient
from service_help import keep, serving

from optimizer.service.users import hash_of


@pytest.fixture
def client(tmp_path):
    with serving(tmp_path) as client:
        yield client


@pytest.fixture
def two(tmp_path):
    """Two users of one service: clients with the tokens of Ada and of Ben."""
    tokens = {hash_of("ada's"): "ada", hash_of("ben's"): "ben"}
    with serving(tmp_path, tokens=tokens) as ada:
        ben = TestClient(ada.app, base_url="http://localhost", raise_server_exceptions=False)
        ada.headers["authorization"], ben.headers["authorization"] = "Bearer ada's", "Bearer ben's"
        yield ada, ben


@pytest.fixture
def site(client):
    """Id of a kept site."""
    return keep(client)
