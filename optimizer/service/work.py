"""The working process of one run: `python -m optimizer.service.work RUN HOLDER`, started by the service.

It ranks into the run's folder exactly as the command does, tells the store how far it is, and writes the rows so far. Told `stop` on
standard input it ends its search and writes up what there is; when standard input closes its server is gone, and it leaves at once
(the ledger keeps what was computed). Where things are comes by environment, so that no address shows in the list of processes.
"""

from __future__ import annotations

import logging
import os
import sys
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

from ..errors import FaultList, InputError, NothingFits
from . import queue
from .faults import fault_body
from .folders import SITE_FILES, run_folder
from .order import seconds_left, site_in, wishes_in
from .store import Store

STORE, HOME, CREW, CLUSTER = "LOTWIRE_STORE", "LOTWIRE_HOME", "LOTWIRE_CREW", "LOTWIRE_CLUSTER"
HOLD_EVERY_S, TELL_EVERY_S, TABLE_EVERY_S = 1.0, 0.4, 2.0
LEFT = 3  # exit status of a process that lost its server or its run
log = logging.getLogger("lotwire.work")


@dataclass
class Teller:
    """Passes progress on, not too often; writes the rows so far when they changed."""

    store: Store
    run: str
    holder: str
    folder: Path
    site: object
    wishes: object
    weights: object
    told_at: float = 0.0
    table_at: float = field(default_factory=time.monotonic)
    leaders: list = field(default_factory=list)

    def show(self, p) -> None:
        now = time.monotonic()
        if now - self.told_at < TELL_EVERY_S:
            return
        self.told_at = now
        progress = {
            "share": round(p.share, 4), "stage": p.stage, "tried": p.tried, "ruled_out": p.rejected, "reused": p.reused, "best_score": p.best,
            "best_design": p.best_title, "seconds_left": None if p.left_s is None else round(p.left_s, 1),
        }  # fmt: skip
        queue.tell(self.store, self.run, self.holder, progress=progress, table=self._table(p, now))

    def _table(self, p, now: float) -> bool:
        from .table import write_so_far

        if p.best is None or now - self.table_at < TABLE_EVERY_S:
            return False
        leaders, self.table_at = p.leaders(), now
        if [e.values for e in leaders] == [e.values for e in self.leaders]:
            return False
        self.leaders = leaders
        write_so_far(self.folder, self.site, self.wishes, self.weights, leaders)
        return True


def work(store: Store, run: str, holder: str, home: Path, crew: int, stop: threading.Event) -> None:
    """Do the run and end it in the store."""
    taken = queue.order_of(store, run, holder)
    if taken is None:
        return
    order, spent_s = taken
    threading.Thread(target=_hold, args=(store, run, holder, spent_s), daemon=True).start()
    try:
        _rank(store, run, holder, home, crew, order, spent_s, stop)
        end = ("done", None)
    except NothingFits as nothing:
        end = ("nothing_fits", {"reasons": nothing.reasons, "relaxations": nothing.relaxations})
    except InputError as bad:
        end = ("failed", {"message": "the order could not be read", "faults": [fault_body(f) for f in bad.faults]})
    except Exception:
        log.exception("run %s failed", run)
        end = ("failed", {"message": "something went wrong here; it is noted in the service's log"})
    queue.end(store, run, holder, *end)


def _rank(store, run, holder, home: Path, crew: int, order: dict, spent_s: float, stop) -> None:
    """Rank, or rerun where the order names an earlier run whose work is still there."""
    from ..criteria.weights import weights_of
    from ..report.folder import rank_into, rerun
    from ..search.settings import SearchSettings
    from .again import take_over, write_moves
    from .table import write_final

    folder = run_folder(home, run)
    site = site_in(order, stem=run)
    wishes, weights = wishes_in(order, site), weights_of(order["weights"], FaultList("order"))
    again = order["from"] is not None and take_over(run_folder(home, order["from"]), folder)
    folder.mkdir(parents=True, exist_ok=True)
    site_file = folder / SITE_FILES[order["site"]["form"]]
    same_site = again and site_file.exists() and site_file.read_text(encoding="utf-8") == order["site"]["content"]
    site_file.write_text(order["site"]["content"], encoding="utf-8")
    workers = 1 if order["trials"] is not None else crew  # a number of trials promises the same table again
    settings = SearchSettings(
        seconds=seconds_left(order, spent_s), trials=order["trials"], seed=order["seed"], workers=workers, weights=weights, cluster=os.environ.get(CLUSTER)
    )
    told = {"progress": Teller(store, run, holder, folder, site, wishes, weights).show, "stop": stop}
    if again:
        ranked = rerun(folder, lambda *_: wishes, settings, weights=weights, site_path=None if same_site else site_file, **told)
        write_moves(folder, ranked.moves, ranked.wishes_changed)
    else:
        ranked = rank_into(folder, site_file, site, wishes, settings, **told)
    write_final(folder, ranked)
    queue.tell(store, run, holder, table=True)


def _hold(store: Store, run: str, holder: str, spent_s: float) -> None:
    """Renew the hold; leave when the run is no longer ours."""
    began = time.monotonic()
    while queue.hold(store, run, holder, spent_s + time.monotonic() - began):
        time.sleep(HOLD_EVERY_S)
    os._exit(LEFT)


def _listen(stop: threading.Event) -> None:
    """Obey the server; leave with it."""
    for line in sys.stdin:
        if line.strip() == "stop":
            stop.set()
    os._exit(LEFT)


def main() -> None:
    logging.basicConfig(level=logging.WARNING)
    stop = threading.Event()
    threading.Thread(target=_listen, args=(stop,), daemon=True).start()
    run, holder = sys.argv[1:]
    store = Store(os.environ[STORE])
    work(store, run, holder, Path(os.environ[HOME]), int(os.environ[CREW]), stop)
    sys.stdout.flush()
    os._exit(0)  # the listening thread may sit in a read


if __name__ == "__main__":
    main()
