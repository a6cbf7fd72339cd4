"""Runs: queue, list, look, follow, cancel, delete, and their tables."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Header, Query, Request
from fastapi.responses import FileResponse, Response

from .. import runs
from ..asked import Key, Page, TheForeman, TheSettings, TheStore, User
from ..bodies import StrictRoute
from ..events import stream
from ..faults import Refused
from ..shapes import RunIn
from ..table import FILE
from ..work import run_folder

router = APIRouter(prefix="/api/runs", tags=["runs"], route_class=StrictRoute)


@router.post("", status_code=202)
def create(body: RunIn, user: User, store: TheStore, foreman: TheForeman, settings: TheSettings, key: Key) -> dict:
    """Queue a run."""
    made = runs.queue(store, user, body.model_dump(), settings.limits, key)
    foreman.call()
    return made


@router.get("")
def listed(user: User, store: TheStore, page: Page) -> dict:
    """Your runs, newest first."""
    return runs.listed(store, user, *page)


@router.get("/{run}")
def one(run: str, user: User, store: TheStore) -> dict:
    """State, progress and place in the queue."""
    return runs.one(store, user, run)


@router.post("/{run}/cancel")
def cancel(run: str, user: User, store: TheStore, foreman: TheForeman) -> dict:
    """Stop a run; what it has found so far stays."""
    answer = runs.cancel(store, user, run)
    foreman.call()
    return answer


@router.delete("/{run}", status_code=204)
def forget(run: str, user: User, store: TheStore, foreman: TheForeman) -> None:
    """Delete a run with all its results."""
    runs.forget(store, user, run)
    foreman.call()


@router.get("/{run}/events", responses={200: {"content": {"text/event-stream": {}}}, 204: {"description": "over, and nothing new"}})
async def events(run: str, user: User, request: Request, last_event_id: Annotated[str | None, Header()] = None) -> Response:
    """Server-sent events `state`, `progress` and `table`, each with an id; goes on from Last-Event-ID."""
    return await stream(request.app.state.hub, user, run, last_event_id)


@router.get("/{run}/table", responses={200: {"content": {"text/csv": {}}}})
def table(run: str, user: User, store: TheStore, settings: TheSettings, format: Annotated[Literal["json", "csv"], Query()] = "json") -> Response:
    """The ranked rows, while it works the best so far; rejected families with their reasons."""
    row = runs.row_of(store, user, run)
    path = run_folder(settings.home, row.id) / (FILE if format == "json" else "ranked.csv")
    if not row.table_seq or not path.exists():
        raise Refused("not_found", "no rows yet" if row.state in ("waiting", "running") else "this run has no rows")
    return FileResponse(path, media_type="application/json" if format == "json" else "text/csv")
