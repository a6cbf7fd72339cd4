"""The store: tables of sites, runs and kept answers, behind an SQLAlchemy URL. SQLite in write-ahead mode by default.

A write is one transaction that takes its lock at once, so two processes never meet half-way; a read sees the last commit.
Times are seconds since 1970. Text columns named `…_json` hold JSON.
"""

from __future__ import annotations

import secrets
from contextlib import contextmanager
from functools import cached_property

import sqlalchemy as sa

from ..errors import Fault, InputError

META = sa.MetaData()
BUSY_S = 15

SITES = sa.Table(
    "sites", META,
    sa.Column("id", sa.String(32), primary_key=True),
    sa.Column("owner", sa.String(64), index=True, nullable=False),
    sa.Column("name", sa.String(200), nullable=False),
    sa.Column("form", sa.String(16), nullable=False),
    sa.Column("content", sa.Text, nullable=False),
    sa.Column("summary_json", sa.Text, nullable=False),
    sa.Column("drawing_json", sa.Text, nullable=False),
    sa.Column("made_at", sa.Float, nullable=False),
    sa.Column("changed_at", sa.Float, nullable=False),
)  # fmt: skip

RUNS = sa.Table(
    "runs", META,
    sa.Column("id", sa.String(32), primary_key=True),
    sa.Column("owner", sa.String(64), index=True, nullable=False),
    sa.Column("site", sa.String(32), nullable=False),
    sa.Column("parent", sa.String(32)),
    sa.Column("order_json", sa.Text, nullable=False),  # what was asked, see `order.py`, but for the site's content
    sa.Column("site_content", sa.Text, nullable=False),
    sa.Column("state", sa.String(16), index=True, nullable=False),
    sa.Column("stopping", sa.Boolean, nullable=False, default=False),
    sa.Column("gone", sa.Boolean, nullable=False, default=False),
    sa.Column("result_json", sa.Text),  # why it failed, or what does not fit
    sa.Column("progress_json", sa.Text),
    sa.Column("seq", sa.Integer, nullable=False, default=0),  # grows with every change that a page shows
    sa.Column("state_seq", sa.Integer, nullable=False, default=0),
    sa.Column("progress_seq", sa.Integer, nullable=False, default=0),
    sa.Column("table_seq", sa.Integer, nullable=False, default=0),
    sa.Column("made_at", sa.Float, nullable=False),
    sa.Column("began_at", sa.Float),
    sa.Column("ended_at", sa.Float),
    sa.Column("spent_s", sa.Float, nullable=False, default=0.0),
    sa.Column("attempts", sa.Integer, nullable=False, default=0),
    sa.Column("holder", sa.String(32)),  # the working process, by a random name
    sa.Column("held_until", sa.Float),
)  # fmt: skip

ANSWERS = sa.Table(
    "answers", META,
    sa.Column("owner", sa.String(64), primary_key=True),
    sa.Column("key", sa.String(200), primary_key=True),
    sa.Column("asked", sa.String(64), nullable=False),
    sa.Column("answer", sa.Text, nullable=False),
    sa.Column("made_at", sa.Float, nullable=False),
)  # fmt: skip


def light(table: sa.Table) -> list[sa.Column]:
    """The columns that a list shows: none that may be long."""
    return [c for c in table.c if c.name not in ("content", "drawing_json", "site_content")]


def new_id() -> str:
    """An opaque name that nobody can guess."""
    return secrets.token_hex(10)


class Store:
    """`write()` and `read()` give connections; see the module's header."""

    def __init__(self, url: str):
        self.url = url

    @cached_property
    def engine(self) -> sa.Engine:
        engine = sa.create_engine(self.url, pool_pre_ping=True)
        if engine.dialect.name == "sqlite":
            sa.event.listen(engine, "connect", _ready_sqlite)
            sa.event.listen(engine, "begin", lambda link: link.exec_driver_sql("BEGIN IMMEDIATE"))
        META.create_all(engine)
        return engine

    def check(self) -> None:
        """Raises InputError where the store cannot be reached, or was made by another version."""
        try:
            shown = sa.make_url(self.url).render_as_string(hide_password=True)
            there = sa.inspect(self.engine)
            missing = [f"{t.name}.{c.name}" for t in META.sorted_tables for c in t.columns if c.name not in {k["name"] for k in there.get_columns(t.name)}]
        except (sa.exc.SQLAlchemyError, ImportError) as error:
            why = str(getattr(error, "orig", error)).splitlines()[0]
            raise InputError([Fault("serve", "--store", self.url.split(":")[0], "the address of a store that can be reached", why)]) from error
        if missing:
            raise InputError([Fault("serve", "--store", shown, "a store made by this version, or an empty one", f"it lacks {', '.join(missing)}")])

    @contextmanager
    def write(self):
        """A transaction: all of it is kept, or nothing."""
        with self.engine.begin() as link:
            yield link

    @contextmanager
    def read(self):
        with self.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as link:
            yield link

    def close(self) -> None:
        self.engine.dispose()


def _ready_sqlite(link, _) -> None:
    link.isolation_level = None  # transactions begin where we say so
    for pragma in ("journal_mode=WAL", "synchronous=NORMAL", f"busy_timeout={BUSY_S * 1000}"):
        link.execute(f"PRAGMA {pragma}")
