"""The ledger: one row per finished evaluation, so that no solve is ever done twice.

An evaluation counts as finished when it is committed; whoever records commits at once after each batch. SQLite by default
(a file beside the results, in write-ahead mode), any SQLAlchemy URL otherwise. A store that is damaged is set aside
and its readable rows are taken over (`salvage`).
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cached_property
from itertools import takewhile
from pathlib import Path

import sqlalchemy as sa

from ..errors import Fault, InputError
from ..evaluate import Measurement, Placed
from ..safety import Safety
from .plain import packed, unpacked
from .salvage import checked, salvaged

_META = sa.MetaData()
ROWS = sa.Table(
    "evaluations_2",  # a change of the columns takes the next number; older rows stay where they are, unread
    _META,
    sa.Column("key", sa.String(64), primary_key=True),
    sa.Column("problem", sa.String(64), index=True),
    sa.Column("family", sa.String(64)),
    sa.Column("storey", sa.String(16)),
    sa.Column("asked", sa.Text),
    sa.Column("design", sa.String(64)),
    sa.Column("placing", sa.String(64)),
    sa.Column("placed", sa.Text),
    sa.Column("found", sa.Text),
    sa.Column("failure", sa.Text),
)
SAFETIES = sa.Table(
    "safeties_2", _META, sa.Column("key", sa.String(64), primary_key=True), sa.Column("found", sa.Text)
)  # fmt: skip
STEPS = sa.Table(
    "steps", _META, sa.Column("place", sa.String(80), primary_key=True), sa.Column("key", sa.String(64), index=True), sa.Column("found", sa.Text)
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One finished evaluation. `asked`: the values tried, `design`: key after trimming; `measured`: what was found, as text (`written`), empty when it failed.

    `placed`: what stands after trimming, None where it misses a limit; it holds wherever `placing` is the same.
    """

    key: str
    problem: str
    family: str
    storey: str
    asked: dict
    design: str = ""
    placing: str = ""
    placed: Placed | None = None
    measured: str = ""
    failure: str = ""

    @cached_property
    def found(self) -> Measurement | None:
        """What was found, read when first asked for: of most of what costs too much, nobody asks."""
        return _read(self.measured)

    @property
    def readable(self) -> bool:
        """Is there a measurement, or a reason why there is none?"""
        return self.found is not None or bool(self.failure)


class Ledger:
    """Open it once per run, in the coordinator only. Use as a context manager: leaving it commits.

    where : a file, an SQLAlchemy URL, or None (in memory)
    Raises InputError where the store cannot be opened, and where it cannot be written any more.
    """

    def __init__(self, where: str | Path | None = None):
        self.where = "" if where is None else str(where)
        self.path = None if where is None or "://" in self.where else Path(where)
        self.note = ""
        self.waiting: dict[str, Entry] = {}
        self.known: dict[str, Entry] = {}
        self.safeties: dict[str, Safety] = {}
        try:
            self._open()
        except (sa.exc.SQLAlchemyError, OSError, ImportError) as error:
            raise self._fault(error, "a store that can be written") from error

    def _open(self) -> None:
        self.note = checked(self.path) if self.path else ""
        self.engine = sa.create_engine(f"sqlite:///{self.path}" if self.path else self.where or "sqlite://")
        _META.create_all(self.engine)
        if self.path:
            with self.engine.begin() as link:
                link.exec_driver_sql("PRAGMA journal_mode=WAL")
                link.exec_driver_sql("PRAGMA synchronous=NORMAL")
                self.note += salvaged(link, self.path, (ROWS, SAFETIES, STEPS))

    def _fault(self, error, allowed: str) -> InputError:
        what = str(self.path) if self.path else sa.engine.make_url(self.where).render_as_string() if self.where else "in memory"
        return InputError([Fault("results folder", "ledger", what, allowed, str(getattr(error, "orig", error)).strip())])

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    def load(self, problem: str) -> tuple[Entry, ...]:
        """All entries of the problem that can be read; kept in memory for `get`."""
        with self.engine.connect() as link:
            rows = link.execute(sa.select(ROWS).where(ROWS.c.problem == problem)).all()
        entries = tuple(e for e in map(_entry, rows) if e is not None)
        self.known |= {e.key: e for e in entries}
        return entries

    def of_storey(self, storey: str) -> tuple[Entry, ...]:
        """What stands of that storey, of all problems."""
        with self.engine.connect() as link:
            rows = link.execute(sa.select(ROWS).where(ROWS.c.storey == storey, ROWS.c.placed.is_not(None))).all()
        return tuple(e for e in map(_entry, rows) if e is not None)

    def problems(self) -> tuple[str, ...]:
        """Keys of all problems in the store."""
        with self.engine.connect() as link:
            return tuple(link.execute(sa.select(ROWS.c.problem).distinct()).scalars())

    def forget(self, problem: str) -> None:
        """Drop all entries of the problem."""
        self._replace(ROWS, ROWS.c.problem == problem, [])

    def get(self, key: str) -> Entry | None:
        """A finished evaluation of the loaded problem, or one added since; None where it is not known or cannot be read."""
        entry = self.known.get(key)
        return entry if entry is not None and entry.readable else None

    def add(self, entry: Entry) -> None:
        """Keep; finished with the next `commit`."""
        self.known[entry.key] = self.waiting[entry.key] = entry

    def commit(self) -> None:
        """Write all that waits, in one transaction. What cannot be written is still known to this run."""
        if self.waiting:
            rows = [_row(e) for e in self.waiting.values()]
            self._replace(ROWS, ROWS.c.key.in_(list(self.waiting)), rows)
            self.waiting = {}

    def safety(self, key: str) -> Safety | None:
        """The stored safety of a row, or None."""
        if key not in self.safeties:
            with self.engine.connect() as link:
                text = link.execute(sa.select(SAFETIES.c.found).where(SAFETIES.c.key == key)).scalar()
            found = _read(text)
            if isinstance(found, Safety):
                self.safeties[key] = found
        return self.safeties.get(key)

    def keep_safety(self, key: str, safety: Safety) -> None:
        self.safeties[key] = safety
        self._replace(SAFETIES, SAFETIES.c.key == key, [{"key": key, "found": written(safety)}])

    def steps(self, key: str) -> tuple:
        """What is done of a long evaluation, in order, as far as it can be read."""
        with self.engine.connect() as link:
            texts = link.execute(sa.select(STEPS.c.found).where(STEPS.c.key == key).order_by(STEPS.c.place)).scalars().all()
        return tuple(step for part in takewhile(bool, map(_read, texts)) for step in part)

    def keep_steps(self, key: str, number: int, steps: tuple) -> None:
        """Store what was done of it next, finished at once, in place of all that stood there; `number`: how much was done before."""
        place = f"{key} {number:06d}"
        beyond = (STEPS.c.key == key) & (STEPS.c.place >= place)
        self._replace(STEPS, beyond, [{"place": place, "key": key, "found": written(steps)}])

    def forget_steps(self, key: str) -> None:
        """Drop the steps of an evaluation that is finished."""
        self._replace(STEPS, STEPS.c.key == key, [])

    def _replace(self, table, old, rows: list[dict]) -> None:
        """Rows in place of the old ones, at once or not at all."""
        try:
            with self.engine.begin() as link:
                link.execute(sa.delete(table).where(old))
                if rows:
                    link.execute(sa.insert(table), rows)
        except sa.exc.DBAPIError as error:
            raise self._fault(error, "room and leave to write: what was committed before is kept, and the same command goes on from it") from error

    def close(self) -> None:
        try:
            self.commit()
        finally:
            self.engine.dispose()


def written(record) -> str:
    """Text of a record, as it is stored."""
    return json.dumps(packed(record))


def _row(entry: Entry) -> dict:
    return {
        "key": entry.key, "problem": entry.problem, "family": entry.family, "storey": entry.storey,
        "asked": written(entry.asked), "design": entry.design, "placing": entry.placing,
        "placed": written(entry.placed) if entry.placed else None, "found": entry.measured or None, "failure": entry.failure,
    }  # fmt: skip


def _entry(row) -> Entry | None:
    """An entry from its row; None when the row cannot be read, but for what was found, which is read later."""
    asked, placed = _read(row.asked), _read(row.placed)
    if not isinstance(asked, dict) or not (row.found or row.failure):
        return None
    return Entry(
        key=row.key, problem=row.problem, family=row.family, storey=row.storey, asked=asked, design=row.design or "",
        placing=row.placing or "", placed=placed, measured=row.found or "", failure=row.failure or "",
    )  # fmt: skip


def _read(text: str | None):
    try:
        return unpacked(json.loads(text)) if text else None
    except (ValueError, KeyError, TypeError, AttributeError):
        return None
