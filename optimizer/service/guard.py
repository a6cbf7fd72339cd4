"""What stands before every route: host and origin, token, rate, size of the body, security headers, a log line without secrets.

Pure ASGI, so that event streams pass unhindered. Bodies are read here, bounded in size and time, and handed on whole.
"""

from __future__ import annotations

import asyncio
import logging
import time
from urllib.parse import urlsplit

from . import policy
from .faults import Refused, answer
from .rates import Rates
from .settings import ServiceSettings
from .users import token_in, user_of

HEADERS = {
    b"x-content-type-options": b"nosniff",
    b"referrer-policy": b"no-referrer",
    b"cross-origin-opener-policy": b"same-origin",
    b"cross-origin-resource-policy": b"same-origin",
    b"permissions-policy": b"camera=(), microphone=(), geolocation=()",
    b"x-frame-options": b"SAMEORIGIN",
}
LOOPBACK = {"localhost", "127.0.0.1", "::1"}
SAFE = {"GET", "HEAD", "OPTIONS"}
OPEN_PATHS = {"/api", "/api/openapi.json", "/api/session", "/api/about"}
BODY_S = 30.0
log = logging.getLogger("lotwire.access")


class Guard:
    def __init__(self, app, settings: ServiceSettings):
        self.app, self.settings, limits = app, settings, settings.limits
        self.rates = Rates(limits.requests_per_s, limits.requests_at_once)
        self.wrong = Rates(limits.wrong_tokens_per_s, limits.wrong_tokens_at_once)

    async def __call__(self, scope, receive, send):
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status = time.monotonic(), 0

        async def sending(message):
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                message = {**message, "headers": self._headers(scope, message["headers"])}
            await send(message)

        try:
            self._admit(scope)
            body = await self._body(scope, receive)
        except Refused as no:
            headers = {"WWW-Authenticate": "Bearer"} if no.status == 401 else {"Retry-After": "1"} if no.status == 429 else None
            await answer(no.kind, no.message, status=no.status, headers=headers)(scope, receive, sending)
        else:
            await self.app(scope, body, sending)
        took = 1000 * (time.monotonic() - began)
        log.info("%s %s %d %.0f ms %s", scope["method"], _plain(scope["path"]), status, took, scope.get("user", "-"))

    def _admit(self, scope) -> None:
        """Raises Refused for whoever may not come in."""
        headers = dict(scope["headers"])
        host = headers.get(b"host", b"").decode("latin-1")
        if self.settings.loopback and not self.settings.tokens and _name(host) not in LOOPBACK:
            raise Refused("not_allowed", "this service answers to localhost only", status=403)
        origin = headers.get(b"origin")
        if scope["method"] not in SAFE and origin is not None and urlsplit(origin.decode("latin-1")).netloc != host:
            raise Refused("not_allowed", "requests from other pages are not taken", status=403)
        if "\x00" in scope["path"]:
            raise Refused("not_found", "no such thing")
        address = (scope.get("client") or ("-",))[0]
        user = user_of(self.settings.tokens, headers)
        if user is None and token_in(headers) is not None and not self.wrong.take(address):
            raise Refused("too_many", "too many wrong tokens; wait a little")
        if not self.rates.take(user or address):
            raise Refused("too_many", "too many requests; wait a second")
        if user is None and scope["path"].startswith("/api/") and scope["path"] not in OPEN_PATHS:
            raise Refused("not_allowed", "a token is needed: Authorization: Bearer TOKEN")
        scope["user"] = user

    async def _body(self, scope, receive):
        """A `receive` that gives the whole body at once."""
        if scope["method"] in SAFE:
            return receive
        most = self.settings.limits.body_bytes
        body = await _read(receive, most)
        if body is None:
            raise Refused("bad_input", f"the body may have at most {most} bytes", status=413)
        given = False

        async def again():
            nonlocal given
            if given:
                return await receive()
            given = True
            return {"type": "http.request", "body": body, "more_body": False}

        return again

    def _headers(self, scope, given):
        names = {name.lower() for name, _ in given}
        more = {**HEADERS, b"content-security-policy": policy.PAGE.encode()}
        more[b"cache-control"] = b"no-cache" if not scope["path"].startswith("/api") else b"no-store"
        return [*given, *((k, v) for k, v in more.items() if k not in names)]


async def _read(receive, most: int) -> bytes | None:
    """The whole body, None where it is too long. Raises Refused where it is too slow."""
    parts, size = [], 0
    try:
        async with asyncio.timeout(BODY_S):
            while True:
                message = await receive()
                part = message.get("body", b"")
                size += len(part)
                if size > most:
                    return None
                parts.append(part)
                if not message.get("more_body", False):
                    return b"".join(parts)
    except TimeoutError:
        raise Refused("bad_input", f"the body took more than {BODY_S:.0f} s", status=408) from None


def _name(host: str) -> str:
    """Host without port and brackets."""
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:
        return ""


def _plain(path: str) -> str:
    """A path that cannot break a log line."""
    return path[:200].encode("ascii", "backslashreplace").decode().replace("\n", "\\n").replace("\r", "\\r")
