"""When each band is usually open, in plain words (`tables/openings.csv`): a hint for middle latitudes, never a promise."""

from __future__ import annotations

from functools import lru_cache

from .tables import read_table

COLUMNS = ("band", "near", "far", "source", "note")


@lru_cache(maxsize=1)
def openings() -> dict[str, tuple[str, str, str]]:
    """Band → (near, far, source)."""
    return {row["band"]: (row["near"], row["far"], row["source"]) for row in read_table("openings.csv", columns=COLUMNS, key=("band",), may_be_empty=("note",))}
