"""Records of a spread: what a design came to in every garden of an ensemble, and how it is to be cut and trimmed.

`ensemble.spread` computes them, `evaluate.judge` scores them, `report` shows them. Quantiles go by ranks over n + 1 (E. J. Gumbel's
plotting position: unbiased whatever the distribution), so that a further garden of the same kind falls between the 10
and the 90 % quantile four times of five.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

LOW, HIGH = 0.10, 0.90
FIGURES = ("covered_share", "swr_best", "swr_worst", "efficiency", "gain_near_dbi", "gain_far_dbi")


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One length: as computed and as to be cut, the reading to trim to, the reading when all is done, what a centimetre does.

    `bare`: read before the outermost coil and what lies beyond it are hung.
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

    @property
    def allowance_m(self) -> float:
        return self.cut_m - self.nominal_m


@dataclass(frozen=True, kw_only=True)
class Spread:
    """`gardens`: of each, wish key → figure → value; `order`: pieces in the order of trimming.

    `way`: that order in words, `tried`: other ways → share on target; `on_target`, `trimmable`: shares of the members;
    `moves`: cuts and folds, mean; `interaction`: greatest part of a length's effect that falls on another trimmed band, 0..1.
    """

    gardens: tuple[dict[str, dict[str, float]], ...]
    way: str
    order: tuple[Piece, ...]
    on_target: float
    trimmable: float
    moves: float
    interaction: float
    tried: dict[str, float]

    @property
    def spare_share(self) -> float:
        """What the hardest of the lengths is cut longer by, as a share."""
        return max((p.allowance_m / p.nominal_m for p in self.order), default=0.0)

    def quantile(self, key: str, figure: str, share: float) -> float:
        return quantile_of([g[key][figure] for g in self.gardens], share)

    def band(self, key: str, figure: str) -> tuple[float, float]:
        """The stated 10 to 90 % band of a figure."""
        return self.quantile(key, figure, LOW), self.quantile(key, figure, HIGH)


def quantile_of(numbers, share: float) -> float:
    """Quantile by ranks over n + 1."""
    return float(np.quantile(np.asarray(numbers, float), share, method="weibull"))


def spread_from(kept: dict | None) -> Spread | None:
    """A spread from its plain data (as `dataclasses.asdict` makes them)."""
    if kept is None:
        return None
    order = tuple(Piece(**p) for p in kept["order"])
    return Spread(**{**kept, "order": order, "gardens": tuple(kept["gardens"])})
