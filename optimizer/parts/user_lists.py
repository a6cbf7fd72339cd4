"""What the user brings to the bill: a price list and exchange rates of their own, as CSV. Every fault of a file at once."""

from __future__ import annotations

import csv
import math
from pathlib import Path

from ..errors import FaultList
from .catalogue import catalogue


def read_price_list(path: Path) -> dict[str, tuple[float, str]]:
    """Columns part, unit_price, currency → part → (price, currency)."""
    faults, found = FaultList(str(path)), {}
    for line, row in _rows(path, ("part", "unit_price", "currency"), faults):
        key, price = row["part"], _number(row["unit_price"])
        if key not in catalogue() or catalogue()[key].pieces:
            faults.add(f"line {line}: part", key, "a part of the price list that is not an assembly")
        if not 0 <= price < math.inf:
            faults.add(f"line {line}: unit_price", row["unit_price"], "a price of 0 or more")
        if key in found:
            faults.add(f"line {line}: part", key, "each part once")
        found[key] = (price, (row["currency"] or "").strip().upper())
    faults.raise_if_any()
    return found


def read_rates(path: Path) -> dict[str, float]:
    """Columns currency, per_eur → currency → units for one EUR."""
    faults, found = FaultList(str(path)), {}
    for line, row in _rows(path, ("currency", "per_eur"), faults):
        name, rate = (row["currency"] or "").strip().upper(), _number(row["per_eur"])
        if not 0 < rate < math.inf:
            faults.add(f"line {line}: per_eur", row["per_eur"], "a rate above 0")
        if not name or name in found:
            faults.add(f"line {line}: currency", row["currency"], "each currency once")
        found[name] = rate
    faults.raise_if_any()
    return found


def _rows(path: Path, columns: tuple[str, ...], faults: FaultList) -> list[tuple[int, dict]]:
    """Line number and row; none, with the fault noted, where the file cannot be read or lacks a column."""
    try:
        with open(path, encoding="utf-8-sig", newline="") as text:
            reader = csv.DictReader(text)
            rows = list(enumerate(reader, start=2))
    except (OSError, UnicodeDecodeError, csv.Error) as bad:
        faults.add("file", str(path), "a CSV file that can be read", str(bad)[:100])
        return []
    if missing := [c for c in columns if c not in (reader.fieldnames or ())]:
        faults.add("header", reader.fieldnames, ", ".join(columns), f"missing: {', '.join(missing)}")
        return []
    return rows


def _number(text: str) -> float:
    """A number, or NaN for what is none."""
    try:
        return float(text)
    except (TypeError, ValueError):
        return math.nan
