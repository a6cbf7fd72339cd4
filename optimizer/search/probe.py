"""Why nothing fits, and the smallest change that would let something in. Computed, not guessed.

A probe asks a family's study for candidates and only places them (money is counted after trimming); the sampler is led to the lot's free room by how
far each candidate misses its limits. A relaxation is searched for by halving between what does not admit anything
and what does.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial

from ..criteria.fit import worst
from ..criteria.power import PowerLimit, is_power_limit
from ..criteria.weather import STIFFER
from ..evaluate import COARSE, Evaluation, evaluate, not_placed, place
from ..families.catalogue import FAMILIES
from ..families.family import Family, NoPlace
from ..physics.wishes import WishList
from ..site.model import Site
from .study import family_study

ASKS = 80
FURTHEST_M = 8.0
STEP_M = 0.1
CHEAP_FAMILIES = 3


@dataclass(frozen=True, kw_only=True)
class Relaxation:
    """One change of the wishes or the site, in words, and the family it lets in."""

    text: str
    family: str
    kind: str  # mast, height, budget, band, power or strength
    amount: float


def nearest(family: Family, site: Site, wishes: WishList, *, asks: int = ASKS, seed: int = 1) -> Evaluation | None:
    """The first candidate that fits, else the least missed one; None where the family serves no wished band."""
    if not family.serves(wishes):
        return None
    try:
        study = family_study(family, site, wishes, seed=seed)
    except NoPlace as missed:
        return not_placed(family, {}, missed)
    for _ in range(asks):
        trial, values = study.ask()
        placed = place(site, wishes, family, values)
        if placed.fits:
            return placed
        study.tell_missed(trial, placed)
    return study.nearest


def admits(family: Family, site: Site, wishes: WishList, *, solved: bool = False) -> bool:
    """Does a probe find a candidate of the family that keeps every hard limit of place, and where `solved` is asked the others too?"""
    found = nearest(family, site, wishes)
    if found is None or not found.fits:
        return False
    return not solved or evaluate(site, wishes, family, found.values, COARSE).fits


def changes_that_let_in(searching, dear: dict[str, Evaluation]) -> list[str]:
    """Relaxations of a search that found nothing, in words. `dear`: of stored work what nothing but money keeps out."""
    studies, dear = searching.studies, list(dear.values())
    cheapest = [s.cheapest for s in studies.values() if s.cheapest is not None]
    if cheapest and not any(s.affordable for s in studies.values()):  # no room gained makes anything affordable
        return [c.text for c in (_budget(searching.site, searching.wishes, cheapest, dear),) if c]
    came_nearest = searching.no_place | {k: s.came_nearest for k, s in studies.items() if s.came_nearest is not None}
    powers = {k: s.power for k, s in studies.items() if s.power is not None}
    return [c.text for c in relaxations(FAMILIES.values(), searching.site, searching.wishes, came_nearest, powers, cheapest, dear)]


def relaxations(
    families: Iterable[Family], site: Site, wishes: WishList, came_nearest: dict[str, Evaluation],
    powers: dict[str, PowerLimit] | None = None, cheapest: list[Evaluation] | None = None, dear: list[Evaluation] | None = None,
) -> tuple[Relaxation, ...]:  # fmt: skip
    """The smallest single changes that let a family in, one of each kind: power, strength, mast, height limit, money, bands.

    `came_nearest`: family key → the least missed candidate of the search; where only money is missing, height is not probed.
    `powers`: family key → the limit of the candidate that may have most power where power is all that is missed. `cheapest`: candidates
    that nothing but money keeps out; `dear`: such as are measured already.
    """
    families = list(families)
    no_room = [f for f in families if f.key in came_nearest and _of_place(_missed(came_nearest[f.key]))]
    lets_in = partial(admits, solved=bool(powers))
    found = (_mast(no_room, site, wishes, lets_in), _height(no_room, site, wishes, lets_in), _budget(site, wishes, cheapest or [], dear or []))
    return (*_power(powers or {}), *_strength(came_nearest), *(r for r in found if r), *_bands(families, site, wishes, lets_in))


def _of_place(missed: set[str]) -> set[str]:
    """Limits that height may mend."""
    return {name for name in missed if name != "budget" and name not in STIFFER and not is_power_limit(name)}


def _power(powers: dict[str, PowerLimit]) -> list[Relaxation]:
    """The most power that any candidate may have; a measurement, not a probe."""
    if not powers:
        return []
    family, limit = max(powers.items(), key=lambda item: item[1].most_w)
    return [Relaxation(text=limit.text, family=family, kind="power", amount=limit.most_w)]


def _strength(came_nearest: dict[str, Evaluation]) -> list[Relaxation]:
    """What to make stronger where nothing but strength is missing."""
    weak = {k: _missed(e) for k, e in came_nearest.items()}
    weak = {k: worst({n: came_nearest[k].margins[n] for n in missed}) for k, missed in weak.items() if missed and missed <= set(STIFFER)}
    if not weak:
        return []
    family, (name, margin) = max(weak.items(), key=lambda item: item[1][1])
    return [Relaxation(text=STIFFER[name], family=family, kind="strength", amount=-margin)]


def _missed(placed: Evaluation) -> set[str]:
    return {name for name, margin in placed.margins.items() if margin < 0}


def _mast(families, site, wishes, lets_in) -> Relaxation | None:
    if wishes.mast_limit_m is None:
        return None

    def raised(more: float):
        return site, replace(wishes, mast_limit_m=wishes.mast_limit_m + more)

    return _least(families, raised, lambda more: f"{more:.1f} m more mast", "mast", lets_in)


def _height(families, site, wishes, lets_in) -> Relaxation | None:
    def raised(more: float):
        return replace(site, height_limit_m=site.height_limit_m + more), wishes

    return _least(families, raised, lambda more: f"a height limit {more:.1f} m higher", "height", lets_in)


def _least(families, relaxed: Callable, words: Callable, kind: str, lets_in: Callable) -> Relaxation | None:
    """Smallest amount that admits a family, by halving, to `STEP_M`."""
    best: Relaxation | None = None
    for family in families:
        most = best.amount - STEP_M if best else FURTHEST_M
        if most <= 0 or not lets_in(family, *relaxed(most)):
            continue
        low, high = 0.0, most
        while high - low > STEP_M:
            middle = 0.5 * (low + high)
            low, high = (low, middle) if lets_in(family, *relaxed(middle)) else (middle, high)
        amount = math.ceil(high * 10 - 1e-9) / 10
        best = Relaxation(text=words(amount), family=family.key, kind=kind, amount=amount)
    return best


def _budget(site, wishes, cheapest: list[Evaluation], measured: list[Evaluation]) -> Relaxation | None:
    """What the cheapest designs that nothing but money kept out cost once trimmed says how much more to spend; and what is `measured` already."""
    open_purse = replace(wishes, budget=None)
    cheap = sorted(cheapest, key=lambda e: e.cost)[:CHEAP_FAMILIES]
    trimmed = [evaluate(site, open_purse, FAMILIES[e.family], e.values, COARSE) for e in cheap]
    dear = [e for e in trimmed if e.fits and e.cost > wishes.budget] + measured
    if not dear:
        return None
    best = min(dear, key=lambda e: e.cost)
    more = best.cost - wishes.budget
    return Relaxation(text=f"{more:.2f} {site.currency} more to spend", family=best.family, kind="budget", amount=more)


def _bands(families, site, wishes, lets_in) -> list[Relaxation]:
    """Bands whose dropping lets a family in; the least weighty one only."""
    names = list(dict.fromkeys(w.band for w in wishes.bands))
    if len(names) < 2:
        return []
    weight = {n: sum(w.weight for w in wishes.bands if w.band == n) for n in names}
    for name in sorted(names, key=lambda n: (weight[n], names.index(n))):
        fewer = replace(wishes, bands=tuple(w for w in wishes.bands if w.band != name))
        for family in families:
            if lets_in(family, site, fewer):
                return [Relaxation(text=f"drop {name}", family=family.key, kind="band", amount=weight[name])]
    return []
