"""Reads the published check rows and the numbers in their words."""

import csv
import re
from pathlib import Path

import pytest

NUMBER = r"[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?"


def rows(name):
    """Rows of tests/published/`name`.csv as parameters, the row's id as the test's id."""
    with (Path(__file__).parent / f"{name}.csv").open(encoding="utf-8", newline="") as text:
        return [pytest.param(row, id=row["id"]) for row in csv.DictReader(text)]


def numbers(text):
    return [float(n) for n in re.findall(NUMBER, text)]


def after(label, text):
    """The number that follows `label`."""
    return float(re.search(label + r"\s*=?\s*(" + NUMBER + ")", text).group(1))


def before(unit, text):
    """The number that stands before `unit`."""
    return float(re.search("(" + NUMBER + r")\s*" + unit, text).group(1))


def percent(row):
    """Relative tolerance from a row that gives a percentage."""
    return float(re.search("(" + NUMBER + r")\s*(?:%|pct)", row["tolerance"]).group(1)) / 100.0
