"""The queue from the working side: fair turns, holds that run out, holders that were overtaken, deaths counted."""

import time

import pytest
from service_help import ORDER

from optimizer.service import queue, runs
from optimizer.service.settings import Limits
from optimizer.service.store import RUNS, Store
from optimizer.service.turns import fair


@pytest.fixture
def store(tmp_path):
    store = Store(f"sqlite:///{tmp_path / 'store.sqlite'}")
    yield store
    store.close()


def put(store, owner):
    return runs.put(store, owner, "s", ORDER, Limits(), key=None, asked={})["id"]


def state(store, run):
    with store.read() as link:
        return link.execute(RUNS.select().where(RUNS.c.id == run)).one()


def test_users_take_turns_whoever_asks_for_more():
    waiting = [("a1", "ada"), ("a2", "ada"), ("a3", "ada"), ("b1", "ben"), ("c1", "cyd")]
    assert fair(waiting, {}) == ["a1", "b1", "c1", "a2", "a3"]
    assert fair(waiting, {"ada": (1, 5.0)}) == ["b1", "c1", "a1", "a2", "a3"]
    assert fair(waiting, {"ada": (1, 5.0), "ben": (0, 9.0), "cyd": (0, 9.5)})[:3] == ["b1", "c1", "a1"]
    both = [("a1", "ada"), ("a2", "ada"), ("a3", "ada"), ("b1", "ben"), ("b2", "ben")]
    assert fair(both, {}) == ["a1", "b1", "a2", "b2", "a3"]
    assert fair(waiting, {"ada": (0, 5.0), "ben": (0, 9.0), "cyd": (0, 7.0)})[:3] == ["a1", "c1", "b1"]


def test_a_user_with_twenty_runs_does_not_keep_another_waiting(store):
    many = [put(store, "ada") for _ in range(6)]
    one = put(store, "ben")
    begun = [queue.take(store)[0] for _ in range(3)]
    assert begun == [many[0], one, many[1]]


def test_a_run_is_taken_once(store):
    run = put(store, "ada")
    assert queue.take(store)[0] == run and queue.take(store) is None


def test_a_lost_hold_makes_a_run_wait_again_and_its_old_holder_changes_nothing(store, monkeypatch):
    monkeypatch.setattr(queue, "HOLD_S", 0.05)
    run = put(store, "ada")
    _, old = queue.take(store)
    assert queue.hold(store, run, old, spent_s=3.0)
    time.sleep(0.1)
    assert queue.take_up_lost(store) == 1 and state(store, run).state == "waiting"
    again, new = queue.take(store)
    assert again == run and new != old and queue.order_of(store, run, new)[1] == 3.0
    assert not queue.hold(store, run, old, spent_s=9.0)
    queue.tell(store, run, old, progress={"share": 0.9}, table=True)
    queue.end(store, run, old, "done")
    row = state(store, run)
    assert row.state == "running" and row.progress_json is None and row.table_seq == 0
    queue.end(store, run, new, "done")
    assert state(store, run).state == "done"


def test_a_run_whose_process_dies_is_tried_three_times(store):
    run = put(store, "ada")
    for attempt in range(queue.ATTEMPTS):
        taken, holder = queue.take(store)
        assert taken == run and state(store, run).attempts == attempt
        queue.give_back(store, run, holder, died=True)
    row = state(store, run)
    assert row.state == "failed" and "died 3 times" in row.result_json and queue.take(store) is None


def test_a_server_that_ends_hands_its_runs_back_without_blame(store):
    run = put(store, "ada")
    for _ in range(queue.ATTEMPTS + 2):
        _, holder = queue.take(store)
        queue.give_back(store, run, holder, died=False)
    assert state(store, run).state == "waiting" and state(store, run).attempts == 0


def test_a_cancelled_run_stays_stopped_whatever_its_process_says(store):
    run = put(store, "ada")
    _, holder = queue.take(store)
    runs.cancel(store, "ada", run)
    assert queue.to_stop(store, [run]) == ({run}, set())
    queue.tell(store, run, holder, table=True)
    queue.end(store, run, holder, "done")
    row = state(store, run)
    assert row.state == "stopped" and row.table_seq > 0 and queue.take(store) is None


def test_every_change_raises_seq_and_names_its_part(store):
    run = put(store, "ada")
    _, holder = queue.take(store)
    seen = [state(store, run)]
    for change in (dict(progress={"share": 0.1}), dict(table=True), dict(progress={"share": 0.2}, table=True)):
        queue.tell(store, run, holder, **change)
        now = state(store, run)
        assert now.seq == seen[-1].seq + 1
        assert (now.progress_seq == now.seq) == ("progress" in change) and (now.table_seq == now.seq) == ("table" in change)
        seen.append(now)


def test_a_deleted_run_is_cleared_once_nobody_holds_it(store):
    run = put(store, "ada")
    _, holder = queue.take(store)
    runs.forget(store, "ada", run)
    assert queue.gone(store) == [] and queue.to_stop(store, [run]) == (set(), {run})
    queue.give_back(store, run, holder, died=False)
    assert queue.gone(store) == [run]
    queue.clear(store, run)
    with store.read() as link:
        assert link.execute(RUNS.select()).all() == []
