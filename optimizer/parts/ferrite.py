"""Ferrite and iron-powder rings: complex permeability over frequency, and what one turn on them is worth.

    mu = mu' - j mu''      Z1 = j w (mu0 mu / 2 pi) h ln(OD/ID)  per turn squared [ohm]

Permeability is interpolated in log frequency and log permeability between the rows of tables/permeability.csv and
held beyond their ends (0.1 to 100 MHz); ring sizes stand in tables/rings.csv. The field is taken as uniform over
the section; makers and batches differ by 25 to 40 %, which is the accuracy of all that follows from it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from ..errors import FaultList
from ..physics.constants import MU0_H_PER_M, TWO_PI
from ..physics.tables import number
from .tables import facts, rows

PERMEABILITY_COLUMNS = ("material", "freq_mhz", "mu_real", "mu_imag", "source", "note")


@cache
def _curves() -> dict[str, np.ndarray]:
    """Material → (3, N): log f_hz, log mu', log mu''."""
    points: dict[str, list] = {}
    for row in rows("permeability", PERMEABILITY_COLUMNS, ("material", "freq_mhz")):
        points.setdefault(row["material"], []).append([number(row, c) for c in PERMEABILITY_COLUMNS[1:4]])
    out = {}
    for material, values in points.items():
        table = np.log(np.array(sorted(values)).T)
        table[0] += math.log(1e6)
        out[material] = table
    return out


def permeability(material: str, freq_hz):
    """mu' - j mu'' of a ring material by its type number, complex, shape of `freq_hz`."""
    curves = _curves()
    if material not in curves:
        faults = FaultList("catalogue")
        faults.add("ring material", material, "one of " + ", ".join(curves))
        faults.raise_if_any()
    log_f, real, imag = curves[material]
    at = np.log(freq_hz)
    return np.exp(np.interp(at, log_f, real)) - 1j * np.exp(np.interp(at, log_f, imag))


@dataclass(frozen=True, kw_only=True)
class Ring:
    """A stack of equal rings of one material."""

    outer_m: float
    inner_m: float
    height_m: float  # of the whole stack
    material: str

    @property
    def air_inductance_h(self) -> float:
        """Inductance per turn squared at permeability 1 [H]."""
        return MU0_H_PER_M / TWO_PI * self.height_m * math.log(self.outer_m / self.inner_m)

    @property
    def section_m2(self) -> float:
        return self.height_m * (self.outer_m - self.inner_m) / 2

    @property
    def surface_m2(self) -> float:
        """What gives off heat: both faces, outside and bore."""
        faces = math.pi / 2 * (self.outer_m**2 - self.inner_m**2)
        return faces + math.pi * self.height_m * (self.outer_m + self.inner_m)

    @property
    def volume_m3(self) -> float:
        return math.pi / 4 * (self.outer_m**2 - self.inner_m**2) * self.height_m

    def al_h(self, permeability: float) -> float:
        """Inductance per turn squared at a given permeability [H]."""
        return permeability * self.air_inductance_h

    def impedance_ohm(self, freq_hz, turns: float):
        """Impedance of `turns` on the ring, complex, shape of `freq_hz` [ohm]."""
        freq_hz = np.asarray(freq_hz, float)
        return 1j * TWO_PI * freq_hz * turns**2 * self.air_inductance_h * permeability(self.material, freq_hz)

    def turn_length_m(self, wire_m: float) -> float:
        """Wire for one turn around the section [m]."""
        return (self.outer_m - self.inner_m) + 2 * self.height_m + 4 * wire_m


@cache
def ring(key: str, stack: int = 1) -> Ring:
    """Ring(s) by part key, "ring_ft240_43" → a stack of `stack`."""
    try:
        _, size, material = key.split("_")
        data = facts("rings")[size]
    except (ValueError, KeyError):
        faults = FaultList("catalogue")
        faults.add("ring", key, "a key like ring_ft240_43")
        faults.raise_if_any()
    return Ring(outer_m=data["outer"], inner_m=data["inner"], height_m=stack * data["height"], material=material)


def ring_in(pieces: tuple[tuple[str, float], ...]) -> Ring | None:
    """The ring stack among an assembly's pieces, None without one."""
    return next((ring(key, round(quantity)) for key, quantity in pieces if key.startswith("ring_")), None)


def catalogue_inductance_h(size_material: str, turns: float) -> float:
    """N squared times the maker's inductance per turn squared ("t200_2", "ft240_43") [H]."""
    return turns**2 * facts("rings")[size_material]["al"]
