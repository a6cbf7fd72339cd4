"""Reads the sourced fact tables of the parts: one row, one fact, SI on the way in.

A fact table has the columns item, parameter, value, unit, source, note. Units come from `UNITS` and are turned into SI
here, once. Each table is read once and kept; a damaged one raises TableError, our own fault.
"""

from __future__ import annotations

from functools import cache

from ..physics.tables import TableError, number, read_table

COLUMNS = ("item", "parameter", "value", "unit", "source", "note")

UNITS = {
    "-": 1.0, "m": 1.0, "mm": 1e-3, "um": 1e-6, "ohm": 1.0, "S/m": 1.0, "pF": 1e-12, "uH": 1e-6, "nH": 1e-9, "N": 1.0, "kg": 1.0,
    "kg/km": 1e-3, "GPa": 1e9, "MPa": 1e6, "W": 1.0, "V": 1.0, "1/K": 1.0, "dB/100m/sqrtMHz": 1.0, "dB/100m/MHz": 1.0, "mT": 1e-3,
    "degC": 1.0, "s": 1.0, "%": 1e-2,
}  # fmt: skip


def rows(name: str, columns: tuple[str, ...], key: tuple[str, ...], may_be_empty: tuple[str, ...] = ("note",)) -> list[dict[str, str]]:
    """Rows of the parts' tables/`name`.csv as text, through the common reader."""
    return read_table(f"{name}.csv", columns=columns, key=key, may_be_empty=may_be_empty, package="optimizer.parts")


@cache
def facts(name: str) -> dict[str, dict[str, float]]:
    """Item → parameter → value in SI, of tables/`name`.csv. Raises TableError."""
    found: dict[str, dict[str, float]] = {}
    for row in rows(name, COLUMNS, ("item", "parameter")):
        if row["unit"] not in UNITS:
            raise TableError(f"{name}.csv: {row['item']} {row['parameter']}: unit {row['unit']!r}, need one of {' '.join(UNITS)}")
        found.setdefault(row["item"], {})[row["parameter"]] = number(row, "value") * UNITS[row["unit"]]
    return found
