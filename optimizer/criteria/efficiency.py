"""Worth of an efficiency to an operator, who hears in decibels.

An S-point is 6 dB (IARU Region 1 Technical Recommendation R.1, from memory): half the power is hardly noticed,
a tenth is.
"""

from __future__ import annotations

import math

FLOOR_DB = -13.0  # two S-points down, and a little: worth nothing more


def efficiency_worth(efficiency: float) -> float:
    """1 at no loss, falling linearly in decibels to 0 at `FLOOR_DB`."""
    if efficiency <= 0.0:
        return 0.0
    return min(1.0, max(0.0, 1.0 - 10.0 * math.log10(efficiency) / FLOOR_DB))
