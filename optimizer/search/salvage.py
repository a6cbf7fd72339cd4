"""A damaged SQLite ledger: set aside with a word on it, and what can still be read of it taken over. Never thrown away."""

from __future__ import annotations

import sqlite3
import time
from pathlib import Path

import sqlalchemy as sa


def checked(path: Path) -> str:
    """Set a damaged file aside and say so; an empty text when all is well or nothing is there."""
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        return ""
    if _sound(path):
        return ""
    aside = path.with_suffix(f".damaged-{time.time_ns()}")
    path.rename(aside)
    for tail in ("-wal", "-shm"):
        beside = Path(f"{path}{tail}")
        if beside.exists():
            beside.rename(f"{aside}{tail}")
    return f"the ledger was damaged and is set aside as {aside.name}"


def _sound(path: Path) -> bool:
    try:
        link = sqlite3.connect(path)
        try:
            return link.execute("PRAGMA quick_check").fetchone() == ("ok",)
        finally:
            link.close()
    except sqlite3.OperationalError:  # cannot be read or is locked: not damaged, and opening it will say why
        return True
    except sqlite3.DatabaseError:
        return False


def salvaged(link, path: Path, tables) -> str:
    """Take over the readable rows of ledgers set aside and not yet salvaged, in words; `link` is an open transaction of the new one."""
    taken, asides = 0, [p for p in path.parent.glob(f"{path.stem}.damaged-*") if p.suffix.removeprefix(".damaged-").isdigit()]
    for aside in sorted(asides):
        for table in tables:
            rows = _readable(aside, table)
            if rows:
                link.execute(sa.insert(table).prefix_with("OR IGNORE"), rows)
            taken += len(rows)
        aside.rename(aside.with_name(aside.name + "-done"))
    return f"; {taken} rows taken over from it" if asides else ""


def _readable(path: Path, table) -> list[dict]:
    """Rows that can still be read from a damaged file: in order as far as that goes, then one by one."""
    names = [c.name for c in table.columns]
    rows: dict[str, dict] = {}
    for rowid in (None, *range(1, _last_rowid(path, table.name) + 1)):
        where = "" if rowid is None else f" WHERE rowid = {rowid}"
        try:
            link = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
            try:
                cursor = link.execute(f"SELECT {', '.join(names)} FROM {table.name}{where}")
                while (row := cursor.fetchone()) is not None:
                    rows[row[0]] = dict(zip(names, row))
            finally:
                link.close()
        except sqlite3.DatabaseError:
            continue
        if rowid is None:
            break
    return list(rows.values())


def _last_rowid(path: Path, name: str) -> int:
    try:
        link = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
        try:
            return int(link.execute(f"SELECT max(rowid) FROM {name}").fetchone()[0] or 0)
        finally:
            link.close()
    except (sqlite3.DatabaseError, TypeError):
        return 0
