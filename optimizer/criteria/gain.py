"""Worth of the gain toward near and far contacts.

Near contacts (up to some 500 km) leave at 60 to 90 degrees of elevation, far ones at 5 to 20. The scales run
from a wire that is hardly heard to one as good as a small plot ever sees (common practice, no source).
High angles come back from the ionosphere only below its critical frequency, which is seldom above 8 to
10 MHz in middle latitudes; so where an operator wishes both, near contacts count on the low bands alone.
"""

from __future__ import annotations

NEAR_ELEVATION_DEG = (60.0, 90.0)
FAR_ELEVATION_DEG = (5.0, 20.0)
NEAR_SCALE_DBI = (-12.0, 7.0)
FAR_SCALE_DBI = (-16.0, 4.0)
NEAR_ONLY_BELOW_HZ = 4.5e6
FAR_ONLY_ABOVE_HZ = 12e6


def on_scale(gain_dbi: float, scale_dbi: tuple[float, float]) -> float:
    """0 at the scale's low end or under, 1 at its high end or over, linear in decibels between."""
    low, high = scale_dbi
    return min(1.0, max(0.0, (gain_dbi - low) / (high - low)))


def near_share(contacts: str, freq_hz: float) -> float:
    """Weight of near contacts, 0..1; far contacts get the rest."""
    if contacts == "near":
        return 1.0
    if contacts == "far":
        return 0.0
    span = (FAR_ONLY_ABOVE_HZ - freq_hz) / (FAR_ONLY_ABOVE_HZ - NEAR_ONLY_BELOW_HZ)
    return 0.7 * min(1.0, max(0.0, span))


def gain_worth(*, gain_near_dbi: float, gain_far_dbi: float, contacts: str, freq_hz: float) -> float:
    """0..1 for the wished kind of contact."""
    near = near_share(contacts, freq_hz)
    return near * on_scale(gain_near_dbi, NEAR_SCALE_DBI) + (1.0 - near) * on_scale(gain_far_dbi, FAR_SCALE_DBI)
