"""From raw figures to the score, 0..100, and its parts. No solve happens here: weights re-rank at once."""

from __future__ import annotations

from dataclasses import dataclass

from ..physics.wishes import BandWish, WishList
from .cost import thrift
from .efficiency import efficiency_worth
from .gain import gain_worth
from .handling import handling
from .reach import reach
from .weights import DEFAULT, Weights


@dataclass(frozen=True, kw_only=True)
class BandParts:
    """Worths 0..1 of one wished segment; `worth` puts them together."""

    reach: float
    efficiency: float
    gain: float
    worth: float


@dataclass(frozen=True, kw_only=True)
class Score:
    """`total` 0..100; `bands`: wish key → parts; `performance`, `thrift` and `handling` 0..1."""

    total: float
    performance: float
    thrift: float
    handling: float
    bands: dict[str, BandParts]


def band_parts(wish: BandWish, figures, swr_limit: float, weights: Weights) -> BandParts:
    """Worths of one segment from its raw figures (the columns of the table)."""
    on = reach(
        covered_share=figures.covered_share,
        swr_best=figures.swr_best,
        swr_worst=figures.swr_worst,
        swr_limit=swr_limit,
    )
    loss = efficiency_worth(figures.efficiency)
    gain = gain_worth(
        gain_near_dbi=figures.gain_near_dbi,
        gain_far_dbi=figures.gain_far_dbi,
        contacts=wish.contacts,
        freq_hz=wish.centre_hz,
    )
    worth = on * (weights.base + weights.efficiency * loss + weights.gain * gain)
    return BandParts(reach=on, efficiency=loss, gain=gain, worth=worth)


def score(wishes: WishList, figures: dict, cost: float, weights: Weights = DEFAULT, *, change_min: float = 0.0) -> Score:
    """Score of a design. `figures`: wish key → raw figures of that segment; `change_min`: handwork at a change of band."""
    bands = {w.key: band_parts(w, figures[w.key], wishes.swr_limit, weights) for w in wishes.bands}
    total_weight = sum(w.weight for w in wishes.bands)
    performance = sum(w.weight * bands[w.key].worth for w in wishes.bands) / total_weight if total_weight else 0.0
    left, handy = thrift(cost, wishes.budget), handling(change_min)
    total = 100.0 * performance * (1.0 - weights.thrift * (1.0 - left)) * (1.0 - weights.handling * (1.0 - handy))
    return Score(total=total, performance=performance, thrift=left, handling=handy, bands=bands)
