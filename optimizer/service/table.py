"""The table as the API gives it, kept as a file in the run's folder: rows so far while it works, the ranked table at the end."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from .folders import TABLE

KEPT = ("rows", "rejected", "relaxations", "warnings", "power_budgets", "versions", "run", "made_with", "note", "origin")


def write_final(folder: Path, ranked) -> None:
    """The end of a run. ranked: `report.folder.Ranked`."""
    from ..report.write import write_json

    write_json(folder / TABLE, final_table(ranked.site, ranked.wishes, ranked.result, ranked.content, list(ranked.table.columns)))


def final_table(site, wishes, result, content: dict, columns: list[str]) -> dict:
    """content: the object of ranked.json."""
    return _head(site, wishes, result.weights, so_far=False) | {k: content[k] for k in KEPT} | {"columns": columns}


def write_so_far(folder: Path, site, wishes, weights, evaluations) -> None:
    """Best rows while the search goes on, each with its wires for a drawing."""
    from ..report.notes import HONEST_NOTE
    from ..report.tables import rows_so_far
    from ..report.write import write_json

    rows = rows_so_far(site, wishes, evaluations)
    for row, evaluation in zip(rows, evaluations, strict=True):
        row["wires"] = [{"role": w.role, "points_m": [[round(c, 2) for c in p] for p in w.points_m]} for w in evaluation.design.structure.wires]
    columns = [c for c in rows[0] if c != "wires"] if rows else []
    content = {"rows": rows, "rejected": {}, "relaxations": [], "warnings": list(site.warnings), "columns": columns, "note": HONEST_NOTE}
    write_json(folder / TABLE, _head(site, wishes, weights, so_far=True) | content)


def _head(site, wishes, weights, *, so_far: bool) -> dict:
    bands = [{"key": w.key, "band": w.band, "segment": w.segment, "low_hz": w.low_hz, "high_hz": w.high_hz, "weight": w.weight} for w in wishes.bands]
    return {"so_far": so_far, "weights": asdict(weights), "site": site.name, "currency": site.currency, "bands": bands, "swr_limit": wishes.swr_limit}
