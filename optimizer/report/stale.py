"""Pages in a results folder that are of another design than their rank has now. A build sheet goes: somebody would build the wrong wire, and it can be
made again. A page of measurements cannot: it is kept beside, under a name of its own, and says on top that its rank has another design or none."""

from __future__ import annotations

import hashlib
import json
import re
from itertools import count
from pathlib import Path

SHEETS, VERIFIED, MARK = "sheets", "verify", "lotwire-design"
BUILT_BY = ("family", "values", "parts", "placement", "feed", "trimming")  # what a builder goes by
STAYS = "What was measured stays true of the wire that this page names."


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


def kept_aside(folder: Path, designs: list[dict]) -> tuple[tuple[str, str], ...]:
    """Pages of `verify` that bear no mark or another one than the design of their rank, renamed; (name before, name now) of each."""
    marks, moved = {str(d["rank"]): mark_of(d) for d in designs}, []
    for path in sorted((folder / VERIFIED).glob("*.html")):
        if path.stem.isdigit() and (aside := put_aside(path, marks.get(path.stem, ""))):
            moved.append((f"{VERIFIED}/{path.name}", f"{VERIFIED}/{aside.name}"))
    return tuple(moved)


def put_aside(page: Path, mark_now: str) -> Path | None:
    """Renames a rank's page of measurements where it is not of the design with that mark (empty: the rank has none); its new place, None where it stays or there is none."""
    if not page.exists() or (mark := _mark_in(page)) == mark_now:
        return None
    aside = next(p for n in count(1) if not (p := page.with_name(f"{page.stem}-earlier{f'-{n}' if n > 1 else ''}.html")).exists())
    page.rename(aside)
    now = "has none now" if not mark_now else f"{'has' if mark else 'may have'} another one now"
    _headed(aside, f"{'Of an earlier design' if mark else 'Of a design not noted here'}: rank {page.stem} {now}. {STAYS}")
    return aside


def _headed(page: Path, words: str) -> None:
    """Words on top of a page; a file that is no such page stays as it is."""
    try:
        text = page.read_text(encoding="utf-8")
    except (OSError, ValueError):
        return
    fresh = page.with_name(f".{page.name}")
    fresh.write_text(text.replace("<body>\n", f'<body>\n<p class="loud">{words}</p>\n', 1), encoding="utf-8")
    fresh.replace(page)


def _mark_in(page: Path) -> str | None:
    try:
        found = re.search(rf'<meta name="{MARK}" content="(\w+)"', page.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return found and found[1]
