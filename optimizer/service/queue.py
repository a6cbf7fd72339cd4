"""The queue from the working side: take a run, hold it by a lease, tell how far it is, hand it back or end it.

A working process renews its hold each second. A run whose hold ran out lost its process or its server: it waits again and goes on
from its ledger. Everything a holder writes names the holder, so one that was overtaken changes nothing.
"""

from __future__ import annotations

import json
import time

import sqlalchemy as sa

from .store import RUNS, Store, new_id
from .turns import in_turn

HOLD_S = 6.0
ATTEMPTS = 3  # deaths of a run's own process before it is given up


def take(store: Store) -> tuple[str, str] | None:
    """(run, holder) of the next run in turn, now running; None when none waits."""
    now, holder = time.time(), new_id()
    with store.write() as link:
        for run in in_turn(link):
            values = {"state": "running", "holder": holder, "held_until": now + HOLD_S, "seq": RUNS.c.seq + 1, "state_seq": RUNS.c.seq + 1}
            begun = sa.update(RUNS).where(RUNS.c.id == run, RUNS.c.state == "waiting").values(**values, began_at=now)
            if link.execute(begun).rowcount:
                return run, holder
    return None


def order_of(store: Store, run: str, holder: str) -> tuple[dict, float] | None:
    """(order, seconds spent on it so far), None where the run is no longer ours."""
    with store.read() as link:
        row = link.execute(sa.select(RUNS.c.order_json, RUNS.c.site_content, RUNS.c.spent_s).where(_held(run, holder))).first()
    if row is None:
        return None
    order = json.loads(row.order_json)
    order["site"]["content"] = row.site_content
    return order, row.spent_s


def hold(store: Store, run: str, holder: str, spent_s: float) -> bool:
    """Renew the hold and count the time; False where the run is no longer ours."""
    with store.write() as link:
        return bool(link.execute(sa.update(RUNS).where(_held(run, holder)).values(held_until=time.time() + HOLD_S, spent_s=spent_s)).rowcount)


def tell(store: Store, run: str, holder: str, *, progress: dict | None = None, table: bool = False) -> None:
    """How far it is, and that the table changed."""
    values: dict = {"seq": RUNS.c.seq + 1}
    if progress is not None:
        values |= {"progress_json": json.dumps(progress), "progress_seq": RUNS.c.seq + 1}
    if table:
        values |= {"table_seq": RUNS.c.seq + 1}
    with store.write() as link:
        link.execute(sa.update(RUNS).where(_held(run, holder)).values(**values))


def end(store: Store, run: str, holder: str, state: str, result: dict | None = None) -> None:
    """The run is over; a run that was stopped meanwhile stays stopped."""
    now = time.time()
    kept = sa.case((RUNS.c.state == "stopped", "stopped"), else_=state)
    values = {"state": kept, "stopping": False, "held_until": None, "holder": None, "seq": RUNS.c.seq + 1, "state_seq": RUNS.c.seq + 1}
    with store.write() as link:
        link.execute(sa.update(RUNS).where(_held(run, holder)).values(**values, result_json=result and json.dumps(result), ended_at=now))


def give_back(store: Store, run: str, holder: str, *, died: bool) -> None:
    """The process ended without an end: wait again, or fail after `ATTEMPTS` deaths."""
    with store.write() as link:
        row = link.execute(sa.select(RUNS.c.state, RUNS.c.attempts).where(_held(run, holder))).first()
        if row is not None:
            _again(link, run, row, died)


def take_up_lost(store: Store) -> int:
    """Runs whose hold ran out wait again; how many."""
    lost = sa.and_(RUNS.c.held_until.is_not(None), RUNS.c.held_until < time.time())
    with store.read() as link:
        if link.execute(sa.select(RUNS.c.id).where(lost).limit(1)).first() is None:
            return 0
    with store.write() as link:
        rows = link.execute(sa.select(RUNS.c.id, RUNS.c.state, RUNS.c.attempts).where(lost)).all()
        for row in rows:
            _again(link, row.id, row, died=False)
    return len(rows)


def waiting(store: Store) -> int:
    with store.read() as link:
        return link.scalar(sa.select(sa.func.count()).where(RUNS.c.state == "waiting", ~RUNS.c.gone))


def to_stop(store: Store, runs: list[str]) -> tuple[set[str], set[str]]:
    """(those of the runs that their owner cancelled, those that are deleted)."""
    if not runs:
        return set(), set()
    with store.read() as link:
        rows = link.execute(sa.select(RUNS.c.id, RUNS.c.stopping, RUNS.c.gone).where(RUNS.c.id.in_(runs))).all()
    there = {r.id for r in rows if not r.gone}
    return {r.id for r in rows if r.stopping and not r.gone}, set(runs) - there


def gone(store: Store) -> list[str]:
    """Deleted runs that nobody holds, to be cleared away."""
    with store.read() as link:
        return list(link.execute(sa.select(RUNS.c.id).where(RUNS.c.gone, sa.or_(RUNS.c.held_until.is_(None), RUNS.c.held_until < time.time()))).scalars())


def clear(store: Store, run: str) -> None:
    with store.write() as link:
        link.execute(sa.delete(RUNS).where(RUNS.c.id == run, RUNS.c.gone))


def _again(link, run: str, row, died: bool) -> None:
    attempts = row.attempts + died
    state = row.state if row.state != "running" else "failed" if attempts >= ATTEMPTS else "waiting"
    values = {"state": state, "attempts": attempts, "stopping": False, "holder": None, "held_until": None, "seq": RUNS.c.seq + 1, "state_seq": RUNS.c.seq + 1}
    if state == "failed":
        values |= {"ended_at": time.time(), "result_json": json.dumps({"message": f"its process died {attempts} times"})}
    link.execute(sa.update(RUNS).where(RUNS.c.id == run).values(**values))


def _held(run: str, holder: str):
    return sa.and_(RUNS.c.id == run, RUNS.c.holder == holder)
