"""Reads the sourced fact tables of the parts: one row, one fact, SI on the way in.

A fact table has the columns item, parameter, value, unit, source, note. Units come from `UNITS` and are
turned into SI here, once. Each table is read once and kept. A row without a source, a unit that is not
listed, a value that is no number or a fact given twice is our own fault and stops the program at once,
with every such row named.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

from ..errors import FaultList

COLUMNS = ("item", "parameter", "value", "unit", "source", "note")

UNITS = {
    "-": 1.0, "m": 1.0, "mm": 1e-3, "um": 1e-6, "cm2": 1e-4, "ohm": 1.0, "S/m": 1.0, "MHz": 1e6, "pF": 1e-12, "uH": 1e-6,
    "nH": 1e-9, "N": 1.0, "N/m": 1.0, "kg": 1.0, "kg/km": 1e-3, "kg/m3": 1.0, "Pa": 1.0, "GPa": 1e9, "MPa": 1e6, "W": 1.0,
    "V": 1.0, "K": 1.0, "1/K": 1.0, "dB/100m/sqrtMHz": 1.0, "dB/100m/MHz": 1.0, "dB/100m": 1.0, "pF/m": 1e-12, "%": 0.01, "N.m": 1.0,
}  # fmt: skip


def rows(name: str, columns: tuple[str, ...]) -> tuple[dict[str, str], ...]:
    """Rows of tables/`name`.csv as text; the header must be exactly `columns`."""
    with (files(__package__) / "tables" / f"{name}.csv").open(encoding="utf-8", newline="") as text:
        reader = csv.DictReader(text)
        faults = FaultList(f"{name}.csv")
        if tuple(reader.fieldnames or ()) != columns:
            faults.add("header", reader.fieldnames, ",".join(columns))
        faults.raise_if_any()
        return tuple(reader)


def number(text: str, faults: FaultList, field: str) -> float:
    """`text` as a number, or NaN with a fault."""
    try:
        return float(text)
    except (TypeError, ValueError):
        faults.add(field, text, "a number")
        return float("nan")


@cache
def facts(name: str) -> dict[str, dict[str, float]]:
    """Item → parameter → value in SI, of tables/`name`.csv. Raises InputError naming every bad row."""
    found: dict[str, dict[str, float]] = {}
    faults = FaultList(f"{name}.csv")
    for line, row in enumerate(rows(name, COLUMNS), start=2):
        where = f"line {line} ({row['item']}, {row['parameter']})"
        if not (row["source"] or "").strip():
            faults.add(where, row["source"], "a source")
        if row["unit"] not in UNITS:
            faults.add(where, row["unit"], "a unit among " + " ".join(UNITS))
        if row["parameter"] in found.setdefault(row["item"], {}):
            faults.add(where, row["value"], "each fact once")
        found[row["item"]][row["parameter"]] = number(row["value"], faults, where) * UNITS.get(row["unit"], 1.0)
    faults.raise_if_any()
    return found
