"""The ledger: one row per finished evaluation, so that no solve is ever done twice.

An evaluation counts as finished when it is committed; commits are at most `COMMIT_EVERY_S` apart. SQLite by default
(a file beside the results, in write-ahead mode), any SQLAlchemy URL otherwise. A store that is damaged is set aside
and its readable rows are taken over.
"""

from __future__ import annotations

import json
import sqlite3
import time
from dataclasses import asdict, dataclass
from pathlib import Path

import sqlalchemy as sa

from ..criteria.exposure import Worst
from ..errors import Fault, InputError, LotwireError
from ..evaluate import Measurement
from ..figures import BandFigures
from ..spread import spread_from
from ..network.endure import Stands

COMMIT_EVERY_S = 0.5
_META = sa.MetaData()
ROWS = sa.Table(
    "evaluations",
    _META,
    sa.Column("key", sa.String(64), primary_key=True),
    sa.Column("problem", sa.String(64), index=True),
    sa.Column("family", sa.String(64)),
    sa.Column("storey", sa.String(16)),
    sa.Column("asked", sa.Text),
    sa.Column("design", sa.String(64)),
    sa.Column("found", sa.Text),
    sa.Column("failure", sa.Text),
)


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One finished evaluation. `asked`: the values tried, `found`: None when it failed, `design`: key after trimming."""

    key: str
    problem: str
    family: str
    storey: str
    asked: dict
    design: str = ""
    found: Measurement | None = None
    failure: str = ""


class Ledger:
    """Open it once per run, in the coordinator only. Use as a context manager: leaving it commits.

    where : a file, an SQLAlchemy URL, or None (in memory)
    Raises InputError where the store cannot be opened for writing.
    """

    def __init__(self, where: str | Path | None = None):
        self.path = None if where is None or "://" in str(where) else Path(where)
        self.note = ""
        self.waiting: dict[str, Entry] = {}
        self.known: dict[str, Entry] = {}
        try:
            self._open("sqlite://" if where is None else str(where))
        except (sa.exc.SQLAlchemyError, OSError) as error:
            why = str(getattr(error, "orig", error))
            raise InputError([Fault("results folder", "ledger", str(where), "a store that can be written", why)]) from error
        self.committed_at = time.monotonic()

    def _open(self, url: str) -> None:
        self.note = _checked(self.path) if self.path else ""
        self.engine = sa.create_engine(f"sqlite:///{self.path}" if self.path else url)
        _META.create_all(self.engine)
        if self.path:
            with self.engine.begin() as link:
                link.exec_driver_sql("PRAGMA journal_mode=WAL")
                link.exec_driver_sql("PRAGMA synchronous=NORMAL")
            salvage(self)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    def load(self, problem: str) -> tuple[Entry, ...]:
        """All entries of the problem, oldest first; kept in memory for `get`."""
        with self.engine.connect() as link:
            rows = link.execute(sa.select(ROWS).where(ROWS.c.problem == problem)).all()
        entries = tuple(e for e in map(_entry, rows) if e is not None)
        self.known |= {e.key: e for e in entries}
        return entries

    def problems(self) -> tuple[str, ...]:
        """Keys of all problems in the store."""
        with self.engine.connect() as link:
            return tuple(link.execute(sa.select(ROWS.c.problem).distinct()).scalars())

    def get(self, key: str) -> Entry | None:
        """A finished evaluation of the loaded problem, or one added since."""
        return self.known.get(key)

    def add(self, entry: Entry) -> None:
        """Keep; committed within `COMMIT_EVERY_S` as long as `tick` is called."""
        self.known[entry.key] = self.waiting[entry.key] = entry
        self.tick()

    def tick(self) -> None:
        """Commit when it is time."""
        if self.waiting and time.monotonic() - self.committed_at >= COMMIT_EVERY_S:
            self.commit()

    def commit(self) -> None:
        """Write all that waits, in one transaction."""
        if self.waiting:
            rows = [_row(e) for e in self.waiting.values()]
            try:
                with self.engine.begin() as link:
                    link.execute(sa.delete(ROWS).where(ROWS.c.key.in_([r["key"] for r in rows])))
                    link.execute(sa.insert(ROWS), rows)
            except sa.exc.OperationalError as error:
                raise LotwireError(f"the ledger {self.path or ''} cannot be written: {error.orig}; earlier work is kept") from error
            self.waiting = {}
        self.committed_at = time.monotonic()

    def close(self) -> None:
        self.commit()
        self.engine.dispose()


def _row(entry: Entry) -> dict:
    return {
        "key": entry.key,
        "problem": entry.problem,
        "family": entry.family,
        "storey": entry.storey,
        "asked": json.dumps(entry.asked),
        "design": entry.design,
        "found": json.dumps(asdict(entry.found)) if entry.found else None,
        "failure": entry.failure,
    }


def _entry(row) -> Entry | None:
    """An entry from its row; None when the row cannot be read."""
    try:
        found = json.loads(row.found) if row.found else None
        if found:
            bands = {k: _figures(b) for k, b in found["bands"].items()}
            kept = {"values": _plain(found["values"]), "bands": bands, "spread": spread_from(found.get("spread"))}
            found = Measurement(**{**found, **kept})
        return Entry(
            key=row.key, problem=row.problem, family=row.family, storey=row.storey,
            asked=_plain(json.loads(row.asked)), design=row.design or "", found=found, failure=row.failure or "",
        )  # fmt: skip
    except (ValueError, KeyError, TypeError):
        return None


def _plain(values: dict) -> dict:
    """Lists back to tuples, as families write them."""
    return {k: tuple(v) if isinstance(v, list) else v for k, v in values.items()}


def _figures(band: dict) -> BandFigures:
    curves = {name: tuple(band[name]) for name in ("freq_hz", "swr", "solved_hz")}
    exposure = Worst(**{**band["exposure"], "at_m": tuple(band["exposure"]["at_m"])})
    stands = {part: Stands(**s) for part, s in band["stands"].items()}
    return BandFigures(
        **{**band, **curves, "solved_ohm": tuple(map(tuple, band["solved_ohm"])), "exposure": exposure, "stands": stands}
    )


def _checked(path: Path) -> str:
    """Set a damaged file aside and say so; an empty text when all is well or nothing is there."""
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        return ""
    try:
        link = sqlite3.connect(path)
        try:
            sound = link.execute("PRAGMA quick_check").fetchone() == ("ok",)
        finally:
            link.close()
    except sqlite3.DatabaseError:
        sound = False
    if sound:
        return ""
    aside = path.with_suffix(f".damaged-{int(time.time())}")
    path.rename(aside)
    for tail in ("-wal", "-shm"):
        Path(f"{path}{tail}").unlink(missing_ok=True)
    return f"the ledger was damaged and is set aside as {aside.name}"


def salvage(ledger: Ledger) -> int:
    """Take over the readable rows of ledgers set aside and not yet salvaged; how many."""
    taken = 0
    for aside in sorted(ledger.path.parent.glob(f"{ledger.path.stem}.damaged-*")):
        if aside.suffix.endswith("-done"):
            continue
        rows = _readable(aside)
        if rows:
            with ledger.engine.begin() as link:
                link.execute(sa.insert(ROWS).prefix_with("OR IGNORE"), rows)
        taken += len(rows)
        aside.rename(aside.with_name(aside.name + "-done"))
    if taken:
        ledger.note += f"; {taken} evaluations taken over from it"
    return taken


def _readable(path: Path) -> list[dict]:
    """Rows that can still be read from a damaged file, one at a time."""
    names, rows = [c.name for c in ROWS.columns], []
    try:
        link = sqlite3.connect(path)
        cursor = link.execute(f"SELECT {', '.join(names)} FROM evaluations")
        while (row := cursor.fetchone()) is not None:
            rows.append(dict(zip(names, row)))
    except sqlite3.DatabaseError:
        pass
    return rows
