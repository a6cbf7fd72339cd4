"""Why a kind of wire is not offered, in words, from the candidate that came nearest to keeping every limit."""

from __future__ import annotations

import math

from ..criteria.fit import worst
from ..criteria.power import is_power_limit
from ..criteria.weather import STIFFER
from ..evaluate import Evaluation


def shortfall(evaluation: Evaluation) -> float:
    """How far a candidate misses its limits altogether, on a soft scale."""
    return sum(math.log1p(-m) for m in evaluation.margins.values() if m < 0)


def only_money(evaluation: Evaluation) -> bool:
    """Is the budget all that is missed?"""
    return [name for name, margin in evaluation.margins.items() if margin < 0] == ["budget"]


def outscored(best: Evaluation) -> str:
    """Of a family that fits and is not in the table."""
    return f"fits, but its best scores {best.total:.1f}, too little for a row"


def reason_of(placed: Evaluation | None) -> str:
    """The limit that rules the family out most narrowly, in words."""
    if placed is None:
        return "serves none of the wished bands"
    missed = {name: margin for name, margin in placed.margins.items() if margin < 0}
    name, margin = worst({n: m for n, m in missed.items() if not is_power_limit(n)} or missed)
    others = [n for n in missed if n != name]
    also = f"; so are {', '.join(others)}" if others else ""
    limit = next((limit for limit in placed.power_limits if limit.name == name), None)
    if limit:
        return f"{name}: {limit.text} by the design that came nearest{also}"
    if name in STIFFER:
        return f"{name} is {-100 * margin:.0f} % too much in an everyday wind for the design that came nearest: it wants {STIFFER[name]}{also}"
    detail = f" ({placed.detail})" if placed.detail else ""
    short = math.ceil(-100.0 * margin - 1e-9) / 100.0  # never told as 0.00
    return f"{name} is missed by {short:.2f}{unit_of(name)} by the design that came nearest{detail}{also}"


def unit_of(limit: str) -> str:
    """Unit to print after a margin of this name."""
    return {"budget": " in the site's currency", "apex angle": " degrees"}.get(limit, "" if is_power_limit(limit) else " m")
