"""The desk: results and faults come through, a death is tried again, what takes too long is ended."""

import os
import time
from pathlib import Path

import pytest

from optimizer.errors import Fault, InputError, NothingFits
from optimizer.service.desk import Desk
from optimizer.service.faults import Refused


@pytest.fixture(scope="module")
def desk():
    desk = Desk(processes=1)
    yield desk
    desk.close()


def die_once(mark: str) -> str:
    if not Path(mark).exists():
        Path(mark).touch()
        os._exit(1)
    return "alive"


def fail(kind: str):
    raise {
        "input": InputError([Fault("a", "b", 1, "c", "d"), Fault("e", "f", None, "g")]),
        "fits": NothingFits({"dipole": "too long"}, ["a taller mast"]),
        "refused": Refused("busy", "later", status=503),
    }[kind]


def test_results_come_through(desk):
    assert desk.ask(max, 3, 5) == 5


def test_faults_come_through_whole(desk):
    with pytest.raises(InputError) as bad:
        desk.ask(fail, "input")
    assert [str(f) for f in bad.value.faults] == ["a: b: got 1, need c (d)", "e: f: got None, need g"]
    with pytest.raises(NothingFits) as nothing:
        desk.ask(fail, "fits")
    assert nothing.value.reasons == {"dipole": "too long"} and nothing.value.relaxations == ["a taller mast"]
    with pytest.raises(Refused) as refused:
        desk.ask(fail, "refused")
    assert (refused.value.kind, refused.value.status) == ("busy", 503)


def test_a_task_that_dies_is_tried_once_more(desk, tmp_path):
    assert desk.ask(die_once, str(tmp_path / "mark")) == "alive"
    with pytest.raises(Refused, match="died"):
        desk.ask(os._exit, 1)
    assert desk.ask(max, 1, 2) == 2


def test_what_takes_too_long_is_ended(desk):
    desk.ask(max, 1, 2)
    began = time.monotonic()
    with pytest.raises(Refused, match="more than 1 s"):
        desk.ask(time.sleep, 60, within_s=1)
    assert time.monotonic() - began < 10 and desk.ask(max, 1, 2) == 2
