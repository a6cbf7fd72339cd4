"""A family's parameters as distributions of the sampler, and as points of the unit cube."""

from __future__ import annotations

import math

from optuna.distributions import BaseDistribution, CategoricalDistribution, FloatDistribution

from ..families.family import Parameter


def distribution(parameter: Parameter) -> BaseDistribution:
    if parameter.choices:
        return CategoricalDistribution(parameter.choices)
    return FloatDistribution(parameter.low, parameter.high, log=parameter.log)


def space_of(parameters: tuple[Parameter, ...]) -> dict[str, BaseDistribution]:
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
