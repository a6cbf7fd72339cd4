"""Thrift: what is left of the purse. Money is in the site's currency."""

from __future__ import annotations

import math

NO_BUDGET_SCALE = 200.0  # where no budget is named: a wire at this cost keeps 1/e of the thrift


def thrift(cost: float, budget: float | None) -> float:
    """0..1: share of the budget left, or a gentle fall where none is named."""
    if budget is None:
        return math.exp(-max(0.0, cost) / NO_BUDGET_SCALE)
    if budget <= 0.0:
        return 1.0 if cost <= 0.0 else 0.0
    return min(1.0, max(0.0, 1.0 - cost / budget))


def budget_margin(cost: float, budget: float | None) -> float:
    """Money left, negative when over; infinite where no budget is named."""
    return math.inf if budget is None else budget - cost
