"""JSON bodies read strictly: no NaN, no infinities, no member twice, bounded depth and numbers. A fault is the one error form."""

from __future__ import annotations

import json

from fastapi import Request
from fastapi.routing import APIRoute

from ..errors import FaultList
from ..physics.documents import parse_json_value


class StrictRoute(APIRoute):
    """A route whose JSON body goes through the bounded reader."""

    def get_route_handler(self):
        handler = super().get_route_handler()

        async def strict(request: Request):
            return await handler(await _read(request))

        return strict


class _Parsed(Request):
    document: object = None

    async def json(self):
        return self.document


async def _read(request: Request) -> Request:
    body = await request.body()
    if not body or request.headers.get("content-type", "").split(";")[0].strip().lower() != "application/json":
        return request
    faults = FaultList("body")
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        faults.add("body", f"byte {error.start}", "UTF-8 text")
        faults.raise_if_any()
    document = parse_json_value(text, faults)
    faults.raise_if_any()
    parsed = _Parsed(request.scope, request.receive)
    parsed._body, parsed.document = body, document
    return parsed


def compact(content) -> bytes:
    return json.dumps(content, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()
