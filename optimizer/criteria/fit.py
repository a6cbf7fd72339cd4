"""Hard limits: signed margins, zero or more is kept. All designs offered keep every one.

A margin's natural unit ends its name (`lot_m`, `budget`); the search sees each as a named constraint.
"""

from __future__ import annotations

import math


def fits(margins: dict[str, float]) -> bool:
    """True when no margin is negative (a micrometre is forgiven)."""
    return all(value >= -1e-6 for value in margins.values())


def worst(margins: dict[str, float]) -> tuple[str, float]:
    """Name and value of the least margin; ("", inf) when there is none."""
    return min(margins.items(), key=lambda item: item[1], default=("", math.inf))


def mast_margin_m(mast_m: float, limit_m: float | None) -> float:
    """Metres left under the wished mast limit; infinite where none is named."""
    return math.inf if limit_m is None else limit_m - mast_m
