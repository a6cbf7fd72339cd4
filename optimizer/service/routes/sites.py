"""Sites: check a drawing, keep, list, look, change, delete."""

from __future__ import annotations

from fastapi import APIRouter

from .. import sites
from ..asked import Key, Page, TheDrawer, TheSettings, TheStore, User
from ..bodies import StrictRoute
from ..shapes import SiteCheck, SiteIn

router = APIRouter(prefix="/api/sites", tags=["sites"], route_class=StrictRoute)


@router.post("/check")
def check(body: SiteCheck, user: User, draw: TheDrawer) -> dict:
    """Faults and warnings of a site file, and its drawing in local metres. Nothing is kept."""
    return sites.checked(draw, body.form, body.content)


@router.post("", status_code=201)
def create(body: SiteIn, user: User, store: TheStore, draw: TheDrawer, settings: TheSettings, key: Key) -> dict:
    """Keep a site."""
    return sites.keep(store, draw, user, body.name, body.form, body.content, settings.limits, key)


@router.get("")
def listed(user: User, store: TheStore, page: Page) -> dict:
    """Your sites, newest first."""
    return sites.listed(store, user, *page)


@router.get("/{site}")
def one(site: str, user: User, store: TheStore) -> dict:
    """A site: its content and its drawing."""
    return sites.one(store, user, site)


@router.put("/{site}")
def change(site: str, body: SiteIn, user: User, store: TheStore, draw: TheDrawer) -> dict:
    """Give a site another content; runs made before keep theirs."""
    return sites.change(store, draw, user, site, body.name, body.form, body.content)


@router.delete("/{site}", status_code=204)
def forget(site: str, user: User, store: TheStore) -> None:
    """Delete a site."""
    sites.forget(store, user, site)
