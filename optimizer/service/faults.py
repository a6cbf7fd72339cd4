"""One error form for every route: `{"error": {"kind", "message", "faults": [{"field", "value", "allowed", "hint"}]}}`."""

from __future__ import annotations

import logging

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from ..errors import Fault, InputError, LotwireError, NothingFits

log = logging.getLogger("lotwire.service")
STATUS = {"bad_input": 422, "not_found": 404, "not_allowed": 401, "too_many": 429, "nothing_fits": 409, "busy": 409, "our_fault": 500}
KIND_OF_STATUS = {400: "bad_input", 401: "not_allowed", 403: "not_allowed", 404: "not_found", 429: "too_many", 503: "busy"}
SHOWN = 200
MOST_FAULTS = 100


class Refused(LotwireError):
    """A request that is turned away. `status` where it is not the kind's own."""

    def __init__(self, kind: str, message: str, *, status: int | None = None, faults: tuple[Fault, ...] = ()):
        self.kind, self.message, self.faults = kind, message, faults
        self.status = status or STATUS[kind]
        super().__init__(message)

    def __reduce__(self):
        return _refused, (self.kind, self.message, self.status, self.faults)


def _refused(kind, message, status, faults) -> Refused:
    return Refused(kind, message, status=status, faults=faults)


def error_body(kind: str, message: str, faults=()) -> dict:
    return {"error": {"kind": kind, "message": message, "faults": [fault_body(f) for f in faults[:MOST_FAULTS]]}}


def fault_body(fault: Fault) -> dict:
    shown = fault.value if fault.value is None or isinstance(fault.value, (bool, int, float)) else str(fault.value)
    text = "" if shown is None else str(shown)[:SHOWN]
    field = fault.field[2:].replace("-", "_") if fault.field.startswith("--") else fault.field  # an option is a member here
    return {"field": _printable(field[:SHOWN]), "value": _printable(text), "allowed": _printable(fault.allowed[: 2 * SHOWN]), "hint": _printable(fault.hint)}


def _printable(text: str) -> str:
    """Text that any reader of JSON can take: half characters shown as marks."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def answer(kind: str, message: str, faults=(), *, status: int | None = None, headers=None) -> JSONResponse:
    return JSONResponse(error_body(kind, _printable(message), faults), status_code=status or STATUS[kind], headers=headers)


def of_validation(errors) -> tuple[Fault, ...]:
    """Pydantic's findings as faults."""
    return tuple(
        Fault("request", ".".join(str(p) for p in e["loc"] if p != "body") or "body", e.get("input"), e["msg"]) for e in errors
    )


def install(app: FastAPI) -> None:
    """Make every error of the application take the one form."""

    @app.exception_handler(Refused)
    async def refused(_: Request, error: Refused):
        headers = {"WWW-Authenticate": "Bearer"} if error.status == 401 else {"Retry-After": "1"} if error.status == 429 else None
        return answer(error.kind, error.message, error.faults, status=error.status, headers=headers)

    @app.exception_handler(InputError)
    async def bad_input(_: Request, error: InputError):
        return answer("bad_input", f"{len(error.faults)} fault{'s' if len(error.faults) != 1 else ''} in what was sent", error.faults)

    @app.exception_handler(RequestValidationError)
    async def bad_form(_: Request, error: RequestValidationError):
        return answer("bad_input", "the request does not have the documented form", of_validation(error.errors()))

    @app.exception_handler(NothingFits)
    async def nothing(_: Request, error: NothingFits):
        faults = tuple(Fault("site", family, None, reason) for family, reason in error.reasons.items())
        return answer("nothing_fits", "; ".join(error.relaxations) or "nothing fits", faults)

    @app.exception_handler(LotwireError)
    async def broke_down(_: Request, error: LotwireError):
        return answer("our_fault", str(error))

    @app.exception_handler(HTTPException)
    async def http(_: Request, error: HTTPException):
        kind = KIND_OF_STATUS.get(error.status_code, "our_fault" if error.status_code >= 500 else "bad_input")
        return answer(kind, str(error.detail), status=error.status_code, headers=getattr(error, "headers", None))

    @app.exception_handler(Exception)
    async def ours(request: Request, error: Exception):
        log.error("%s %s failed", request.method, request.url.path, exc_info=error)
        return answer("our_fault", "something went wrong here; it is noted in the service's log")
