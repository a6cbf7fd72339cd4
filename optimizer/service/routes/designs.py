"""One design of a run: its file, drawings, curves, sky, sheet, and the trim log."""

from __future__ import annotations

from pathlib import Path as FilePath
from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Path, Query
from fastapi.responses import Response

from .. import made, policy, runs, trimlog
from ..asked import TheDesk, TheSettings, TheStore, User
from ..bodies import StrictRoute
from ..faults import Refused
from ..folders import run_folder
from ..shapes import MeasuredIn, ReadingIn

router = APIRouter(prefix="/api/runs/{run}/designs/{rank}", tags=["designs"], route_class=StrictRoute)
Lengths = Annotated[Literal["metric", "imperial"], Query(description="how lengths are written")]


def _folder(run: str, rank: Annotated[int, Path(ge=1, le=1000)], user: User, store: TheStore, settings: TheSettings) -> FilePath:
    """The folder of the user's run, where it holds that design."""
    row = runs.row_of(store, user, run)
    if row.state in ("waiting", "running"):
        raise Refused("not_found", "designs are filed when the run is over")
    folder = run_folder(settings.home, row.id)
    if not (folder / "designs" / f"{rank}.json").exists():
        raise Refused("not_found", "no such design")
    return folder


Folder = Annotated[FilePath, Depends(_folder)]


class _Maker:
    """Gives what is kept, else has it made at the desk."""

    def __init__(self, folder: Folder, rank: int, desk: TheDesk):
        self.folder, self.rank, self.desk = folder, rank, desk

    def get(self, name: str) -> bytes:
        return made.kept(self.folder, self.rank, name) or self.desk.ask(made.make, self.folder, self.rank, name)


Maker = Annotated[_Maker, Depends(_Maker)]


@router.get("")
def design(folder: Folder, rank: int) -> Response:
    """The design file: parts, placement, trimming, wire cases, safety."""
    return Response(made.design(folder, rank), media_type="application/json")


@router.get("/plan.svg")
def plan(maker: Maker) -> Response:
    """The lot from above with the design on it."""
    return _document(maker.get("plan.svg"), "image/svg+xml")


@router.get("/side.svg")
def side(maker: Maker) -> Response:
    """The design from the side, heights true."""
    return _document(maker.get("side.svg"), "image/svg+xml")


@router.get("/curves")
def curves(maker: Maker) -> Response:
    """SWR at the radio by frequency, segment by segment."""
    return Response(maker.get("curves.json"), media_type="application/json")


@router.get("/sky")
def sky(maker: Maker) -> Response:
    """Gain by elevation and by bearing, segment by segment."""
    return Response(maker.get("sky.json"), media_type="application/json")


@router.get("/sheet.html")
def sheet(maker: Maker, lengths: Lengths = "metric") -> Response:
    """The build sheet as a page."""
    return _document(maker.get(f"sheet-{lengths}.html"), "text/html")


@router.get("/sheet.pdf")
def sheet_pdf(maker: Maker, lengths: Lengths = "metric") -> Response:
    """The build sheet for printing, where the PDF engine is installed."""
    headers = {"Content-Disposition": f'inline; filename="sheet-{maker.rank}.pdf"'}
    return Response(maker.get(f"sheet-{lengths}.pdf"), media_type="application/pdf", headers=headers)


@router.get("/readings")
def readings(folder: Folder, rank: int, desk: TheDesk) -> dict:
    """The trim log, oldest first."""
    return {"items": desk.ask(trimlog.log, folder, rank), "next": None}


@router.post("/readings", status_code=201)
def advise(body: ReadingIn, folder: Folder, rank: int, desk: TheDesk, settings: TheSettings) -> dict:
    """Take a reading at the wire; the advice: how far to cut or fold, stop, or what is wrong. Without a reading: from the log as it is."""
    return desk.ask(trimlog.advise, folder, rank, body.model_dump(), settings.limits.readings)


@router.delete("/readings")
def strike(folder: Folder, rank: int, desk: TheDesk) -> dict:
    """Take the last reading back; the log then."""
    return {"items": desk.ask(trimlog.strike, folder, rank), "next": None}


@router.post("/verify")
def verify(body: MeasuredIn, folder: Folder, rank: int, desk: TheDesk) -> dict:
    """The built wire checked: what was measured over what was expected, band by band, and what the difference suggests."""
    return desk.ask(trimlog.verify, folder, rank, body.model_dump())


def _document(text: bytes, media_type: str) -> Response:
    return Response(text, media_type=media_type, headers={"Content-Security-Policy": policy.for_document(text.decode())})
