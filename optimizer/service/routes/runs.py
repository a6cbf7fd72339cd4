"""Runs: queue, list, look, follow, cancel, delete, and their tables."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Literal

from fastapi import APIRouter, Header, Query, Request
from fastapi.responses import Response

from ...criteria.weights import read_weights
from .. import runs
from ..again import csv_again, ranked_again
from ..asked import Key, Page, TheDesk, TheForeman, TheSettings, TheStore, User
from ..bodies import StrictRoute
from ..events import stream
from ..faults import Refused
from ..folders import MOVED, TABLE, run_folder
from ..shapes import RerankIn, RerunIn, RunIn

router = APIRouter(prefix="/api/runs", tags=["runs"], route_class=StrictRoute)
Format = Annotated[Literal["json", "csv"], Query()]
WeightsText = Annotated[str | None, Query(max_length=200, description='as in "efficiency=0.5 gain=0.2"')]


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
def table(run: str, user: User, store: TheStore, settings: TheSettings, desk: TheDesk, format: Format = "json", weights: WeightsText = None) -> Response:
    """The ranked rows, while it works the best so far; rejected families with their reasons. With weights: the stored rows ranked by them."""
    row = runs.row_of(store, user, run)
    folder = run_folder(settings.home, row.id)
    kind = "application/json" if format == "json" else "text/csv"
    if weights is not None:
        _rested(row)
        return Response(desk.ask(ranked_again if format == "json" else csv_again, folder, asdict(read_weights(weights))), media_type=kind)
    path = folder / (TABLE if format == "json" else "ranked.csv")
    if not row.table_seq or not path.exists():
        raise Refused("not_found", "no rows yet" if row.state in ("waiting", "running") else "this run has no rows")
    return Response(path.read_bytes(), media_type=kind)  # read in one go: it may be replaced at any moment


@router.post("/{run}/rerank")
def rerank(run: str, body: RerankIn, user: User, store: TheStore, settings: TheSettings, desk: TheDesk) -> Response:
    """The stored rows ranked by other weights, at once; nothing is searched. `design_rank` names a row's design file."""
    row = runs.row_of(store, user, run)
    _rested(row)
    return Response(desk.ask(ranked_again, run_folder(settings.home, row.id), body.weights), media_type="application/json")


@router.post("/{run}/rerun", status_code=202)
def rerun(run: str, body: RerunIn, user: User, store: TheStore, foreman: TheForeman, settings: TheSettings, key: Key) -> dict:
    """Queue a run that reuses this one's work, with something changed."""
    made = runs.queue_again(store, user, run, body.model_dump(exclude_unset=True), settings.limits, key)
    foreman.call()
    return made


@router.get("/{run}/moved")
def moved(run: str, user: User, store: TheStore, settings: TheSettings) -> Response:
    """After a rerun: which wishes are other ones, and what entered, left and moved, and why."""
    path = run_folder(settings.home, runs.row_of(store, user, run).id) / MOVED
    if not path.exists():
        raise Refused("not_found", "this run is no rerun, or not done yet")
    return Response(path.read_bytes(), media_type="application/json")


def _rested(row) -> None:
    """Raises Refused where a run has no finished work to rank again."""
    if row.state in ("waiting", "running"):
        raise Refused("busy", "this run is still at work")
    if not row.table_seq:
        raise Refused("not_found", "this run has no rows")
