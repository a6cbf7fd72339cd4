"""Fair turns: users take turns, each user's own runs in the order they came. Who waited longest for a turn goes first."""

from __future__ import annotations

from collections import defaultdict

import sqlalchemy as sa

from .store import RUNS


def in_turn(link) -> list[str]:
    """Ids of the waiting runs in the order they will begin."""
    waiting = link.execute(sa.select(RUNS.c.id, RUNS.c.owner).where(RUNS.c.state == "waiting", ~RUNS.c.gone).order_by(RUNS.c.made_at, RUNS.c.id)).all()
    if len(waiting) < 2:
        return [r.id for r in waiting]
    owners = {r.owner for r in waiting}
    begun = sa.select(RUNS.c.owner, sa.func.max(RUNS.c.began_at).label("last"), sa.func.sum(sa.case((RUNS.c.state == "running", 1), else_=0)).label("busy"))
    seen = {r.owner: (r.busy or 0, r.last or 0.0) for r in link.execute(begun.where(RUNS.c.owner.in_(owners)).group_by(RUNS.c.owner))}
    return fair([(r.id, r.owner) for r in waiting], seen)


def fair(waiting: list[tuple[str, str]], seen: dict[str, tuple[int, float]]) -> list[str]:
    """Order of (run, owner), oldest first, given each owner's (runs at work, time of the last turn).

    Owners with fewer runs at work go first, among them who had the last turn longest ago; then round and round.
    """
    own: dict[str, list[str]] = defaultdict(list)
    for run, owner in waiting:
        own[owner].append(run)
    first = {owner: i for i, owner in enumerate(own)}
    turns = [(seen.get(o, (0, 0.0))[0] + k, seen.get(o, (0, 0.0))[1] if k == 0 else float("inf"), first[o], run) for o, runs in own.items() for k, run in enumerate(runs)]
    return [run for *_, run in sorted(turns)]
