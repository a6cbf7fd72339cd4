"""Writes a results folder: every file under a temporary name first, then renamed, the table last.

A reader never meets half a file; a run killed while writing leaves the earlier results in place.
"""

from __future__ import annotations

import json
import math
import os
import shutil
from dataclasses import asdict
from pathlib import Path

from ..ensemble.learned import key_of
from ..errors import Fault, InputError
from ..physics.wishes import WishList
from ..search.settings import RankResult, SearchSettings
from ..site.model import Site
from .budget_words import plain_budget
from .design_file import design_object, origin_of
from .notes import HONEST_NOTE, made_with
from .survey import survey_object
from .tables import ranked_table


def write_results(folder: Path, site: Site, wishes: WishList, settings: SearchSettings, result: RankResult):
    """Write ranked.csv, ranked.json and designs/ into `folder`; returns the table."""
    table = ranked_table(site, wishes, result)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _write_designs(folder, site, wishes, result)
        write_json(folder / "ranked.json", ranked_object(site, wishes, settings, result, table))
        _put(folder / "ranked.csv", table.to_csv(index=False))
    except OSError as error:
        raise InputError([Fault("results folder", "--out", str(folder), "a folder that can be written", str(error))]) from error
    return table


def ranked_object(site: Site, wishes: WishList, settings: SearchSettings, result: RankResult, table) -> dict:
    """The table with settings, seed, versions, rejected families and why."""
    return {
        "site": site.name,
        "origin": origin_of(site),
        "warnings": list(site.warnings),
        "survey": survey_object(site),
        "rows": table.to_dict("records"),
        "power_budgets": [budgets_of(e) for e in result.rows],
        "rejected": result.rejected,
        "relaxations": list(result.relaxations),
        "wishes": asdict(wishes),
        "settings": settings_object(settings),
        "seed": settings.seed,
        "versions": result.versions,
        "run": {
            "tried": result.tried,
            "reused": result.reused,
            "ruled_out_unsolved": result.ruled_out,
            "failed": result.failed,
            "elapsed_s": round(result.elapsed_s, 2),
            "interrupted": result.interrupted,
            "note": result.note,
        },
        "made_with": made_with(result.versions),
        "note": HONEST_NOTE,
    }


def budgets_of(evaluation) -> dict[str, dict[str, float]]:
    """Wish key → where a watt from the radio goes; a row's BAND_efficiency is its share of the sky."""
    return {key: plain_budget(evaluation.design, key, band.budget) for key, band in evaluation.bands.items()}


def settings_object(settings: SearchSettings) -> dict:
    """Settings as plain data, without the path of the ledger; of what readings taught only a key."""
    plain = {k: v for k, v in asdict(settings).items() if k not in ("ledger", "garden_weights")}
    return plain | {"readings_key": key_of(settings.garden_weights)}


def write_json(path: Path, content: dict) -> None:
    """Write strict JSON (numbers that are not finite become null) under a temporary name, then rename."""
    _put(path, json.dumps(strict(content), indent=1, allow_nan=False) + "\n")


def strict(thing):
    """Plain JSON data: tuples to lists, not-a-number and infinities to None."""
    if isinstance(thing, dict):
        return {str(k): strict(v) for k, v in thing.items()}
    if isinstance(thing, (list, tuple)):
        return [strict(v) for v in thing]
    if isinstance(thing, float):
        return thing if math.isfinite(thing) else None
    return thing.item() if hasattr(thing, "item") else thing


def _write_designs(folder: Path, site, wishes, result) -> None:
    fresh, old = folder / f".designs-{os.getpid()}", folder / "designs"
    shutil.rmtree(fresh, ignore_errors=True)
    fresh.mkdir()
    for rank, evaluation in enumerate(result.rows, start=1):
        write_json(fresh / f"{rank}.json", design_object(rank, site, wishes, evaluation, result))
    shutil.rmtree(old, ignore_errors=True)
    fresh.rename(old)


def _put(path: Path, text: str) -> None:
    fresh = path.with_name(f".{path.name}-{os.getpid()}")
    fresh.write_text(text, encoding="utf-8")
    os.replace(fresh, path)
