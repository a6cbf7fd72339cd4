"""The spread of a design over gardens: every member built as planned, trimmed, judged.

Lengths are cut with an allowance for what most of the members need by a first look at a few members' dips; every member is
built with them. The order of trimming is the one that leaves most of a few members on target (fewest moves among equals). `growth` does it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from ..evaluate import Measurement
from ..families.family import Family
from ..physics.wishes import WishList
from ..site.model import Site
from ..spread import FIGURES, MEMBERS, Piece, Spread, with_choke
from .builder import CENTIMETRE_M, Trimmed
from .garden import garden_of
from .growth import Grown, Growth, Prepared, Step, on_target
from .learned import narrowed
from .plan import Sensitivity
from .views import first_band, view_of


def growth_of(
    site: Site, wishes: WishList, family: Family, values: dict, *, members: int = MEMBERS, seed: int = 1, weights: tuple[float, ...] = (), steps: Iterable[Step] = ()
) -> Growth:
    """A design on its way through an ensemble. `values`: as trimmed in the open; `weights`: of the site's gardens, where readings taught some (see
    `learned`); `steps`: what was done before."""
    return Growth(site, wishes, family, values, [garden_of(m) for m in narrowed(site, members, seed, weights)], steps)


def in_gardens(site: Site, wishes: WishList, family: Family, values: dict, **about) -> tuple[Prepared, list[Grown]]:
    """The plan, and what came of it in every garden; arguments as in `growth_of`."""
    growth = growth_of(site, wishes, family, values, **about)
    while growth.next():
        pass
    return growth.ready, growth.grown


def spread_of(site: Site, wishes: WishList, family: Family, values: dict, **about) -> Spread:
    """Ensemble of a design; arguments as in `growth_of`."""
    return summary(*in_gardens(site, wishes, family, values, **about))


def with_spread(site: Site, wishes: WishList, family: Family, found: Measurement, members: int, **about) -> Measurement:
    """The measurement with its spread over so many gardens; `about`: seed and weights as in `growth_of`."""
    growth = growth_of(site, wishes, family, found.values, members=members, **about)
    while growth.next():
        pass
    return settled(found, growth)


def settled(found: Measurement, growth: Growth) -> Measurement:
    """The measurement with what came of it in all gardens, a choke at the feed counted in."""
    spread = summary(growth.ready, growth.grown)
    return replace(found, spread=with_choke(spread, {key: figures.choke_share for key, figures in found.bands.items()}))


def summary(ready: Prepared, outcomes: list[Grown]) -> Spread:
    """The record of it."""
    trimmed, wishes = [o.trimmed for o in outcomes], ready.drawing.wishes
    gardens = tuple({k: {f: getattr(b, f) for f in FIGURES} for k, b in o.figures.items()} for o in outcomes)
    return Spread(
        gardens=gardens, way=ready.way.name, tried=ready.tried, order=tuple(_piece(ready, i, trimmed) for i in range(len(ready.way.steps))),
        on_target=on_target(trimmed), trimmable=float(np.mean([not t.short for t in trimmed])),
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
