"""Kept sites: checked and drawn on the way in, each seen by its owner only.

`draw(form, text)` → drawing, raising InputError, is handed in: a big site is read at the desk, where its time is bounded.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable

import sqlalchemy as sa

from ..errors import InputError
from ..site.read import site_of
from .drawn import drawn
from .faults import MOST_FAULTS, Refused, fault_body
from .once import once
from .pages import page_of
from .settings import Limits
from .store import RUNS, SITES, Store, new_id

Draw = Callable[[str, str], dict]


def as_text(form: str, content) -> str:
    """A site's content as the text a file would hold."""
    return content if isinstance(content, str) else json.dumps(content, ensure_ascii=False)


def drawing_of(form: str, text: str) -> dict:
    """A site's drawing in local metres, with its warnings. Raises InputError with every fault."""
    site = site_of(form, text)
    return drawn(site) | {"warnings": list(site.warnings)}


def checked(draw: Draw, form: str, content) -> dict:
    """Faults, and where there are none the warnings and the drawing in local metres."""
    try:
        drawing = draw(form, as_text(form, content))
    except InputError as bad:
        return {"ok": False, "faults": [fault_body(f) for f in bad.faults[:MOST_FAULTS]], "warnings": [], "drawing": None}
    return {"ok": True, "faults": [], "warnings": drawing["warnings"], "drawing": drawing}


def keep(store: Store, draw: Draw, owner: str, name: str, form: str, content, limits: Limits, key: str | None = None) -> dict:
    """A new site. Raises InputError with every fault, Refused where the owner has too many."""
    text = as_text(form, content)
    values = _values(name, form, text, draw(form, text))

    def make(link) -> dict:
        if link.scalar(sa.select(sa.func.count()).where(SITES.c.owner == owner)) >= limits.sites:
            raise Refused("too_many", f"at most {limits.sites} sites are kept; delete one first")
        site = new_id()
        link.execute(sa.insert(SITES).values(id=site, owner=owner, made_at=values["changed_at"], **values))
        return {"id": site}

    return one(store, owner, once(store, owner, key, ["site", name, form, text], make)["id"])


def change(store: Store, draw: Draw, owner: str, site: str, name: str, form: str, content) -> dict:
    """Another content under the same id; earlier runs keep what they were given."""
    row_of(store, owner, site)
    text = as_text(form, content)
    values = _values(name, form, text, draw(form, text))
    with store.write() as link:
        if not link.execute(sa.update(SITES).where(_mine(owner, site)).values(**values)).rowcount:
            raise Refused("not_found", "no such site")
    return one(store, owner, site)


def one(store: Store, owner: str, site: str) -> dict:
    """A site with its content and drawing."""
    row = row_of(store, owner, site)
    content = json.loads(row.content) if row.form == "geojson" else row.content
    return _brief(row) | {"content": content, "drawing": json.loads(row.drawing_json)}


def row_of(store: Store, owner: str, site: str):
    with store.read() as link:
        row = link.execute(sa.select(SITES).where(_mine(owner, site))).first()
    if row is None:
        raise Refused("not_found", "no such site")
    return row


def listed(store: Store, owner: str, limit: int, after: str | None) -> dict:
    """A page of the owner's sites, newest first."""
    return page_of(store, SITES, SITES.c.owner == owner, limit, after, _brief)


def forget(store: Store, owner: str, site: str) -> None:
    """Delete a site. Its runs stay; while one of them waits or works the site stays too."""
    with store.write() as link:
        busy = sa.select(RUNS.c.id).where(RUNS.c.site == site, RUNS.c.owner == owner, RUNS.c.state.in_(("waiting", "running")), ~RUNS.c.gone)
        if link.execute(busy).first():
            raise Refused("busy", "a run works on this site; cancel it first")
        if not link.execute(sa.delete(SITES).where(_mine(owner, site))).rowcount:
            raise Refused("not_found", "no such site")


def _mine(owner: str, site: str):
    return sa.and_(SITES.c.id == site, SITES.c.owner == owner)


def _values(name: str, form: str, text: str, drawing: dict) -> dict:
    summary = {k: drawing[k] for k in ("area_m2", "height_limit_m", "itu_region", "country", "currency")}
    written = {"summary_json": json.dumps(summary), "drawing_json": json.dumps(drawing)}
    return {"name": name, "form": form, "content": text, "changed_at": time.time(), **written}


def _brief(row) -> dict:
    return {
        "id": row.id, "name": row.name, "form": row.form, "summary": json.loads(row.summary_json),
        "made_at": row.made_at, "changed_at": row.changed_at,
    }  # fmt: skip
