"""Things that belong to nobody: bands, the space planner, what this service is and allows, signing in with a token."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import JSONResponse, Response

from ... import __version__
from ...errors import NothingFits
from ...families.family import NoPlace
from ...families.planner import planned, words
from ...physics.bands import SEGMENTS, band_table
from ..asked import TheSettings, User
from ..bodies import StrictRoute
from ..faults import Refused
from ..shapes import PlanIn, SessionIn
from ..users import COOKIE, hash_of

router = APIRouter(prefix="/api", route_class=StrictRoute)


@router.get("/about", tags=["service"])
def about(request: Request, settings: TheSettings) -> dict:
    """Version, limits, and whether a token is needed (`user` is null until one is given)."""
    user = request.scope.get("user")
    return {"name": "lotwire", "version": __version__, "user": user, "needs_token": bool(settings.tokens), "limits": asdict(settings.limits)}


@router.post("/session", tags=["service"], status_code=204)
def sign_in(body: SessionIn, request: Request, settings: TheSettings) -> Response:
    """Keep a token in a cookie that scripts cannot read, so that links to sheets and drawings work in a browser."""
    if settings.tokens and hash_of(body.token) not in settings.tokens:
        raise Refused("not_allowed", "that token is not known")
    answer = Response(status_code=204)
    answer.set_cookie(COOKIE, body.token, path="/api", httponly=True, samesite="strict", secure=request.url.scheme == "https")
    return answer


@router.delete("/session", tags=["service"], status_code=204)
def sign_out() -> Response:
    """Forget the cookie."""
    answer = Response(status_code=204)
    answer.delete_cookie(COOKIE, path="/api")
    return answer


@router.get("/bands", tags=["bands"])
def bands(user: User, itu_region: Annotated[int, Query(ge=1, le=3)] = 1, country: Annotated[str | None, Query(max_length=60)] = None) -> dict:
    """Bands with their edges and segments, for an ITU region and where known a country [Hz]."""
    found = band_table(itu_region, country)
    return {"itu_region": itu_region, "country": country, "segments": list(SEGMENTS), "bands": [asdict(b) for b in found.values()]}


@router.post("/plan", tags=["plan"])
def plan(body: PlanIn, user: User) -> JSONResponse:
    """What a wire over one support takes up, or the longest wire that there is room for. No search."""
    ends = (body.ends_m, body.ends_m if body.far_end_m is None else body.far_end_m)
    try:
        room = planned(wire_m=body.wire_m, mast_m=body.mast_m, first_share=body.first_share, ends_m=ends, turn_deg=body.turn_deg, room_m=body.room_m)
    except NoPlace as missed:
        raise NothingFits({"plan": str(missed)}, [str(missed)]) from missed
    return JSONResponse(room.numbers() | {"words": words(room)})
