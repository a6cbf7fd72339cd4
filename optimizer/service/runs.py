"""Runs as their owners see them: queue one, list, look, cancel, delete. What works on them is in `queue.py`.

States: waiting → running → done, stopped (cancelled), nothing_fits or failed; a run whose process or server died waits again.
Every change raises `seq`; `state_seq`, `progress_seq` and `table_seq` say which part changed last, so an event stream needs no log.
"""

from __future__ import annotations

import json
import time
from types import SimpleNamespace

import sqlalchemy as sa

from . import sites
from .faults import Refused
from .once import once
from .order import order_for
from .pages import page_of
from .settings import Limits
from .store import RUNS, Store, light, new_id
from .turns import in_turn

WISH_FIELDS = ("bands", "power_w", "mode_duty", "transmit_share", "swr_limit", "tuner", "budget", "mast_limit_m", "station", "parts", "on_hand", "prices", "rates")
ENDED = ("done", "stopped", "failed", "nothing_fits")


def queue(store: Store, owner: str, asked: dict, limits: Limits, key: str | None = None) -> dict:
    """A new run of a kept site. asked: site, wish, weights, seconds or trials, seed. Raises InputError, Refused."""
    row = sites.row_of(store, owner, asked["site"])
    return put(store, owner, row.id, order_for(row, asked), limits, key=key, asked=asked)


def queue_again(store: Store, owner: str, run: str, change: dict, limits: Limits, key: str | None = None) -> dict:
    """A run that reuses the work of another, with something changed. change: wish fields (None takes a limit away), weights, site, seconds, trials, seed."""
    row = row_of(store, owner, run)
    if row.state in ("waiting", "running"):
        raise Refused("busy", "this run is still at work")
    earlier = json.loads(row.order_json)
    given = {k: v for k, v in change.items() if k in WISH_FIELDS}
    wish = {k: v for k, v in (earlier["wish"] | given).items() if v is not None}
    asked = {"wish": wish, "weights": earlier["weights"] | (change.get("weights") or {}), "seconds": change.get("seconds"), "trials": change.get("trials"), "seed": change.get("seed", earlier["seed"])}
    order = order_for(_site_again(store, owner, run, earlier, change), asked, earlier=run, change=change)
    return put(store, owner, order["site"]["id"], order, limits, key=key, asked=change, parent=run)


def _site_again(store: Store, owner: str, run: str, earlier: dict, change: dict):
    """The site asked for; else the one of the earlier run, as it was then."""
    if change.get("site"):
        return sites.row_of(store, owner, change["site"])
    with store.read() as link:
        content = link.scalar(sa.select(RUNS.c.site_content).where(_mine(owner, run)))
    return SimpleNamespace(**earlier["site"], content=content)


def put(store: Store, owner: str, site: str, order: dict, limits: Limits, *, key: str | None, asked: dict, parent: str | None = None) -> dict:
    """Queue a checked order; with a key the same request is answered alike instead of queued twice."""

    def make(link) -> dict:
        mine = sa.select(sa.func.count()).where(RUNS.c.owner == owner, ~RUNS.c.gone)
        if link.scalar(mine) >= limits.runs:
            raise Refused("too_many", f"at most {limits.runs} runs are kept; delete one first")
        if link.scalar(mine.where(RUNS.c.state == "waiting")) >= limits.waiting_runs:
            raise Refused("too_many", f"at most {limits.waiting_runs} runs may wait; cancel one first")
        run = new_id()
        content, brief = order["site"]["content"], order | {"site": {k: v for k, v in order["site"].items() if k != "content"}}
        values = {"id": run, "owner": owner, "site": site, "parent": parent, "order_json": json.dumps(brief), "site_content": content, "state": "waiting"}
        link.execute(sa.insert(RUNS).values(**values, seq=1, state_seq=1, made_at=time.time()))
        return {"id": run, "state": "waiting"}

    return once(store, owner, key, ["run", parent, asked], make)


def one(store: Store, owner: str, run: str) -> dict:
    return shown(row_of(store, owner, run), places(store))


def row_of(store: Store, owner: str, run: str):
    """The owner's run; others' are not found."""
    with store.read() as link:
        row = link.execute(sa.select(*light(RUNS)).where(_mine(owner, run))).first()
    if row is None:
        raise Refused("not_found", "no such run")
    return row


def rows_of(store: Store, chosen: list[str]):
    """Rows of these runs, whoever owns them."""
    with store.read() as link:
        return link.execute(sa.select(*light(RUNS)).where(RUNS.c.id.in_(chosen), ~RUNS.c.gone)).all()


def listed(store: Store, owner: str, limit: int, after: str | None) -> dict:
    """A page of the owner's runs, newest first."""
    waiting = places(store)
    return page_of(store, RUNS, sa.and_(RUNS.c.owner == owner, ~RUNS.c.gone), limit, after, lambda r: shown(r, waiting))


def cancel(store: Store, owner: str, run: str) -> dict:
    """Stop it: at once as far as its owner is concerned; its process ends its search and writes its rows up."""
    now = time.time()
    with store.write() as link:
        row = link.execute(sa.select(RUNS.c.state, RUNS.c.seq).where(_mine(owner, run))).first()
        if row is None:
            raise Refused("not_found", "no such run")
        if row.state in ("waiting", "running"):
            link.execute(sa.update(RUNS).where(RUNS.c.id == run).values(state="stopped", stopping=row.state == "running", ended_at=now, seq=row.seq + 1, state_seq=row.seq + 1))
    return one(store, owner, run)


def forget(store: Store, owner: str, run: str) -> None:
    """Gone for its owner at once; process and folder are cleared away by the service."""
    with store.write() as link:
        if not link.execute(sa.update(RUNS).where(_mine(owner, run)).values(gone=True, state="stopped", seq=RUNS.c.seq + 1)).rowcount:
            raise Refused("not_found", "no such run")


def places(store: Store) -> dict[str, int]:
    """Waiting run → its place in the queue, 1 is next."""
    with store.read() as link:
        return {run: i for i, run in enumerate(in_turn(link), start=1)}


def shown(row, waiting: dict[str, int]) -> dict:
    """A run as its owner sees it."""
    order = json.loads(row.order_json)
    return {
        "id": row.id, "state": row.state, "site": row.site, "site_name": order["site"]["name"], "parent": row.parent,
        "wish": order["wish"], "weights": order["weights"], "change": order["change"], "seconds": order["seconds"], "trials": order["trials"], "seed": order["seed"],
        "progress": _json(row.progress_json), "place": waiting.get(row.id), "result": _json(row.result_json),
        "made_at": row.made_at, "began_at": row.began_at, "ended_at": row.ended_at, "has_table": row.table_seq > 0,
    }  # fmt: skip


def _json(text: str | None):
    return None if text is None else json.loads(text)


def _mine(owner: str, run: str):
    return sa.and_(RUNS.c.id == run, RUNS.c.owner == owner, ~RUNS.c.gone)
