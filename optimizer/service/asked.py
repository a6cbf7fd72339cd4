"""What routes ask of a request: who it is from, where things are, pages and keys. Injected, so that tests may put others in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import Depends, Header, Query, Request

from .desk import Desk
from .faults import Refused
from .foreman import Foreman
from .settings import ServiceSettings
from .sites import drawing_of
from .store import Store

SMALL_SITE = 40_000  # characters, some thousand corners
BIG_SITE_S = 20.0


def _user(request: Request) -> str:
    user = request.scope.get("user")
    if user is None:
        raise Refused("not_allowed", "a token is needed: Authorization: Bearer TOKEN")
    return user


def _page(limit: Annotated[int, Query(ge=1, le=100)] = 50, after: Annotated[str | None, Query(pattern="^[0-9a-f]{1,64}$")] = None) -> tuple[int, str | None]:
    return limit, after


def _key(idempotency_key: Annotated[str | None, Header(min_length=1, max_length=200, description="sent again with the same body: the same answer")] = None):
    return idempotency_key


def _drawer(request: Request) -> Callable[[str, str], dict]:
    """Reads sites: small ones here, big ones at the desk."""

    def draw(form: str, text: str) -> dict:
        if len(text) <= SMALL_SITE:
            return drawing_of(form, text)
        return request.app.state.desk.ask(drawing_of, form, text, within_s=BIG_SITE_S)

    return draw


User = Annotated[str, Depends(_user)]
Page = Annotated[tuple[int, str | None], Depends(_page)]
Key = Annotated[str | None, Depends(_key)]
def _store(request: Request) -> Store:
    return request.app.state.store


def _foreman(request: Request) -> Foreman:
    return request.app.state.foreman


def _desk(request: Request) -> Desk:
    return request.app.state.desk


def _settings(request: Request) -> ServiceSettings:
    return request.app.state.settings


TheStore = Annotated[Store, Depends(_store)]
TheForeman = Annotated[Foreman, Depends(_foreman)]
TheSettings = Annotated[ServiceSettings, Depends(_settings)]
TheDesk = Annotated[Desk, Depends(_desk)]
TheDrawer = Annotated[Callable[[str, str], dict], Depends(_drawer)]
