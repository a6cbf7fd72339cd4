"""What is not known about a garden: one frozen record a member, drawn from a passed seed.

Ranges and probabilities stand with their sources in `tables/unknowns.csv`; `draws` spreads every one of them evenly over the members. Factors are
drawn even in their logarithm, lengths and shares even in themselves. Soils come in `SOIL_CLASSES` classes around the one given, so that ground tables are shared: conductivity and
permittivity move together, as water moves them (G. C. Topp, J. L. Davis, A. P. Annan, Water Resources Research 16, 1980, p. 574, equation 7;
G. E. Archie, Trans. AIME 146, 1942, p. 54: conductivity as the square of the water held; both from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..physics.soil import Soil
from ..site.model import Site
from ..wires.model import Wire
from .draws import Draws, ranges
from .surroundings import conductors

GARDENS_VERSION = "6"  # a change of what is drawn takes the next number
SOIL_CLASSES = 5
HELD = np.linspace(0.0, 1.0, 1001)  # water by volume
LOADS = 8  # tolerances drawn for so many coils and traps; more share them again


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
    fall: tuple[float, float]  # rise of the soil a metre east and north, away from `middle_m`
    middle_m: tuple[float, float]
    conductors: tuple[Wire, ...]


def soil_classes(soil: Soil) -> tuple[Soil, ...]:
    """Soils around the one given, evenly over the stated range of water, from dry to wet."""
    span, held = ranges()["soil_water"], water(soil.relative_permittivity)
    return tuple(_wetter(soil, held, span.low + (span.high - span.low) * (n + 0.5) / SOIL_CLASSES) for n in range(SOIL_CLASSES))


def _wetter(soil: Soil, held: float, factor: float) -> Soil:
    eps = soil.relative_permittivity * permittivity(min(1.0, factor * held)) / permittivity(held)
    return Soil(relative_permittivity=max(1.0, eps), conductivity_s_per_m=soil.conductivity_s_per_m * factor**2)


def permittivity(held):
    """Relative permittivity of mineral soil that holds this share of water by volume."""
    return 3.03 + held * (9.3 + held * (146.0 - 76.7 * held))


def water(relative_permittivity: float) -> float:
    """The other way round; 0 below the dry soil's."""
    return float(np.interp(relative_permittivity, permittivity(HELD), HELD))


def draw(site: Site, count: int, seed: int) -> tuple[Member, ...]:
    """`count` members. What a member is hangs on its number alone, so that a larger ensemble begins with the smaller one."""
    soils = soil_classes(site.soil)
    return tuple(_member(site, soils, Draws(seed, n)) for n in range(count))


def _member(site: Site, soils: tuple[Soil, ...], drawn: Draws) -> Member:
    return Member(
        soil=soils[int(drawn.even("soil", 0.0, SOIL_CLASSES))], loads=tuple(_load_errors(drawn.about(f"load {n}")) for n in range(LOADS)),
        shift_m=drawn.value("shift"), fall=_fall(drawn), middle_m=site.lot.centroid.coords[0][:2], waves=tuple(_wave(drawn.about(f"wave {axis}")) for axis in "xyz"), conductors=conductors(site, drawn),
        **{name: drawn.value(name) for name in ("coating_permittivity", "coating_thickness", "height", "sag")},
    )  # fmt: skip


def _load_errors(drawn: Draws) -> LoadErrors:
    return LoadErrors(
        inductance=drawn.value("coil_inductance"), stray=drawn.value("coil_stray"), q=drawn.value("coil_q"), capacitance=drawn.value("capacitance"),
    )  # fmt: skip


def _fall(drawn: Draws) -> tuple[float, float]:
    steep, way = drawn.value("fall"), drawn.even("way of the fall", 0.0, 2 * math.pi)
    return steep * math.cos(way), steep * math.sin(way)


def _wave(drawn: Draws) -> tuple[float, float, float]:
    return drawn.even("east", -0.4, 0.4), drawn.even("north", -0.4, 0.4), drawn.even("phase", 0.0, 2 * math.pi)
