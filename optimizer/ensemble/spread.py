"""The spread of a design over gardens: every member built as planned, trimmed, judged.

Figures are given as quantiles over the members, 10 and 90 %, by ranks over n + 1 (E. J. Gumbel's plotting position: unbiased
whatever the distribution), so that a further garden of the same kind falls between them four times of five. The score is the
quantile that `Weights.quantile` names, of the members' scores.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ..evaluate import Measurement, judge, place
from ..families.family import Family
from ..figures import BandFigures
from ..physics.wishes import WishList
from ..site.model import Site
from ..wires.model import Ground
from .builder import CENTIMETRE_M, Builder, Trimmed
from .garden import Garden, as_planned, garden_of
from .plan import Drawing, Sensitivity, Way, sensitivity, start_lengths, ways, with_lengths
from .unknowns import draw
from .yard import Yard

MEMBERS = 24
PILOTS = 6  # members that try every order of trimming
LOW, HIGH = 0.10, 0.90
ALLOWED_FOR = 0.95  # of the members end trimmable by cutting
FIGURES = ("covered_share", "swr_best", "swr_worst", "efficiency", "gain_near_dbi", "gain_far_dbi")


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One length to cut: as computed, as to be cut, and what a centimetre does."""

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
    """`low`, `high`: wish key → figure → quantile; `scores`: of the members; `order`: pieces in the order of trimming.

    `on_target`, `trimmable`: shares of the members; `moves`: cuts and folds, mean; `interaction`: greatest share of a
    length's effect that falls on another trimmed band.
    """

    members: int
    low: dict[str, dict[str, float]]
    high: dict[str, dict[str, float]]
    scores: tuple[float, ...]
    way: str
    order: tuple[Piece, ...]
    on_target: float
    trimmable: float
    moves: float
    interaction: float
    tried: dict[str, float]  # way → share on target

    def score(self, quantile: float) -> float:
        return quantile_of(self.scores, quantile)


def quantile_of(numbers, share: float) -> float:
    """Quantile by ranks over n + 1."""
    return float(np.quantile(np.asarray(numbers, float), share, method="weibull"))


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """A design ready to be built anywhere: its drawing and the chosen plan."""

    drawing: Drawing
    found: Sensitivity
    way: Way
    tried: dict[str, float]
    start: dict[str, float]


def spread_of(
    site: Site,
    wishes: WishList,
    family: Family,
    nominal: Measurement,
    *,
    members: int = MEMBERS,
    seed: int = 1,
    progress: Callable[[float], None] = lambda share: None,
) -> Spread:
    """Ensemble of a measured design. `nominal`: its trimmed values and figures in the open."""
    gardens = [garden_of(m) for m in draw(site, members, seed)]
    ready = prepared(site, wishes, family, nominal.values, gardens[:PILOTS])
    outcomes = []
    for n, garden in enumerate(gardens):
        outcomes.append(grown(ready, garden, wishes))
        progress((n + 1) / members)
    ready, outcomes = _allowed(ready, gardens, outcomes, wishes)
    scores = [_score(site, wishes, family, nominal, figures) for _, figures in outcomes]
    return _summary(ready, wishes, outcomes, scores)


def prepared(site: Site, wishes: WishList, family: Family, values: dict, pilots) -> Prepared:
    """Sensitivities, lengths to build with, and the order that leaves most pilots on target."""
    design = place(site, wishes, family, values).design
    drawing = Drawing(design, family, site, wishes)
    yard = Yard(as_planned(Ground(kind="soil", soil=site.soil)), design, wishes.bands)
    found = sensitivity(drawing, yard)
    start = start_lengths(drawing, found)
    options = ways(drawing, yard, found, start)
    if len(options) == 1:
        return Prepared(drawing=drawing, found=found, way=options[0], tried={}, start=start)
    longest = drawing.at(start)
    yards = [Yard(garden, longest, wishes.bands) for garden in pilots]
    results = {way.name: [Builder(yard, drawing.at, way.steps).trimmed() for yard in yards] for way in options}
    rank = {name: (_on_target(ts), -float(np.mean([t.moves for t in ts]))) for name, ts in results.items()}
    best = max(options, key=lambda way: rank[way.name])
    return Prepared(drawing=drawing, found=found, way=best, tried={n: r[0] for n, r in rank.items()}, start=start)


def _trim(drawing: Drawing, way: Way, garden: Garden, wishes: WishList) -> tuple[Yard, Trimmed]:
    longest = drawing.at({s.step.parameter: s.start_m for s in way.steps})
    yard = Yard(garden, longest, wishes.bands)
    return yard, Builder(yard, drawing.at, way.steps).trimmed()


def grown(ready: Prepared, garden: Garden, wishes: WishList) -> tuple[Trimmed, dict[str, BandFigures]]:
    """Built, trimmed and judged in one garden."""
    yard, trimmed = _trim(ready.drawing, ready.way, garden, wishes)
    return trimmed, {w.key: yard.figures(trimmed.design, w.key, wishes.swr_limit) for w in wishes.bands}


def _on_target(trimmed: list[Trimmed]) -> float:
    """Share of all (member, band) that end on their target."""
    return float(np.mean([on for t in trimmed for on in t.on_target.values()] or [1.0]))


def _allowed(ready: Prepared, gardens, outcomes, wishes) -> tuple[Prepared, list]:
    """Plan with the trim allowance that `ALLOWED_FOR` of the members need; those that need more are built again with it."""
    start = {}
    for name, built_m in ready.start.items():
        needed = np.array([t.lengths_m[name] for t, _ in outcomes])
        wanted = np.ceil(quantile_of(needed, ALLOWED_FOR) / CENTIMETRE_M) * CENTIMETRE_M
        start[name] = float(min(built_m, max(wanted, ready.drawing.lengths[name])))
    plan = replace(ready, way=with_lengths(ready.way, start), start=start)
    again = []
    for garden, (trimmed, figures) in zip(gardens, outcomes):
        lacks = any(trimmed.lengths_m[n] > start[n] + 1e-9 for n in start)
        again.append(grown(plan, garden, wishes) if lacks else (trimmed, figures))
    return plan, again


def _score(site, wishes, family, nominal: Measurement, figures: dict[str, BandFigures]) -> float:
    """What the design would score as that garden has it; lengths and price stay the plan's."""
    found = replace(nominal, bands=figures)
    return judge(site, wishes, family, found).total


def _summary(ready: Prepared, wishes, outcomes, scores) -> Spread:
    trimmed = [t for t, _ in outcomes]

    def at(share):
        return {
            w.key: {f: quantile_of([getattr(b[w.key], f) for _, b in outcomes], share) for f in FIGURES}
            for w in wishes.bands
        }

    return Spread(
        members=len(outcomes), low=at(LOW), high=at(HIGH), scores=tuple(scores), way=ready.way.name,
        order=tuple(_piece(ready, s) for s in ready.way.steps), on_target=_on_target(trimmed),
        trimmable=float(np.mean([not t.short for t in trimmed])), moves=float(np.mean([t.moves for t in trimmed])),
        interaction=_interaction(ready.found, ready.drawing.nominal.trims), tried=ready.tried,
    )  # fmt: skip


def _piece(ready: Prepared, step) -> Piece:
    name, band = step.step.parameter, step.step.band
    nominal = ready.drawing.lengths[name]
    slope = ready.found.slope[name][band]
    return Piece(
        parameter=name, element=step.step.element, band=band, nominal_m=nominal, cut_m=step.start_m,
        aim_mhz=step.aim_hz / 1e6, end_mhz=step.end_hz / 1e6, reachable=step.step.reachable, bare=step.bare,
        khz_per_cm=-slope * ready.found.dips_hz[band] / nominal * CENTIMETRE_M / 1e3,
    )  # fmt: skip


def _interaction(found: Sensitivity, trims) -> float:
    """0 where each length moves its own band only, towards 1 where it moves another as much, in log frequency."""
    worst = 0.0
    for trim in trims:
        moves = found.slope[trim.parameter]
        others = [abs(s) for band, s in moves.items() if band != trim.band]
        worst = max([worst, *(o / (o + abs(moves[trim.band])) for o in others if o)])
    return worst
