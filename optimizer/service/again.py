"""Earlier work used again: a run's folder taken over by a rerun, what moved, and the stored rows ranked by other weights (at the desk)."""

from __future__ import annotations

import json
import shutil
import sqlite3
from pathlib import Path

from ..criteria.weights import weights_of
from ..errors import FaultList
from .bodies import compact
from .faults import Refused
from .folders import MOVED, TABLE

BEFORE = "before"


def take_over(earlier: Path, folder: Path) -> bool:
    """Make `folder` look as `earlier` was left; False where nothing is left of it.

    What was there at the start is kept aside, so that a rerun that was killed begins again with all it has computed since and still tells what moved.
    """
    if not folder.exists() and not _copied(earlier, folder):
        return False
    before = folder / BEFORE
    if not before.exists():
        return False
    for name in _notes():
        if (before / name).exists():
            shutil.copyfile(before / name, folder / name)
    shutil.rmtree(folder / "designs", ignore_errors=True)
    if (before / "designs").exists():
        shutil.copytree(before / "designs", folder / "designs")
    return True


def _notes() -> tuple[str, str]:
    """Files that say how a run ended."""
    from ..report.folder import RUN

    return RUN, "ranked.json"


def _copied(earlier: Path, folder: Path) -> bool:
    """Copy under a temporary name, then rename: half a copy is never met."""
    from ..report.folder import LEDGER, RUN

    if not (earlier / RUN).exists() or not (earlier / LEDGER).exists():
        return False
    fresh = folder.with_name(f".{folder.name}")
    shutil.rmtree(fresh, ignore_errors=True)
    shutil.copytree(earlier, fresh, ignore=shutil.ignore_patterns(f"{LEDGER}*", "made", BEFORE, MOVED, TABLE, "readings", ".*"))
    (fresh / BEFORE).mkdir()
    for name in (*_notes(), "designs"):
        if (fresh / name).exists():
            (fresh / name).rename(fresh / BEFORE / name)
    with sqlite3.connect(earlier / LEDGER) as old, sqlite3.connect(fresh / LEDGER) as new:
        old.backup(new)
    new.close()
    old.close()
    fresh.rename(folder)
    return True


def write_moves(folder: Path, moves, wishes_changed=()) -> None:
    """`wishes_changed`: a line each, as the command tells them."""
    from ..report.write import write_json

    told = [{"design": m.design, "rank_before": m.rank_before, "rank_now": m.rank_now, "why": m.why, "text": m.text} for m in moves]
    write_json(folder / MOVED, {"wishes_changed": list(wishes_changed), "moves": told})


def ranked_again(folder: Path, given: dict) -> bytes:
    """The table of stored work under other weights, as JSON; each row's `design_rank` is the design file it has, null where it has none."""
    from ..report.folder import LEDGER, designs_in, kept_run
    from ..report.tables import ranked_table
    from ..report.write import ranked_object, strict
    from ..search.again import rank_again
    from ..search.settings import SearchSettings
    from ..site.read import read_site
    from .table import final_table

    weights = weights_of(given, FaultList("weights"))
    site_path, wishes, _ = kept_run(folder)
    site, settings = read_site(site_path), SearchSettings(ledger=folder / LEDGER, weights=weights)
    result = rank_again(site, wishes, settings, json.loads((folder / "ranked.json").read_text(encoding="utf-8"))["rejected"])
    if not result.rows:
        raise Refused("not_found", "nothing stored of this run fits")
    table = ranked_table(site, wishes, result)
    content = final_table(site, wishes, result, ranked_object(site, wishes, settings, result, table), list(table.columns))
    filed = [(d["rank"], d["family"], d["values"]) for d in designs_in(folder)]
    for row, found in zip(content["rows"], result.rows, strict=True):
        values = json.loads(json.dumps(strict(found.values)))
        row["design_rank"] = next((rank for rank, family, kept in filed if (family, kept) == (found.family, values)), None)
    return compact(strict(content))


def csv_again(folder: Path, given: dict) -> bytes:
    """The same as comma-separated values."""
    import pandas as pd

    content = json.loads(ranked_again(folder, given))
    return pd.DataFrame(content["rows"], columns=[*content["columns"], "design_rank"]).to_csv(index=False).encode()
