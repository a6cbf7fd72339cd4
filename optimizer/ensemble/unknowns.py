"""What is not known about a garden: one frozen record a member, drawn from a passed seed.

Ranges and probabilities stand with their sources in `tables/unknowns.csv`. Factors are drawn even in their logarithm, lengths and
shares even in themselves. Soils come in `SOIL_CLASSES` classes around the one given, so that ground tables are shared:
conductivity and permittivity move together, as water moves them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..physics.soil import Soil
from ..physics.tables import number, read_table
from ..site.model import Site
from ..wires.model import Wire

SOIL_CLASSES = 5
LOADS = 8  # tolerances drawn for so many coils and traps; more share them again
COLUMNS = ("name", "low", "high", "unit", "source", "note")


@dataclass(frozen=True)
class Range:
    """What a number is drawn from. `unit` factor: even in the logarithm."""

    low: float
    high: float
    unit: str

    def draw(self, rng) -> float:
        if self.unit == "factor":
            return math.exp(rng.uniform(math.log(self.low), math.log(self.high)))
        if self.unit == "count":
            return float(rng.integers(int(self.low), int(self.high) + 1))
        return rng.uniform(self.low, self.high)

    def happens(self, rng) -> bool:
        """For a probability: did it?"""
        return rng.random() < self.low


@lru_cache(maxsize=1)
def ranges() -> dict[str, Range]:
    rows = read_table("unknowns.csv", columns=COLUMNS, key=("name",), may_be_empty=("note",), package="optimizer.ensemble")
    return {r["name"]: Range(number(r, "low"), number(r, "high"), r["unit"]) for r in rows}


@dataclass(frozen=True, kw_only=True)
class LoadErrors:
    """Factors on one coil or trap."""

    inductance: float
    stray: float
    q: float
    capacitance: float


@dataclass(frozen=True, kw_only=True)
class Member:
    """One possible garden. `waves`: the smooth field that displaces holds, see `Built`; `conductors`: metal and trees about."""

    soil: Soil
    coating_permittivity: float
    coating_thickness: float
    loads: tuple[LoadErrors, ...]
    height: float
    shift_m: float
    waves: tuple[tuple[float, float, float], ...]  # (radians per metre east, north, phase) for x, y and z
    sag: float
    conductors: tuple[Wire, ...]


def soil_classes(soil: Soil) -> tuple[Soil, ...]:
    """Soils around the one given, evenly over the stated ranges, from dry to wet."""
    factors, out = ranges(), []
    for n in range(SOIL_CLASSES):
        share = (n + 0.5) / SOIL_CLASSES
        eps = _between(factors["soil_permittivity"], share) * soil.relative_permittivity
        sigma = _between(factors["soil_conductivity"], share) * soil.conductivity_s_per_m
        out.append(Soil(relative_permittivity=max(1.0, eps), conductivity_s_per_m=sigma))
    return tuple(out)


def _between(span: Range, share: float) -> float:
    return span.low ** (1.0 - share) * span.high**share


def draw(site: Site, count: int, seed: int) -> tuple[Member, ...]:
    """`count` members. Each has its own generator, so that a larger ensemble begins with the smaller one."""
    soils = soil_classes(site.soil)
    return tuple(_member(site, soils[n % SOIL_CLASSES], np.random.default_rng([seed, n])) for n in range(count))


def _member(site: Site, soil: Soil, rng) -> Member:
    from .surroundings import conductors

    drawn = {name: ranges()[name].draw(rng) for name in ("coating_permittivity", "coating_thickness", "height", "sag")}
    waves = tuple((*rng.uniform(-0.4, 0.4, 2).tolist(), rng.uniform(0.0, 2 * math.pi)) for _ in range(3))
    return Member(
        soil=soil, loads=tuple(_load_errors(rng) for _ in range(LOADS)), shift_m=ranges()["shift"].draw(rng), waves=waves,
        conductors=conductors(site, rng), **drawn,
    )  # fmt: skip


def _load_errors(rng) -> LoadErrors:
    r = ranges()
    return LoadErrors(
        inductance=r["coil_inductance"].draw(rng), stray=r["coil_stray"].draw(rng), q=r["coil_q"].draw(rng),
        capacitance=r["capacitance"].draw(rng),
    )  # fmt: skip
