"""Creation that may be sent twice: the same key and request get the first answer, the same key with another request is refused."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Callable

import sqlalchemy as sa

from .faults import Refused
from .store import ANSWERS, Store

KEPT_S = 7 * 24 * 3600.0


def once(store: Store, owner: str, key: str | None, asked, make: Callable) -> dict:
    """`make(link)` → answer, in one transaction with the note that it was given. No key: made every time."""
    try:
        return _once(store, owner, key, asked, make)
    except sa.exc.IntegrityError:  # the same request at the same moment was quicker
        return _once(store, owner, key, asked, make)


def _once(store: Store, owner: str, key: str | None, asked, make: Callable) -> dict:
    with store.write() as link:
        if key is None:
            return make(link)
        print_of = hashlib.sha256(json.dumps(asked, sort_keys=True).encode()).hexdigest()
        mine = sa.and_(ANSWERS.c.owner == owner, ANSWERS.c.key == key)
        now = time.time()
        link.execute(sa.delete(ANSWERS).where(ANSWERS.c.made_at < now - KEPT_S))
        known = link.execute(sa.select(ANSWERS).where(mine)).first()
        if known is not None:
            if known.asked != print_of:
                raise Refused("bad_input", "this Idempotency-Key was used for another request", status=409)
            return json.loads(known.answer)
        answer = make(link)
        link.execute(sa.insert(ANSWERS).values(owner=owner, key=key, asked=print_of, answer=json.dumps(answer), made_at=now))
        return answer

