"""What the operator wishes for: bands, segments, weights, station, purse and limits. Frozen."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class BandWish:
    """One wished segment. `key` is unique in the list ("40m", or "40m-2" for a second segment)."""

    key: str
    band: str
    segment: str  # morse, digital, voice, all, or custom
    low_hz: float
    high_hz: float
    weight: float = 1.0
    contacts: str = "both"  # near, far or both
    bearing_deg: float | None = None

    @property
    def centre_hz(self) -> float:
        return 0.5 * (self.low_hz + self.high_hz)


@dataclass(frozen=True, kw_only=True)
class WishList:
    """The whole wish. `swr_limit` is what the radio accepts; `on_hand` parts: key → quantity at price 0, a pair for each piece; `prices`: the user's own
    (part, unit price, currency); `rates`: (currency, units for one euro); `parts`: what is wound is own-wound, bought or either."""

    bands: tuple[BandWish, ...]
    power_w: float = 100.0
    mode_duty: float = 0.4
    transmit_share: float = 0.5
    swr_limit: float = 2.0
    tuner: str = "none"  # none, radio (built in) or external
    budget: float | None = None
    mast_limit_m: float | None = None
    station: str = "mains"  # mains earth, or battery (floats)
    on_hand: tuple[tuple[str, float], ...] = ()
    prices: tuple[tuple[str, float, str], ...] = ()
    rates: tuple[tuple[str, float], ...] = ()
    parts: str = "own"
