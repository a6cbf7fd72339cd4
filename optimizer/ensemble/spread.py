"""The spread of a design over gardens: every member built as planned, trimmed, judged.

Lengths are cut with an allowance for what `ALLOWED_FOR` of the members need by a first look at a few members' dips; every member is
built with them. The order of trimming is the one that leaves most of a few members on target (fewest moves among equals).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import t

from ..evaluate import Measurement, place
from ..families.family import Family
from ..families.pieces import TRIM_SHARE
from ..figures import BandFigures
from ..physics.wishes import WishList
from ..site.model import Site
from ..spread import FIGURES, MEMBERS, Piece, Spread, with_choke
from ..wires.model import Ground
from .builder import CENTIMETRE_M, Builder, Trimmed
from .garden import Garden, as_planned, garden_of
from .learned import narrowed
from .plan import Drawing, Sensitivity, Way, sensitivity, wanted_lengths, ways
from .views import Seen, first_band, seen, view_of
from .yard import Yard

LOOKS = 8  # members whose dips say what allowance to cut with
PILOTS = 4  # members that try every order of trimming
ALLOWED_FOR = 0.95  # of the members end trimmable by cutting


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """A design ready to be built anywhere: its drawing and the chosen plan."""

    drawing: Drawing
    found: Sensitivity
    way: Way
    tried: dict[str, float]
    start: dict[str, float]


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """One garden: how trimming went, the figures and what is seen, by wish key."""

    trimmed: Trimmed
    figures: dict[str, BandFigures]
    seen: dict[str, Seen]


def spread_of(site: Site, wishes: WishList, family: Family, values: dict, **told) -> Spread:
    """Ensemble of a design; arguments as in `in_gardens`."""
    return summary(*in_gardens(site, wishes, family, values, **told))


def in_gardens(
    site: Site,
    wishes: WishList,
    family: Family,
    values: dict,
    *,
    members: int = MEMBERS,
    seed: int = 1,
    weights: tuple[float, ...] = (),
    progress: Callable[[float], None] = lambda share: None,
) -> tuple[Prepared, list[Outcome]]:
    """The plan, and what came of it in every garden. `values`: as trimmed in the open; `weights`: of the site's gardens, where readings taught
    some (see `learned`)."""
    gardens = [garden_of(m) for m in narrowed(site, members, seed, weights)]
    progress(0.0)
    ready, outcomes = prepared(site, wishes, family, values, gardens)
    for n, garden in enumerate(gardens[len(outcomes) :]):
        outcomes.append(grown(ready, garden, wishes))
        progress((n + 1) / members)
    return ready, outcomes


def with_spread(site: Site, wishes: WishList, family: Family, found: Measurement, members: int, seed: int = 1, **told) -> Measurement:
    """The measurement with its spread over so many gardens; `told`: progress and weights as in `in_gardens`."""
    spread = spread_of(site, wishes, family, found.values, members=members, seed=seed, **told)
    return replace(found, spread=with_choke(spread, {key: figures.choke_share for key, figures in found.bands.items()}))


def prepared(site: Site, wishes: WishList, family: Family, values: dict, gardens) -> tuple[Prepared, list[Outcome]]:
    """Sensitivities, lengths to build with, and the order that leaves most pilots (the first gardens) on target; and what came of the pilots,
    as far as they were needed."""
    design = place(site, wishes, family, values).design
    drawing = Drawing(design, family, site, wishes)
    yard = Yard(as_planned(Ground(kind="soil", soil=site.soil)), design, wishes.bands)
    found = sensitivity(drawing, yard)
    looks = [Yard(garden, design, wishes.bands) for garden in gardens[:LOOKS]]
    start = _start(drawing, found, looks)
    options = ways(drawing, yard, found, start)
    if len(options) == 1:
        return Prepared(drawing=drawing, found=found, way=options[0], tried={}, start=start), []
    longest = drawing.at(start)
    yards = [look.rebuilt(longest) for look in looks[:PILOTS]]
    del looks  # some 25 MB each
    results = {way.name: [Builder(yard, drawing.at, way.steps).trimmed() for yard in yards] for way in options}
    rank = {name: (_on_target(ts), -float(np.mean([t.moves for t in ts]))) for name, ts in results.items()}
    best = max(options, key=lambda way: rank[way.name])
    tried = {n: r[0] for n, r in rank.items()}
    outcomes = [_outcome(yard, t, wishes) for yard, t in zip(yards, results[best.name])]
    return Prepared(drawing=drawing, found=found, way=best, tried=tried, start=start), outcomes


def _trim(drawing: Drawing, way: Way, garden: Garden, wishes: WishList) -> tuple[Yard, Trimmed]:
    longest = drawing.at({s.step.parameter: s.start_m for s in way.steps})
    yard = Yard(garden, longest, wishes.bands)
    return yard, Builder(yard, drawing.at, way.steps).trimmed()


def grown(ready: Prepared, garden: Garden, wishes: WishList) -> Outcome:
    """Built, trimmed and judged in one garden."""
    yard, trimmed = _trim(ready.drawing, ready.way, garden, wishes)
    return _outcome(yard, trimmed, wishes)


def _outcome(yard: Yard, trimmed: Trimmed, wishes: WishList) -> Outcome:
    figures = {w.key: yard.figures(trimmed.design, w.key, wishes.swr_limit) for w in wishes.bands}
    return Outcome(trimmed=trimmed, figures=figures, seen={w.key: seen(yard, trimmed.design, w) for w in wishes.bands})


def _on_target(trimmed: list[Trimmed]) -> float:
    """Share of all (member, band) that end on their target."""
    return float(np.mean([on for t in trimmed for on in t.on_target.values()] or [1.0]))


def _start(drawing: Drawing, found: Sensitivity, looks: list[Yard]) -> dict[str, float]:
    """Lengths as cut, as far as the lot holds them: long enough for `ALLOWED_FOR` of the gardens to be trimmed by cutting. From a look at
    some of them, by Student's bound for one more: what gardens need is near enough normal."""
    wanted = [wanted_lengths(drawing, found, {band: look.dip_hz(drawing.nominal, band) for band in found.dips_hz}) for look in looks]
    share, count = 1.0 - (1.0 - ALLOWED_FOR) / max(1, len(drawing.lengths)), len(looks)
    bound = float(t.ppf(share, count - 1)) * np.sqrt(1.0 + 1.0 / count) if count > 1 else 0.0
    longer = {}
    for name, length in drawing.lengths.items():
        needed = [w[name] / length - 1.0 for w in wanted]
        longer[name] = max(TRIM_SHARE, float(np.mean(needed) + bound * np.std(needed, ddof=count > 1)))
    return drawing.longest(longer)


def summary(ready: Prepared, outcomes: list[Outcome]) -> Spread:
    """The record of it."""
    trimmed, wishes = [o.trimmed for o in outcomes], ready.drawing.wishes
    gardens = tuple({k: {f: getattr(b, f) for f in FIGURES} for k, b in o.figures.items()} for o in outcomes)
    return Spread(
        gardens=gardens, way=ready.way.name, tried=ready.tried, order=tuple(_piece(ready, i, trimmed) for i in range(len(ready.way.steps))),
        on_target=_on_target(trimmed), trimmable=float(np.mean([not t.short for t in trimmed])),
        moves=float(np.mean([t.moves for t in trimmed])), interaction=_interaction(ready.found, ready.drawing.nominal.trims),
        views={w.key: view_of([o.seen[w.key] for o in outcomes]) for w in wishes.bands},
    )  # fmt: skip


def _piece(ready: Prepared, i: int, trimmed: list[Trimmed]) -> Piece:
    step = ready.way.steps[i]
    name, band = step.step.parameter, step.step.band
    nominal = ready.drawing.lengths[name]
    slope = ready.found.slope[name][band]
    return Piece(
        parameter=name, element=step.step.element, band=band, nominal_m=nominal, cut_m=step.start_m,
        aim_mhz=step.aim_hz / 1e6, end_mhz=step.end_hz / 1e6, reachable=step.step.reachable, bare=step.bare,
        khz_per_cm=-slope * ready.found.dips_hz[band] / nominal * CENTIMETRE_M / 1e3,
        first=first_band(step.aim_hz, [t.first[name] for t in trimmed]),
    )  # fmt: skip


def _interaction(found: Sensitivity, trims) -> float:
    """0 where each length moves its own band only, towards 1 where it moves another as much, in log frequency."""
    worst = 0.0
    for trim in trims:
        moves = found.slope[trim.parameter]
        others = [abs(s) for band, s in moves.items() if band != trim.band]
        worst = max([worst, *(o / (o + abs(moves[trim.band])) for o in others if o)])
    return worst
