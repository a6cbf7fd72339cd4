"""Homogeneous soil below flat ground: two numbers, and the words people use for them.

Time factor exp(+j w t): the complex relative permittivity has a negative imaginary part.
"""

from __future__ import annotations

from dataclasses import dataclass

from .constants import EPS0_F_PER_M, TWO_PI


@dataclass(frozen=True, kw_only=True)
class Soil:
    """Homogeneous ground filling z < 0."""

    relative_permittivity: float
    conductivity_s_per_m: float

    def complex_permittivity(self, freq_hz: float) -> complex:
        """Relative permittivity less j·sigma/(w·eps0), dimensionless."""
        return self.relative_permittivity - 1j * self.conductivity_s_per_m / (TWO_PI * freq_hz * EPS0_F_PER_M)
