"""The application: routes, guard, error form, page, and the threads that live with it. `create_app(settings)` opens nothing yet."""

from __future__ import annotations

import asyncio
import threading
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import FastAPI
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse, Response
from fastapi.staticfiles import StaticFiles

from .. import __version__
from ..compiling import compile_all
from . import faults
from .desk import Desk
from .events import Hub
from .foreman import Foreman
from .guard import Guard
from .reading import reading_page
from .routes import about, designs, runs, sites
from .settings import ServiceSettings
from .shapes import PROBLEMS
from .store import Store

AHEAD_AFTER_S = 2.0  # the first view comes before compiling does
STATIC = Path(__file__).parent / "static"
WORDS = (
    "Which wire, hung where, from which parts, for a small plot and a purse. Figures are computed estimates: trim and verify. "
    "Where GET /api/about says needs_token, send Authorization: Bearer TOKEN, or sign in once by POST /api/session. "
    "A creation sent again with its Idempotency-Key is made once. Lists come in pages: next goes back as after."
)


def create_app(settings: ServiceSettings) -> FastAPI:
    """The service over what `settings` names; it starts working when its lifespan begins."""
    app = FastAPI(
        title="lotwire", version=__version__, description=WORDS, openapi_url="/api/openapi.json", docs_url=None, redoc_url=None,
        lifespan=_life, responses=PROBLEMS, redirect_slashes=False,
    )  # fmt: skip
    store = Store(settings.store_url)
    app.state.settings, app.state.store, app.state.foreman = settings, store, Foreman(settings, store)
    faults.install(app)
    for part in (about, sites, runs, designs):
        app.include_router(part.router)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    app.add_api_route("/", _index, include_in_schema=False)
    app.add_api_route("/api", lambda: HTMLResponse(reading_page(app.openapi())), include_in_schema=False)
    app.add_middleware(Guard, settings=settings)
    return app


def _index() -> Response:
    """The page; an install without it still has the interface."""
    page = STATIC / "index.html"
    return FileResponse(page) if page.exists() else RedirectResponse("/api")


@asynccontextmanager
async def _life(app: FastAPI):
    """Store open, hub looking, foreman at work; all ended in the reverse order."""
    settings = app.state.settings
    settings.home.mkdir(parents=True, exist_ok=True)
    app.state.desk = Desk()
    app.state.hub = hub = Hub(settings, app.state.store)
    minding = asyncio.create_task(hub.mind())
    app.state.foreman.start()
    if settings.compiles_ahead:
        ahead = threading.Timer(AHEAD_AFTER_S, compile_all, kwargs={"kindly": True})
        ahead.daemon = True
        ahead.start()
    try:
        yield
    finally:
        await hub.close()
        await minding
        app.state.desk.close()
        await asyncio.to_thread(app.state.foreman.close)
        app.state.store.close()
