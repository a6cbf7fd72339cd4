"""The one reader of the CSV tables that come with the program.

A table is a file with a header; every row names its source. `read_table` checks that the columns are
exactly the expected ones, that no key stands twice, and that no required cell or source is empty. A fault in a
table of our own is our fault: `TableError`, exit status 1.
"""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.resources import files

from ..errors import LotwireError

EMPTY_SOURCES = {"", "-", "same as above", "ditto", "idem", "unknown", "todo"}


class TableError(LotwireError):
    """A table that comes with the program is damaged."""


@lru_cache(maxsize=None)
def table_text(package: str, name: str) -> str:
    return (files(package) / "tables" / name).read_text(encoding="utf-8")


def read_table(
    name: str,
    *,
    columns: tuple[str, ...],
    key: tuple[str, ...],
    may_be_empty: tuple[str, ...] = (),
    package: str = "optimizer.physics",
) -> list[dict[str, str]]:
    """Rows of a table as dicts of stripped text, in file order.

    columns : the expected header, in order; one of them must be `source`
    key     : the columns that together identify a row
    Raises TableError naming file, line and what is wrong.
    """
    return parse_table(table_text(package, name), name=name, columns=columns, key=key, may_be_empty=may_be_empty)


def parse_table(text: str, *, name: str, columns, key, may_be_empty=()) -> list[dict[str, str]]:
    """As `read_table`, from the text of a table."""
    reader = csv.reader(text.splitlines(), strict=True)
    header = next(reader, [])
    if tuple(header) != tuple(columns):
        raise TableError(f"{name}: columns are {header}, need {list(columns)}")
    rows, seen = [], {}
    for line, cells in enumerate(reader, start=2):
        if not cells:
            continue
        rows.append(_row(name, line, columns, cells, may_be_empty))
        mark = tuple(rows[-1][k] for k in key)
        if mark in seen:
            raise TableError(f"{name}, line {line}: {mark} stands already in line {seen[mark]}")
        seen[mark] = line
    return rows


def _row(name, line, columns, cells, may_be_empty) -> dict[str, str]:
    if len(cells) != len(columns):
        raise TableError(f"{name}, line {line}: {len(cells)} cells, need {len(columns)}")
    row = {c: cell.strip() for c, cell in zip(columns, cells)}
    for column, cell in row.items():
        empty = cell.lower() in EMPTY_SOURCES if column == "source" else cell == ""
        if empty and column not in may_be_empty:
            raise TableError(f"{name}, line {line}: {column} is {cell!r}, need a real entry")
    return row


def number(row: dict[str, str], column: str) -> float:
    """A numeric cell as float. Raises TableError."""
    try:
        return float(row[column])
    except ValueError as error:
        raise TableError(f"{column} is {row[column]!r} in {row}, need a number") from error
