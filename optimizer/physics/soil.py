"""Homogeneous soil below flat ground: two numbers, and the words people use for them.

Time factor exp(+j w t): the complex relative permittivity has a negative imaginary part.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .constants import EPS0_F_PER_M, TWO_PI
from .tables import number, read_table


@dataclass(frozen=True, kw_only=True)
class Soil:
    """Homogeneous ground filling z < 0."""

    relative_permittivity: float
    conductivity_s_per_m: float

    def complex_permittivity(self, freq_hz: float) -> complex:
        """Relative permittivity less j·sigma/(w·eps0), dimensionless."""
        return self.relative_permittivity - 1j * self.conductivity_s_per_m / (TWO_PI * freq_hz * EPS0_F_PER_M)


@lru_cache(maxsize=1)
def soil_words() -> dict[str, Soil]:
    """Soil word → constants, from the sourced table `tables/soils.csv`."""
    columns = ("word", "relative_permittivity", "conductivity_s_per_m", "source", "note")
    rows = read_table("soils.csv", columns=columns, key=("word",), may_be_empty=("note",))
    return {r["word"]: Soil(**{c: number(r, c) for c in columns[1:3]}) for r in rows}
