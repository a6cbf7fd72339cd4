"""A family's parameters as distributions of the sampler, and as points of the unit cube.

Lengths that trimming sets are not searched: they start in the middle of their range. Where trimming moves several
bands at once, the frequency it aims at is searched instead (`trim.AIM`).
"""

from __future__ import annotations

import math

import numpy as np
from optuna.distributions import BaseDistribution, CategoricalDistribution, FloatDistribution

from ..families.design import TrimStep
from ..families.family import Family, NoPlace, Parameter
from ..physics.wishes import WishList
from ..site.model import Site
from ..trim import AIM, compromises

AIM_PARAMETER = Parameter(name=AIM, low=-0.012, high=0.012)
TRIES = 200


def searched(family: Family, site: Site, wishes: WishList, starts: list[dict]) -> tuple[dict[str, BaseDistribution], dict]:
    """(what the sampler chooses, values that are given). `starts`: the family's own. Raises NoPlace where it cannot stand at all."""
    parameters = family.parameters(site, wishes)
    steps = _trims(family, site, wishes, parameters, starts)
    by_name = {p.name for p in parameters}
    by_trimming = {s.parameter for s in steps}
    given = {p.name: _middle(p) for p in parameters if p.name in by_trimming and not p.choices}
    given |= {p.name: p.choices[0] for p in parameters if len(p.choices) == 1}
    chosen = [p for p in parameters if p.name not in given]
    chosen += [AIM_PARAMETER] if any(compromises(s, steps) for s in steps) and AIM not in by_name else []
    return space_of(chosen), given


def _trims(family, site, wishes, parameters, starts) -> tuple[TrimStep, ...]:
    """Trim steps of the first candidate that can be built: starts, then random ones; none if none can."""
    rng = np.random.default_rng(0)
    middle = {p.name: p.choices[0] if p.choices else _middle(p) for p in parameters}
    for i in range(len(starts) + TRIES):
        values = {**middle, **starts[i]} if i < len(starts) else {p.name: _drawn(p, rng) for p in parameters}
        try:
            return family.build(values, site, wishes).trims
        except NoPlace:
            continue
    return ()


def _middle(p: Parameter) -> float:
    return from_unit(0.5, distribution(p))


def _drawn(p: Parameter, rng):
    return p.choices[int(rng.integers(len(p.choices)))] if p.choices else from_unit(rng.random(), distribution(p))


def distribution(parameter: Parameter) -> BaseDistribution:
    if parameter.choices:
        return CategoricalDistribution(parameter.choices)
    return FloatDistribution(parameter.low, parameter.high, log=parameter.log)


def space_of(parameters) -> dict[str, BaseDistribution]:
    """Name → distribution, in the family's order."""
    return {p.name: distribution(p) for p in parameters}


def inside(values: dict, space: dict[str, BaseDistribution]) -> dict:
    """Those of `values` that the space knows, clamped into it; unknown choices are left out."""
    found = {}
    for name, dist in space.items():
        if name not in values:
            continue
        if isinstance(dist, CategoricalDistribution):
            if values[name] in dist.choices:
                found[name] = values[name]
        else:
            found[name] = min(dist.high, max(dist.low, float(values[name])))
    return found


def stretched(values: dict, before: tuple[Parameter, ...], now: tuple[Parameter, ...]) -> dict:
    """The values at the same share of their ranges as before: where a mast may be taller, it is. Choices, and what has kept its range, stay as they are."""
    old, new = space_of(before), space_of(now)
    moved = {n for n in values if isinstance(old.get(n), FloatDistribution) and isinstance(new.get(n), FloatDistribution) and old[n] != new[n]}
    return {n: from_unit(to_unit(float(v), old[n]), new[n]) if n in moved else v for n, v in values.items()}


def to_unit(value: float, dist: FloatDistribution) -> float:
    """Where the value lies between the bounds, 0..1 (on the logarithm where the parameter says so)."""
    low, high, v = dist.low, dist.high, value
    if dist.log:
        low, high, v = math.log(low), math.log(high), math.log(value)
    return (v - low) / (high - low) if high > low else 0.5


def from_unit(unit: float, dist: FloatDistribution) -> float:
    """The inverse of `to_unit`, clamped to the bounds."""
    low, high = (math.log(dist.low), math.log(dist.high)) if dist.log else (dist.low, dist.high)
    v = low + min(1.0, max(0.0, unit)) * (high - low)
    return min(dist.high, max(dist.low, math.exp(v) if dist.log else v))
