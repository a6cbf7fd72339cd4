"""The spine: one call per step from a family's numbers to a score.

    values ──► design ──► hard limits ──► trimmed lengths ──► figures per band ──► score
              families    site, purse     trim                figures             criteria

`place` is cheap and comes first: a design that misses a hard limit is never solved. `measure` is the costly part
and depends on nothing that may change afterwards (budget, mast limit, weights), so its result can be kept.
`judge` turns a measurement into an evaluation under today's wishes, without any solve.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from .criteria import fit
from .criteria.cost import budget_margin
from .criteria.ease import ease
from .criteria.exposure import watch_over
from .criteria.handling import mean_change_min, outdoor_min
from .criteria.power import PowerLimit, power_limits, power_margins
from .criteria.score import Score, score
from .criteria.weather import STIFFER, load_margins
from .criteria.weights import DEFAULT, Weights
from .families.design import Design
from .families.family import Family, NoPlace
from .figures import BandFigures, band_figures, loudest, with_choke, with_limit
from .network.tuner import tuner
from .parts.prices import bill_for, total
from .physics.exposure import rule_for
from .physics.wishes import WishList
from .site.model import Site
from .site.people import stays_of
from .spread import Spread, quantile_of
from .wires.model import Ground


@dataclass(frozen=True, kw_only=True)
class Storey:
    """How much computing an evaluation may cost: solved and dense frequencies, patterns and points where people stay a segment, trim moves.

    `members`: gardens in which a design is built and trimmed, 0 none; their figures are for `swr_limit`; `garden_weights`: what
    readings at the site taught of its gardens, empty where nothing; `outside`: solve what a choke at the feed carries, for its heat.
    """

    name: str
    nodes: int
    dense: int = 41
    patterns: int = 1
    trim_moves: int = 2
    people: int = 6
    members: int = 0
    swr_limit: float = 0.0
    outside: bool = False
    garden_weights: tuple[float, ...] = ()


COARSE = Storey(name="coarse", nodes=3)
FULL = Storey(name="full", nodes=9, dense=81, patterns=3, trim_moves=4, people=60, outside=True)


@dataclass(frozen=True, kw_only=True)
class Measurement:
    """What was computed: the trimmed values and the figures per wish key, and their spread over gardens where asked for."""

    family: str
    values: dict
    bands: dict[str, BandFigures]
    storey: str
    spread: Spread | None = None


@dataclass(frozen=True, kw_only=True)
class Placed:
    """A design that stands, and its margins: all hard limits of place and strength."""

    design: Design
    margins: dict[str, float]


@dataclass(frozen=True, kw_only=True)
class Evaluation:
    """One judged candidate. Without `bands` it was not solved, for a margin is negative. `settled`: its score over all gardens, where that is known; `change_min`: minutes of handwork at a change of band."""

    family: str
    values: dict
    margins: dict[str, float]
    design: Design | None = None
    cost: float = 0.0
    change_min: float = 0.0
    bands: dict[str, BandFigures] = field(default_factory=dict)
    score: Score | None = None
    storey: str = ""
    detail: str = ""
    power_limits: tuple[PowerLimit, ...] = ()
    spread: Spread | None = None
    settled: float | None = None

    @property
    def fits(self) -> bool:
        return self.design is not None and fit.fits(self.margins)

    @property
    def total(self) -> float:
        if self.settled is not None:
            return self.settled
        return self.score.total if self.score else 0.0


def evaluate(site: Site, wishes: WishList, family: Family, values: dict, storey=FULL, weights=DEFAULT) -> Evaluation:
    """Place, then measure and judge; not solved when a hard limit is missed."""
    placed = place(site, wishes, family, values)
    if not placed.fits:
        return placed
    return judge(site, wishes, family, measure(site, wishes, family, placed.design, storey), weights)


def place(site: Site, wishes: WishList, family: Family, values: dict, cut_m: dict[str, float] | None = None) -> Evaluation:
    """Build, and take every hard limit's margin; no field is solved. `cut_m`: lengths as first cut, to be bought; else the usual spare is."""
    from .families.common import with_spare  # compiled code comes with these, which judging stored work does without
    from .families.props import with_posts
    from .outside import completed

    try:
        design = completed(family.build(values, site, wishes), site, wishes)
        if cut_m is not None:
            design = with_spare(design, _built(family, {**values, **cut_m}, site, wishes), cut_m)
    except NoPlace as missed:
        return not_placed(family, values, missed)
    placed = held(site, wishes, family, design)
    if not placed.margins.keys() & STIFFER.keys() or placed.fits or not (propped := with_posts(site, design)):
        return placed
    stood = held(site, wishes, family, propped)
    return stood if stood.fits else placed


def _built(family: Family, values: dict, site: Site, wishes: WishList) -> Design | None:
    try:
        return family.build(values, site, wishes)
    except NoPlace:
        return None


def held(site: Site, wishes: WishList, family: Family, design: Design) -> Evaluation:
    """Every hard limit's margin of a design as it is to be built."""
    from .site.clearance import margins as clearances

    cost = total(bill_for(design.bill, site.currency, wishes))
    margins = clearances(site, design.structure) | _wished(design, cost, wishes)
    if fit.fits(margins):
        margins |= load_margins(site, design)
    handwork = change_min(design, wishes)
    return Evaluation(family=family.key, values=dict(design.values), margins=margins, design=design, cost=cost, change_min=handwork)


def _wished(design: Design, cost: float, wishes: WishList) -> dict[str, float]:
    """Margins of the limits that the user may move: mast and purse."""
    tallest = max((m.height_m for m in design.structure.masts), default=0.0)
    return {"mast_m": fit.mast_margin_m(tallest, wishes.mast_limit_m), "budget": budget_margin(cost, wishes.budget)}


def change_min(design: Design, wishes: WishList) -> float:
    """Minutes of handwork at a mean change from one wished segment to another."""
    outdoors = outdoor_min(design.switched_by, design.feed.line_length_m) if design.switched_by else 0.0
    retune = tuner(design.feed.tuner).retune_s / 60.0 if design.feed.tuner else 0.0
    states = [design.loads_on(w.key) for w in wishes.bands]
    return mean_change_min([w.weight for w in wishes.bands], states, outdoor_min=outdoors, retune_min=retune)


def not_placed(family: Family, values: dict, missed: NoPlace) -> Evaluation:
    """A candidate that could not be built: the limit it misses, and by how much."""
    margins = {missed.limit: -max(1e-3, missed.short_by)}
    return Evaluation(family=family.key, values=values, margins=margins, detail=missed.detail)


def measure(site: Site, wishes: WishList, family: Family, design: Design, storey: Storey, *, trim: bool = True) -> Measurement:
    """Trim and solve every wished segment; without `trim`, as it stands."""
    from .trim import trimmed

    ground = Ground(kind="soil", soil=site.soil)
    design = trimmed(design, family, site, wishes, ground, moves=storey.trim_moves) if trim else design
    watch = watch_over(stays_of(site), design.structure.wires, rule_for(site.country), storey.people)
    effort = {"nodes": storey.nodes, "dense": storey.dense, "patterns": storey.patterns, "watch": watch}
    bands = {w.key: band_figures(design, ground, w, swr_limit=wishes.swr_limit, **effort) for w in wishes.bands}
    if storey.outside:
        bands = {key: _with_choke(figures, design, site, wishes, ground, key) for key, figures in bands.items()}
    return Measurement(family=family.key, values=dict(design.values), bands=bands, storey=storey.name)


def _with_choke(figures: BandFigures, design: Design, site: Site, wishes: WishList, ground: Ground, key: str) -> BandFigures:
    """The figures with what the choke at the feed takes and stands, at the frequency that takes most power; as they are where none is sent or there is no such choke."""
    from .outside import choke_takes, has_choke_at_feed

    if not has_choke_at_feed(design) or not figures.stands:
        return figures
    freq_hz, delivered = loudest(figures, design.feed)
    stands, share = choke_takes(design, site, wishes.station, ground, freq_hz, delivered, key=key)
    return with_choke(replace(figures, stands=figures.stands | {"choke": stands}), share)


def judge(site: Site, wishes: WishList, family: Family, found: Measurement, weights: Weights = DEFAULT) -> Evaluation:
    """Evaluation of a measurement under these wishes; trimmed lengths are held to the hard limits again, and the station's power to its own."""
    return judge_placed(wishes, place_found(site, wishes, family, found), found, weights)


def place_found(site: Site, wishes: WishList, family: Family, found: Measurement) -> Evaluation:
    """Placed again with the lengths of a measurement, and wire enough for all the trimming it may take."""
    return place(site, wishes, family, found.values, found.spread.cut_m if found.spread else None)


def priced(site: Site, wishes: WishList, family: str, values: dict, placed: Placed) -> Evaluation:
    """The evaluation of something known to stand, with what it costs today, under today's mast limit and budget; nothing is built."""
    cost = total(bill_for(placed.design.bill, site.currency, wishes))
    margins = placed.margins | _wished(placed.design, cost, wishes)
    return Evaluation(family=family, values=values, margins=margins, design=placed.design, cost=cost, change_min=change_min(placed.design, wishes))


def judge_placed(wishes: WishList, placed: Evaluation, found: Measurement, weights: Weights = DEFAULT) -> Evaluation:
    """As `judge`, of what is already placed with the measurement's values."""
    bands = {w.key: with_limit(found.bands[w.key], w, wishes.swr_limit) for w in wishes.bands}
    limits = power_limits(wishes, bands)
    return Evaluation(
        family=placed.family,
        values=found.values,
        margins=placed.margins | power_margins(limits, wishes.power_w),
        power_limits=limits,
        design=placed.design,
        cost=placed.cost,
        change_min=placed.change_min,
        bands=bands,
        score=score(wishes, bands, placed.cost, weights, change_min=placed.change_min),
        storey=found.storey,
        spread=found.spread,
        settled=settled(wishes, bands, placed, found.spread, weights) if found.spread else None,
    )


def settled(wishes: WishList, bands: dict[str, BandFigures], placed: Evaluation, spread: Spread, weights: Weights = DEFAULT) -> float:
    """Score over all gardens: the stated quantile of what each of them leaves, less for trouble with trimming."""
    scores = [
        score(wishes, {k: replace(b, **garden[k]) for k, b in bands.items()}, placed.cost, weights, change_min=placed.change_min).total
        for garden in spread.gardens
    ]
    reachable = sum(p.reachable for p in spread.order) / len(spread.order) if spread.order else 1.0
    easy = ease(reachable_share=reachable, moves=spread.moves, interaction=spread.interaction)
    return quantile_of(scores, weights.quantile) * (1.0 - weights.ease * (1.0 - easy))
