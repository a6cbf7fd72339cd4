"""Records of a spread: what a design came to in every garden of an ensemble, and how it is to be cut and trimmed.

`ensemble.spread` computes them, `evaluate.judge` scores them, `report` shows them. The k-th of n gardens stands for
the share (k - 1/3)/(n + 1/3) of all (R. J. Hyndman and Y. Fan, American Statistician 50, 1996, 361, type 8, from memory): of gardens spread evenly, as
ours are, a further one falls between the 10 and the 90 % quantile four times of five (`tests/bench/even_spread.py`); ranks over n + 1, right for gardens
drawn independently, would be five of six.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

LOW, HIGH = 0.10, 0.90
PLACES = "median_unbiased"
SKY_ELEVATIONS_DEG = (2.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0)
SKY_BEARINGS_DEG = tuple(10.0 * n for n in range(36))
FAR_DEG, NEAR_DEG = 15.0, 60.0  # elevations of the two cuts by bearing
BEYOND_SHARE, BEYOND_LEAST = 0.35, 0.006  # shown either side of a segment: share of its width, least share of the frequency
MEMBERS = 24  # gardens a leader is built and trimmed in
FIGURES = ("covered_share", "swr_best", "swr_worst", "efficiency", "gain_near_dbi", "gain_far_dbi")


@dataclass(frozen=True, kw_only=True)
class CurveBand:
    """SWR that four of five gardens keep to, and where its dip lies in them [Hz]; `typical`: the curve of one in the middle, where it is asked for."""

    freq_hz: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    dip_hz: tuple[float, float]
    typical: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class View:
    """One wished segment over the gardens, built and trimmed. `meter`: at the radio's end of the line, no tuner, a little beyond the segment;
    `radio`: what the radio sees, behind its tuner. Sky [dBi], (low, high) each: mean over bearings at `SKY_ELEVATIONS_DEG`; at `SKY_BEARINGS_DEG`
    the far and the near cut."""

    meter: CurveBand
    radio: CurveBand
    by_elevation_db: tuple[tuple[float, ...], tuple[float, ...]]
    far_db: tuple[tuple[float, ...], tuple[float, ...]]
    near_db: tuple[tuple[float, ...], tuple[float, ...]]


    def weaker(self, db: float) -> View:
        """The same with the sky weaker by so much."""
        cuts = {name: tuple(tuple(v - db for v in end) for end in getattr(self, name)) for name in ("by_elevation_db", "far_db", "near_db")}
        return replace(self, **cuts)


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One length: as computed and as to be cut, the reading to trim to, the reading when all is done, what a centimetre does.

    `bare`: read before the outermost coil and what lies beyond it are hung; `first`: the first reading of the step, as cut.
    """

    parameter: str
    element: str
    band: str
    nominal_m: float
    cut_m: float
    aim_mhz: float
    end_mhz: float
    khz_per_cm: float
    reachable: bool
    bare: bool = False
    first: CurveBand | None = None

    @property
    def allowance_m(self) -> float:
        return self.cut_m - self.nominal_m


@dataclass(frozen=True, kw_only=True)
class Spread:
    """`gardens`: of each, wish key → figure → value; `order`: pieces in the order of trimming.

    `way`: that order in words, `tried`: other ways → share on target; `on_target`, `trimmable`: shares of the members;
    `moves`: cuts and folds, mean; `interaction`: greatest part of a length's effect that falls on another trimmed band, 0..1; `views`: wish key → its curves and sky.
    """

    gardens: tuple[dict[str, dict[str, float]], ...]
    way: str
    order: tuple[Piece, ...]
    on_target: float
    trimmable: float
    moves: float
    interaction: float
    tried: dict[str, float]
    views: dict[str, View] = field(default_factory=dict)

    @property
    def cut_m(self) -> dict[str, float]:
        """Every trimmed length as first cut, by its parameter."""
        return {p.parameter: p.cut_m for p in self.order}

    def quantile(self, key: str, figure: str, share: float) -> float:
        return quantile_of([g[key][figure] for g in self.gardens], share)

    def band(self, key: str, figure: str) -> tuple[float, float]:
        """The stated 10 to 90 % band of a figure."""
        return self.quantile(key, figure, LOW), self.quantile(key, figure, HIGH)


def quantile_of(numbers, share: float) -> float:
    """Quantile, see the module."""
    return float(np.quantile(np.asarray(numbers, float), share, method=PLACES))


def edges(rows) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """The stated 10 and 90 % quantiles, column by column, of one row a garden."""
    low, high = np.quantile(np.asarray(rows, float), (LOW, HIGH), axis=0, method=PLACES)
    return tuple(low.tolist()), tuple(high.tolist())


def shown_hz(low_hz: float, high_hz: float) -> tuple[float, float]:
    """Where curves of a segment begin and end: a little beyond its edges."""
    beyond = max(BEYOND_SHARE * (high_hz - low_hz), BEYOND_LEAST * 0.5 * (low_hz + high_hz))
    return low_hz - beyond, high_hz + beyond


def with_choke(spread: Spread, shares: dict[str, float]) -> Spread:
    """The spread with that share of the port's power lost in a choke at the feed, by wish key: the gardens are solved without the line's outside."""
    off_db = {key: -10.0 * math.log10(max(1.0 - share, 1e-9)) for key, share in shares.items()}

    def weaker(key: str, figures: dict[str, float]) -> dict[str, float]:
        gains = {f: v - off_db[key] for f, v in figures.items() if f.startswith("gain_")}
        return figures | gains | {"efficiency": (1.0 - shares[key]) * figures["efficiency"]}

    gardens = tuple({key: weaker(key, figures) for key, figures in garden.items()} for garden in spread.gardens)
    return replace(spread, gardens=gardens, views={key: view.weaker(off_db[key]) for key, view in spread.views.items()})
