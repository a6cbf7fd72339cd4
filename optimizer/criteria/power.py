"""The power a design may be run at, limit by limit: people's exposure, and what its parts stand. Every limit is a margin.

    margin = 1 - P/P_most     P the station's peak envelope power, P_most what just meets the limit; its relaxation is "at most P_most"

Exposure and heat go with the average power (peak × mode duty × transmit share), voltage with the peak.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..physics.wishes import WishList

EXPOSURE = "exposure"
SUFFIX = "_power"


@dataclass(frozen=True, kw_only=True)
class PowerLimit:
    """One limit: its name, the peak envelope power that just meets it [W], the wish key where, and who or what is met first."""

    name: str
    most_w: float
    band: str
    what: str

    def margin(self, power_w: float) -> float:
        """Signed, 1 - P/P_most."""
        return 1.0 - power_w / self.most_w if self.most_w > 0.0 else -math.inf

    @property
    def text(self) -> str:
        """As a relaxation: the power, rounded down."""
        return f"at most {watts(self.most_w)} W ({self.what} on {self.band})"


def watts(most_w: float) -> str:
    """Two figures, rounded down so that the limit is kept."""
    if most_w <= 0.0:
        return "0"
    scale = 10.0 ** (math.floor(math.log10(most_w)) - 1)
    return f"{math.floor(most_w / scale + 1e-9) * scale:.6g}"


def average_over_peak(wishes: WishList) -> float:
    """Mode duty times transmit share."""
    return wishes.mode_duty * wishes.transmit_share


def power_limits(wishes: WishList, bands: dict) -> tuple[PowerLimit, ...]:
    """The least of every kind of limit over the wished segments; `bands`: wish key → figures with `exposure` and `stands`."""
    average = average_over_peak(wishes)
    found: dict[str, PowerLimit] = {}
    for key, figures in bands.items():
        worst = figures.exposure
        here = [PowerLimit(name=EXPOSURE, most_w=worst.average_w / average, band=key, what=f"people: {worst.place}")] if worst.share > 0.0 else []
        here += [PowerLimit(name=part + SUFFIX, most_w=s.most_peak_w(average), band=key, what=part) for part, s in figures.stands.items()]
        for limit in here:
            if limit.name not in found or limit.most_w < found[limit.name].most_w:
                found[limit.name] = limit
    return tuple(found.values())


def power_margins(limits, power_w: float) -> dict[str, float]:
    """Limit name → signed margin at that power."""
    return {limit.name: limit.margin(power_w) for limit in limits}


def is_power_limit(name: str) -> bool:
    return name == EXPOSURE or name.endswith(SUFFIX)


def power_that_lets_in(margins: dict[str, float], limits) -> PowerLimit | None:
    """The limit that decides how much power a design may have; None where it misses something else, or nothing."""
    others = any(m < -1e-6 for name, m in margins.items() if not is_power_limit(name))
    missed = [limit for limit in limits if margins.get(limit.name, 0.0) < -1e-6 and limit.most_w > 0.0]
    return None if others or not missed else min(missed, key=lambda limit: limit.most_w)
