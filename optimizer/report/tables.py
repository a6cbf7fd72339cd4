"""The ranked table: declared columns, units in their names, raw figures beside the score."""

from __future__ import annotations

import math

import pandas as pd

from ..criteria.power import watts
from ..evaluate import Evaluation
from ..physics.wishes import WishList
from ..safety import Safety
from ..search.settings import RankResult
from ..search.variety import front
from ..site.lot_margin import lot_margin_m
from ..site.model import Site
from .notes import HONEST_NOTE, made_with
from .safety_words import safety_needs
from .words import needs, why

ROW_COLUMNS = (
    "rank", "design", "family", "score", "cost", "currency", "mast_m", "highest_m", "wire_m", "lot_margin_m",
    "exposure_share", "exposure_power_w", "keep_clear_m", "wind_stood_m_per_s", "change_min",
    "on_front",
)  # fmt: skip
BAND_COLUMNS = ("covered_share", "swr_best", "swr_worst", "efficiency", "gain_near_dbi", "gain_far_dbi")
SPREAD_ENDS = ("_low", "_high")  # 10 and 90 % of the gardens; empty where a row was not judged over gardens
SPREAD_COLUMNS = ("nominal_score", "gardens", "on_target_share", "trimmable_share", "trim_moves")
WORD_COLUMNS = ("needs", "why", "storey", "made_with", "note")
DIGITS = {"score": 2, "cost": 2, "covered_share": 3, "swr_best": 3, "swr_worst": 3, "efficiency": 4}
OTHER_DIGITS = 2


def columns(wishes: WishList) -> list[str]:
    """Column names in order, for these wishes."""
    figures = [f"{w.key}_{c}{end}" for w in wishes.bands for c in BAND_COLUMNS for end in ("", *SPREAD_ENDS)]
    return [*ROW_COLUMNS, *figures, *SPREAD_COLUMNS, *WORD_COLUMNS]


def ranked_table(site: Site, wishes: WishList, result: RankResult) -> pd.DataFrame:
    """One row a design, best first."""
    rows, best_for_the_money = [], {id(e) for e in front(result.rows)}
    for i, (evaluation, safety) in enumerate(zip(result.rows, result.safety, strict=True)):
        above = result.rows[i - 1] if i else None
        row = _figures(i + 1, site, evaluation) | _safe(safety) | _bands(wishes, evaluation) | _spread(wishes, evaluation)
        row |= {
            "on_front": id(evaluation) in best_for_the_money,
            "needs": needs(evaluation, safety_needs(safety, site, wishes.power_w, bool(evaluation.design.structure.masts))),
            "why": why(wishes, evaluation, above, site.currency, result.weights),
            "storey": evaluation.storey,
            "made_with": made_with(result.versions),
            "note": HONEST_NOTE,
        }
        rows.append(row)
    return pd.DataFrame(rows, columns=columns(wishes))


def rows_so_far(site: Site, wishes: WishList, evaluations: list[Evaluation]) -> list[dict]:
    """The rows of a search that still goes on: figures of the plan alone, no safety and no gardens yet."""
    above = [None, *evaluations]
    return [
        _figures(i + 1, site, e) | _bands(wishes, e) | {"needs": needs(e), "why": why(wishes, e, above[i], site.currency)}
        for i, e in enumerate(evaluations)
    ]


def _figures(rank: int, site: Site, evaluation: Evaluation) -> dict:
    structure = evaluation.design.structure
    masts = [m.height_m for m in structure.masts]
    tops = masts + [p[2] for w in structure.wires for p in w.points_m]
    row = {
        "rank": rank,
        "design": evaluation.design.title,
        "family": evaluation.family,
        "score": evaluation.total,
        "cost": evaluation.cost,
        "currency": site.currency,
        "mast_m": max(masts, default=0.0),
        "highest_m": max(tops),
        "wire_m": sum(w.length_m for w in structure.wires if w.role != "line"),
        "lot_margin_m": lot_margin_m(site, structure),
        "change_min": evaluation.change_min,
    }
    return {k: _rounded(k, v) for k, v in row.items()}


def _safe(safety: Safety) -> dict:
    """Field over level where people stay, the power that would just meet it (None: any), ground to keep clear, wind stood."""
    return {
        "exposure_share": _rounded("exposure_share", safety.share),
        "exposure_power_w": float(watts(safety.most_power_w)) if math.isfinite(safety.most_power_w) else None,
        "keep_clear_m": _rounded("keep_clear_m", safety.zone.keep_m),
        "wind_stood_m_per_s": safety.weather.wind_m_per_s,
    }


def _bands(wishes: WishList, evaluation: Evaluation) -> dict:
    return {
        f"{w.key}_{c}": _rounded(c, getattr(evaluation.bands[w.key], c)) for w in wishes.bands for c in BAND_COLUMNS
    }


def _spread(wishes: WishList, evaluation: Evaluation) -> dict:
    """Low and high figures, and how trimming goes; nothing but the nominal score without a spread."""
    row, spread = {"nominal_score": _rounded("score", evaluation.score.total)}, evaluation.spread
    if spread is None:
        return row
    for w in wishes.bands:
        for c in BAND_COLUMNS:
            ends = spread.band(w.key, c)
            row |= {f"{w.key}_{c}{end}": _rounded(c, value) for end, value in zip(SPREAD_ENDS, ends)}
    return row | {
        "gardens": len(spread.gardens), "on_target_share": round(spread.on_target, 3),
        "trimmable_share": round(spread.trimmable, 3), "trim_moves": round(spread.moves, 1),
    }  # fmt: skip


def _rounded(column: str, value):
    return round(value, DIGITS.get(column, OTHER_DIGITS)) if isinstance(value, float) else value
