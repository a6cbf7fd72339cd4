"""Server-sent events of a run: `state`, `progress`, `table`. One reader of the store serves every page that looks on.

An event's id is the run's `seq` at which that part last changed, so a page that comes back with Last-Event-ID gets each part that is newer
and nothing twice; no log of events is kept. A run that is over ends the stream; coming back to it with nothing new gets 204,
on which a browser stops asking.
"""

from __future__ import annotations

import asyncio
from collections import Counter
from dataclasses import dataclass

from fastapi.concurrency import run_in_threadpool
from fastapi.responses import Response, StreamingResponse

from . import runs
from .bodies import compact
from .faults import Refused
from .folders import TABLE, run_folder
from .settings import ServiceSettings
from .store import Store

LOOK_EVERY_S = 0.3
BREATH_S = 15.0
HEADERS = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}


@dataclass(frozen=True)
class Moment:
    """A run as last seen. `parts`: event → (seq of its last change, data); `over`: nothing more will come."""

    owner: str
    seq: int
    place: int | None
    parts: dict[str, tuple[int, bytes]]
    over: bool


class Hub:
    """Looks at the runs that somebody watches, and wakes their streams."""

    def __init__(self, settings: ServiceSettings, store: Store):
        self.settings, self.store = settings, store
        self.moments: dict[str, Moment | None] = {}
        self.watched: Counter = Counter()
        self.streams: Counter = Counter()  # by user
        self.news = asyncio.Condition()
        self.closing = False

    async def mind(self) -> None:
        """Runs as long as the service."""
        while not self.closing:
            if self.watched:
                await self.look(list(self.watched))
            await asyncio.sleep(LOOK_EVERY_S)

    async def close(self) -> None:
        self.closing = True
        async with self.news:
            self.news.notify_all()

    async def look(self, watched: list[str]) -> None:
        fresh = await run_in_threadpool(self._moments, watched)
        async with self.news:
            self.moments |= fresh
            self.moments = {k: v for k, v in self.moments.items() if k in self.watched or k in watched}
            self.news.notify_all()

    def _moments(self, watched: list[str]) -> dict[str, Moment | None]:
        waiting = runs.places(self.store)
        found: dict[str, Moment | None] = {run: None for run in watched}
        for row in runs.rows_of(self.store, watched):
            old = self.moments.get(row.id)
            same = old is not None and (old.seq, old.place) == (row.seq, waiting.get(row.id))
            found[row.id] = old if same and not (old.over is False and row.state in runs.ENDED) else self._moment(row, waiting, old)
        return found

    def _moment(self, row, waiting: dict[str, int], old: Moment | None) -> Moment:
        shown = runs.shown(row, waiting)
        parts = {"state": (row.state_seq, compact(shown))}
        if row.progress_json:
            parts["progress"] = (row.progress_seq, row.progress_json.encode())
        if row.table_seq:
            known = old and old.parts.get("table")
            parts["table"] = known if known and known[0] == row.table_seq else (row.table_seq, self._table(row.id))
        over = row.state in runs.ENDED and row.held_until is None
        return Moment(row.owner, row.seq, shown["place"], parts, over)

    def _table(self, run: str) -> bytes:
        try:
            return compact_file(run_folder(self.settings.home, run) / TABLE)
        except OSError:
            return b"null"


def compact_file(path) -> bytes:
    """A JSON file on one line."""
    return b" ".join(line.strip() for line in path.read_bytes().splitlines())


async def stream(hub: Hub, user: str, run: str, last_id: str | None) -> Response:
    """The stream, or 204 where the run is over and the caller knows all of it. Raises Refused."""
    seen = int(last_id) if last_id and last_id.isascii() and last_id.isdigit() and len(last_id) < 12 else 0
    if hub.streams[user] >= hub.settings.limits.streams:
        raise Refused("too_many", f"at most {hub.settings.limits.streams} event streams at a time")
    if run not in hub.moments:
        await hub.look([run])
    moment = hub.moments.get(run)
    if moment is None or moment.owner != user:
        raise Refused("not_found", "no such run")
    if moment.over and all(seq <= seen for seq, _ in moment.parts.values()):
        return Response(status_code=204)
    return StreamingResponse(_events(hub, user, run, seen), media_type="text/event-stream", headers=HEADERS)


async def _events(hub: Hub, user: str, run: str, seen: int):
    hub.watched[run] += 1
    hub.streams[user] += 1
    told = {"state": seen, "progress": seen, "table": seen}
    place: object = ...
    try:
        yield b"retry: 1000\n\n"
        while not hub.closing:
            moment = hub.moments.get(run)
            if moment is None and run in hub.moments:
                return
            if moment is not None:
                due = [(seq, name, data) for name, (seq, data) in moment.parts.items() if seq > told[name] or (name == "state" and moment.place != place is not ...)]
                place = moment.place
                for seq, name, data in sorted(due):
                    told[name] = seq
                    yield b"id: %d\nevent: %s\ndata: %s\n\n" % (seq, name.encode(), data)
                if moment.over:
                    return
            if not await _news(hub):
                yield b": still here\n\n"
    finally:
        hub.watched[run] -= 1
        hub.streams[user] -= 1
        hub.watched, hub.streams = +hub.watched, +hub.streams


async def _news(hub: Hub) -> bool:
    """Wait for the next look; False where nothing came for a while."""
    try:
        async with asyncio.timeout(BREATH_S):
            async with hub.news:
                await hub.news.wait()
        return True
    except TimeoutError:
        return False
