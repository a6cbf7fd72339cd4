"""Server-sent events: each part once and in order, resumed by id, ended with the run, shared by many pages."""

import asyncio
import json
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager

import pytest
from service_help import ORDER

from optimizer.service import events, queue, runs
from optimizer.service.events import Hub, stream
from optimizer.service.faults import Refused
from optimizer.service.folders import run_folder
from optimizer.service.settings import Limits, ServiceSettings
from optimizer.service.store import Store


class Bench:
    """A store with one run at work, and a hub over it."""

    def __init__(self, home):
        self.settings = ServiceSettings(home=home, at_once=0, limits=Limits(streams=3))
        self.store = Store(self.settings.store_url)
        self.run = runs.put(self.store, "ada", "s", ORDER, Limits(), key=None, asked={})["id"]
        self.holder = queue.take(self.store)[1]
        self.hub = Hub(self.settings, self.store)

    def tell(self, share, rows=None):
        if rows is not None:
            folder = run_folder(self.settings.home, self.run)
            folder.mkdir(parents=True, exist_ok=True)
            (folder / "table.json").write_text(json.dumps({"rows": rows}, indent=1), encoding="utf-8")
        queue.tell(self.store, self.run, self.holder, progress={"share": share}, table=rows is not None)

    def end(self, state="done"):
        queue.end(self.store, self.run, self.holder, state)

    @asynccontextmanager
    async def open(self, last=None, user="ada"):
        answer = await stream(self.hub, user, self.run, last)
        body = answer.body_iterator
        try:
            yield Reader(body)
        finally:
            await body.aclose()


class Reader:
    def __init__(self, body):
        self.body = body

    async def some(self, count):
        """The next `count` events, as (id, name, data)."""
        found = []
        while len(found) < count:
            found += [parsed(await asyncio.wait_for(anext(self.body), 5))]
            found = [f for f in found if f]
        return found

    async def rest(self):
        return [e async for chunk in self.body if (e := parsed(chunk))]


def parsed(chunk):
    lines = dict(line.split(": ", 1) for line in chunk.decode().strip().splitlines() if not line.startswith(":"))
    return (int(lines["id"]), lines["event"], json.loads(lines["data"])) if "event" in lines else None


@pytest.fixture
def bench(tmp_path, monkeypatch):
    monkeypatch.setattr(events, "LOOK_EVERY_S", 0.02)
    bench = Bench(tmp_path)
    yield bench
    bench.store.close()


def played(bench, scene):
    async def whole():
        minding = asyncio.create_task(bench.hub.mind())
        try:
            return await asyncio.wait_for(scene(), 20)
        finally:
            await bench.hub.close()
            await minding

    with ThreadPoolExecutor(1) as apart:  # the browser's tests leave a running loop in the main thread
        return apart.submit(asyncio.run, whole()).result()


def test_a_page_sees_state_progress_and_table_then_the_end(bench):
    async def scene():
        async with bench.open() as page:
            first = await page.some(1)
            bench.tell(0.3)
            second = await page.some(1)
            bench.tell(0.6, rows=[{"rank": 1}])
            both = await page.some(2)
            bench.end()
            return first, second, both, await page.rest()

    first, second, both, last = played(bench, scene)
    assert first[0][1] == "state" and first[0][2]["state"] == "running"
    assert second[0][1:] == ("progress", {"share": 0.3})
    assert [(name, data) for _, name, data in both] == [("progress", {"share": 0.6}), ("table", {"rows": [{"rank": 1}]})]
    assert [(name, data["state"]) for _, name, data in last] == [("state", "done")]
    ids = [i for i, *_ in [*first, *second, *both, *last]]
    assert ids == sorted(ids)


def test_a_page_that_comes_back_gets_what_is_newer_and_nothing_twice(bench):
    async def scene():
        bench.tell(0.3, rows=[{"rank": 1}])
        async with bench.open() as page:
            seen = await page.some(3)
        bench.tell(0.7)
        async with bench.open(last=str(max(i for i, *_ in seen))) as page:
            return seen, await page.some(1)

    seen, again = played(bench, scene)
    assert {name for _, name, _ in seen} == {"state", "progress", "table"}
    assert [(name, data) for _, name, data in again] == [("progress", {"share": 0.7})]


def test_coming_back_to_a_run_that_is_over_with_nothing_new_ends_the_asking(bench):
    async def scene():
        bench.tell(0.5)
        bench.end()
        async with bench.open() as page:
            seen = await page.rest()
        return seen, (await stream(bench.hub, "ada", bench.run, str(max(i for i, *_ in seen)))).status_code

    seen, status = played(bench, scene)
    assert [name for _, name, _ in seen] == ["progress", "state"] and status == 204


def test_the_rows_of_a_stopped_run_still_come(bench):
    async def scene():
        async with bench.open() as page:
            await page.some(1)
            runs.cancel(bench.store, "ada", bench.run)
            stopped = await page.some(1)
            bench.tell(1.0, rows=[])
            bench.end()
            return stopped, await page.rest()

    stopped, rest = played(bench, scene)
    assert stopped[0][2]["state"] == "stopped"
    assert "table" in [name for _, name, _ in rest] and rest[-1][2].get("state", "stopped") == "stopped"


def test_many_pages_cost_one_look(bench, monkeypatch):
    looks = []
    rows_of = runs.rows_of
    monkeypatch.setattr(runs, "rows_of", lambda store, chosen: looks.append(tuple(chosen)) or rows_of(store, chosen))

    async def scene():
        async with bench.open() as a, bench.open() as b, bench.open() as c:
            for page in (a, b, c):
                await page.some(1)
            before = len(looks)
            await asyncio.sleep(0.3)
            with pytest.raises(Refused):
                await stream(bench.hub, "ada", bench.run, None)
            return before

    before = played(bench, scene)
    assert all(len(chosen) <= 1 for chosen in looks) and 1 <= len(looks) - before <= 20
    assert not bench.hub.streams and not bench.hub.watched


def test_others_see_nothing_and_a_deleted_run_ends(bench):
    async def scene():
        with pytest.raises(Refused, match="no such run"):
            async with bench.open(user="ben"):
                pass
        async with bench.open() as page:
            await page.some(1)
            runs.forget(bench.store, "ada", bench.run)
            return await page.rest()

    assert played(bench, scene) == []


def test_a_waiting_run_hears_of_its_place(bench):
    """The run at work ends; of two that wait the second moves up without a change of its own."""
    first, second = (runs.put(bench.store, "ada", "s", ORDER, Limits(), key=None, asked={"n": n})["id"] for n in (1, 2))
    bench.run = second

    async def scene():
        async with bench.open() as page:
            before = await page.some(1)
            assert queue.take(bench.store)[0] == first
            return before, await page.some(1)

    before, after = played(bench, scene)
    assert [e[0][2]["place"] for e in (before, after)] == [2, 1]
