"""The service under load: `python tests/bench/bench_service.py [pages|memory|kills …] [--quick]`; figures go to the closing note.

    pages    50 pages open with live progress while two runs work: median and 99th percentile of table requests [ms], events seen
    memory   resident memory of the service before and after 100 short runs [MB]
    kills    20 kills of the server at random moments: every accepted site and run still there, every finished evaluation kept, all runs end
"""

import asyncio
import json
import os
import random
import signal
import statistics
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import urlsplit

sys.path.insert(0, str(Path(__file__).parents[1] / "service"))

from running import Server, until
from test_serve import begun, kept, keys

QUICK = "--quick" in sys.argv
PAGES, LOOK_S, RUN_S = (10, 1.0, 20) if QUICK else (50, 1.0, 90)
SHORT_RUNS, KILLS = (10, 4) if QUICK else (100, 20)
LONG_RUNS, RUN_TRIALS, MOST_BETWEEN_S = 2, 200, 5.0


def loads() -> str:
    return "load " + " ".join(f"{v:.1f}" for v in os.getloadavg())


def resident_mb(pid: int) -> float:
    pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


async def request(address: str, path: str) -> bytes:
    """A plain GET on a connection of its own, the whole answer."""
    where = urlsplit(address)
    reader, writer = await asyncio.open_connection(where.hostname, where.port)
    writer.write(f"GET {path} HTTP/1.1\r\nHost: {where.netloc}\r\nConnection: close\r\n\r\n".encode())
    answer = await reader.read()
    writer.close()
    return answer


async def page(address: str, run: str, until_s: float, took: list[float], events: list[int]) -> None:
    """One page: its event stream stays open, and it asks for the table now and then."""
    where = urlsplit(address)
    reader, writer = await asyncio.open_connection(where.hostname, where.port)
    writer.write(f"GET /api/runs/{run}/events HTTP/1.1\r\nHost: {where.netloc}\r\n\r\n".encode())
    listening = asyncio.create_task(listen(reader, events))
    await asyncio.sleep(random.random() * LOOK_S)
    while time.monotonic() < until_s:
        began = time.monotonic()
        answer = await request(address, f"/api/runs/{run}/table")
        if b" 200 " in answer[:20]:
            took.append(1000 * (time.monotonic() - began))
        await asyncio.sleep(LOOK_S)
    listening.cancel()
    writer.close()


async def listen(reader, events: list[int]) -> None:
    count = 0
    events.append(0)
    mine = len(events) - 1
    async for line in reader:
        count += line.startswith(b"event:")
        events[mine] = count


def pages() -> None:
    with TemporaryDirectory() as home, Server(home, "--at-once", 2, "--workers", 2) as server:
        site = kept(server)
        runs = [begun(server, site, seconds=RUN_S, seed=s) for s in (1, 2)]
        until(lambda: all(server.state(r)["has_table"] for r in runs), 300)
        took, events = [], []

        async def all_pages():
            end = time.monotonic() + 0.6 * RUN_S
            await asyncio.gather(*(page(server.address, runs[i % 2], end, took, events) for i in range(PAGES)))

        at = loads()
        asyncio.run(all_pages())
        took.sort()
        print(
            f"pages: {PAGES} open, {len(took)} table requests, median {statistics.median(took):.1f} ms, 99 % {took[int(0.99 * (len(took) - 1))]:.1f} ms, "
            f"longest {took[-1]:.1f} ms; events a page {min(events)} to {max(events)}; service {resident_mb(server.process.pid):.0f} MB; {at} → {loads()}"
        )


def memory() -> None:
    with TemporaryDirectory() as home, Server(home, "--at-once", 2, "--workers", 2) as server:
        site, began = kept(server), time.monotonic()
        figures = [(0, resident_mb(server.process.pid))]
        for done in range(0, SHORT_RUNS, 10):
            runs = [begun(server, site, trials=1, seed=done + i) for i in range(10)]
            states = [server.wait(r, 900)["state"] for r in runs]
            assert set(states) <= {"done", "nothing_fits"}, states
            figures.append((done + 10, resident_mb(server.process.pid)))
        told = ", ".join(f"{n}: {mb:.0f}" for n, mb in figures)
        print(f"memory of the service [MB] after so many runs: {told}; {time.monotonic() - began:.0f} s in all; {loads()}")


def kills() -> None:
    """Runs long enough to be hit several times; what was accepted or finished before a kill must be there after it."""
    rng = random.Random(1)
    with TemporaryDirectory() as home, Server(home, "--at-once", 2, "--workers", 2) as server:
        sites, seen, worked = [kept(server)], {}, 0
        runs = [begun(server, sites[0], trials=RUN_TRIALS, seed=n) for n in range(LONG_RUNS)]
        for _ in range(KILLS):
            sites.append(kept(server))
            runs += [begun(server, sites[0], trials=2, seed=99)] if rng.random() < 0.2 else []
            until(lambda: any(keys(server.folder(run)) - seen.get(run, set()) for run in runs), 600)
            time.sleep(rng.uniform(0.0, MOST_BETWEEN_S))
            now = {run: keys(server.folder(run)) for run in runs}
            worked += sum(len(now[run] - seen.get(run, set())) for run in runs)
            seen = now
            server.end(signal.SIGKILL)
            server.start()
            assert {s["id"] for s in server.call("GET", "/api/sites?limit=100")[1]["items"]} == set(sites), "a site was lost"
            assert {r["id"] for r in server.call("GET", "/api/runs?limit=100")[1]["items"]} == set(runs), "a run was lost"
            assert all(seen[run] <= keys(server.folder(run)) for run in runs), "a finished evaluation was lost"
        for run in runs[:LONG_RUNS]:
            server.call("POST", f"/api/runs/{run}/cancel", {})
        states = [server.wait(run, 3600)["state"] for run in runs]
        until(lambda: not server.workers(), 600)
        assert all(seen[run] <= keys(server.folder(run)) for run in runs), "a finished evaluation was lost"
        print(
            f"kills: {KILLS}; sites {len(sites)} and runs {len(runs)} all there; states {json.dumps({s: states.count(s) for s in sorted(set(states))})}; "
            f"{worked} evaluations finished before a kill, all kept; {loads()}"
        )


if __name__ == "__main__":
    wanted = [a for a in sys.argv[1:] if not a.startswith("--")] or ["pages", "memory", "kills"]
    for name in wanted:
        {"pages": pages, "memory": memory, "kills": kills}[name]()
