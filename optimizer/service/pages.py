"""Lists a page at a time: `{"items": […], "next": …}`, newest first; `next` goes back as `after`."""

from __future__ import annotations

import sqlalchemy as sa

from .store import Store, light


def page_of(store: Store, table: sa.Table, where, limit: int, after: str | None, show) -> dict:
    """At most `limit` rows after the one whose id is `after` (unknown: an empty page)."""
    newest = sa.select(*light(table)).where(where).order_by(table.c.made_at.desc(), table.c.id.desc()).limit(limit + 1)
    with store.read() as link:
        if after is not None:
            last = link.execute(sa.select(table.c.made_at, table.c.id).where(where, table.c.id == after)).first()
            if last is None:
                return {"items": [], "next": None}
            newest = newest.where(sa.tuple_(table.c.made_at, table.c.id) < sa.tuple_(last.made_at, last.id))
        rows = link.execute(newest).all()
    shown = rows[:limit]
    return {"items": [show(r) for r in shown], "next": shown[-1].id if len(rows) > limit else None}
