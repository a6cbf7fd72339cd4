"""Build sheets in a results folder that are of another design than their rank has now: somebody would build the wrong one, so they go."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path

SHEETS, MARK = "sheets", "lotwire-design"
BUILT_BY = ("family", "values", "parts", "placement", "feed", "trimming")  # what a builder goes by


def mark_of(design: dict) -> str:
    """A name for all that a sheet has a builder do: of a design file's object."""
    told = json.dumps({name: design.get(name) for name in BUILT_BY}, sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def stale_removed(folder: Path, designs: list[dict]) -> tuple[str, ...]:
    """Removes sheets, page and PDF, that bear no mark or another one than the design of their rank; their names."""
    marks, gone = {str(d["rank"]): mark_of(d) for d in designs}, []
    for path in sorted((folder / SHEETS).glob("*.*")):
        if path.stem.isdigit() and path.suffix in (".html", ".pdf") and _mark_in(path.with_suffix(".html")) != marks.get(path.stem, ""):
            gone.append(path)
    for path in gone:
        path.unlink(missing_ok=True)
    return tuple(f"{SHEETS}/{path.name}" for path in gone)


def _mark_in(page: Path) -> str | None:
    try:
        found = re.search(rf'<meta name="{MARK}" content="(\w+)"', page.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return found and found[1]
