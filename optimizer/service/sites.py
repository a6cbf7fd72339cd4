"""Kept sites: checked on the way in, each seen by its owner only."""

from __future__ import annotations

import json
import time

import sqlalchemy as sa

from ..errors import InputError
from ..site.read import site_of
from .drawn import drawn
from .faults import Refused, fault_body
from .once import once
from .pages import page_of
from .settings import Limits
from .store import RUNS, SITES, Store, new_id


def as_text(form: str, content) -> str:
    """A site's content as the text a file would hold."""
    return content if isinstance(content, str) else json.dumps(content, ensure_ascii=False)


def checked(form: str, content) -> dict:
    """Faults, and where there are none the warnings and the drawing in local metres."""
    try:
        site = site_of(form, as_text(form, content))
    except InputError as bad:
        return {"ok": False, "faults": [fault_body(f) for f in bad.faults], "warnings": [], "drawing": None}
    return {"ok": True, "faults": [], "warnings": list(site.warnings), "drawing": drawn(site)}


def keep(store: Store, owner: str, name: str, form: str, content, limits: Limits, key: str | None = None) -> dict:
    """A new site. Raises InputError with every fault, Refused where the owner has too many."""
    text = as_text(form, content)
    drawing = drawn(site_of(form, text))

    def make(link) -> dict:
        if link.scalar(sa.select(sa.func.count()).where(SITES.c.owner == owner)) >= limits.sites:
            raise Refused("too_many", f"at most {limits.sites} sites are kept; delete one first")
        now, site = time.time(), new_id()
        row = {"id": site, "owner": owner, "name": name, "form": form, "content": text, "made_at": now, "changed_at": now}
        link.execute(sa.insert(SITES).values(**row, summary_json=json.dumps(_summary(drawing))))
        return {"id": site}

    return one(store, owner, once(store, owner, key, ["site", name, form, text], make)["id"])


def change(store: Store, owner: str, site: str, name: str, form: str, content) -> dict:
    """Another content under the same id; earlier runs keep what they were given."""
    text = as_text(form, content)
    drawing = drawn(site_of(form, text))
    values = {"name": name, "form": form, "content": text, "changed_at": time.time(), "summary_json": json.dumps(_summary(drawing))}
    with store.write() as link:
        if not link.execute(sa.update(SITES).where(_mine(owner, site)).values(**values)).rowcount:
            raise Refused("not_found", "no such site")
    return one(store, owner, site)


def one(store: Store, owner: str, site: str) -> dict:
    """A site with its content and drawing."""
    row = row_of(store, owner, site)
    content = json.loads(row.content) if row.form == "geojson" else row.content
    return _brief(row) | {"content": content, "drawing": drawn(site_of(row.form, row.content))}


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


def _summary(drawing: dict) -> dict:
    return {k: drawing[k] for k in ("area_m2", "height_limit_m", "itu_region", "country", "currency")}


def _brief(row) -> dict:
    return {
        "id": row.id, "name": row.name, "form": row.form, "summary": json.loads(row.summary_json),
        "made_at": row.made_at, "changed_at": row.changed_at,
    }  # fmt: skip
