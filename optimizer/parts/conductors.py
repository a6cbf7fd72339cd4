"""Wire of the catalogue: what the field solver, the coil and the mechanics need to know of it.

A stranded bundle counts as a solid wire of the bundle's diameter whose resistance is `strand_factor` times
higher; a clad wire is solved as two layers. Both come out as the conductivity of the solid wire that has the same
resistance at one frequency. Data: tables/wires.csv.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from ..errors import FaultList
from ..physics.conductors import (
    clad_wire_ohm_per_m,
    equivalent_conductivity_s_per_m,
    round_wire_ohm_per_m,
    straight_inductance_h,
)
from ..physics.constants import TWO_PI
from ..wires.model import Coating
from .stress import COOLING_W_PER_M2_K, Stress
from .tables import facts

GRAVITY_M_PER_S2 = 9.80665
REFERENCE_HZ = 7.1e6


@dataclass(frozen=True, kw_only=True)
class WireType:
    """One kind of wire. `outer_m` is the diameter with its coating; `conductivity_s_per_m` the equivalent at 7.1 MHz."""

    key: str
    radius_m: float
    conductivity_s_per_m: float
    coating: Coating | None
    weight_n_per_m: float
    breaking_load_n: float
    outer_m: float
    expansion_per_k: float
    modulus_pa: float

    @property
    def stiffness_n(self) -> float:
        """Modulus times section [N]; for strands the bundle is taken as three quarters full."""
        full = 0.75 if "stranded" in self.key or "ccs_0" in self.key or "counterpoise" in self.key else 1.0
        return self.modulus_pa * full * math.pi * self.radius_m**2


@cache
def resistance_ohm_per_m(key: str, freq_hz: float) -> float:
    """Series resistance of a metre of that wire, in the clear [ohm/m]."""
    data = _data(key)
    a = data["diameter"] / 2
    if "cladding" in data:
        plain = clad_wire_ohm_per_m(freq_hz, a, data["cladding"], outer_s_per_m=data["conductivity"])
    else:
        plain = round_wire_ohm_per_m(freq_hz, a, data["conductivity"])
    return float(plain.real) * data.get("strand_factor", 1.0)


@cache
def conductivity_at(key: str, freq_hz: float) -> float:
    """Conductivity of the solid wire of the same diameter and resistance at `freq_hz` [S/m]."""
    return equivalent_conductivity_s_per_m(resistance_ohm_per_m(key, freq_hz), _data(key)["diameter"] / 2, freq_hz)


@cache
def wire_type(key: str) -> WireType:
    """The wire of that key; InputError if there is none."""
    data = _data(key)
    coating = None
    if "coating" in data:
        coating = Coating(thickness_m=data["coating"], relative_permittivity=data["coating_permittivity"])
    return WireType(
        key=key, radius_m=data["diameter"] / 2, conductivity_s_per_m=conductivity_at(key, REFERENCE_HZ), coating=coating,
        weight_n_per_m=data["mass"] * GRAVITY_M_PER_S2, breaking_load_n=data["breaking_load"],
        outer_m=data["diameter"] + 2 * data.get("coating", 0.0), expansion_per_k=data["expansion"], modulus_pa=data["modulus"],
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class WireRun:
    """A length of wire from stock."""

    key: str
    length_m: float

    def impedance_ohm(self, freq_hz):
        """End to end as a straight wire in the clear, complex, shape of `freq_hz` (orientation only: it radiates)."""
        freq = np.asarray(freq_hz, float)
        ohms = np.array([resistance_ohm_per_m(self.key, f) for f in freq.ravel()]).reshape(freq.shape) * self.length_m
        inductance = straight_inductance_h(self.length_m, wire_type(self.key).radius_m)
        return ohms + 1j * (TWO_PI * freq * inductance + ohms)  # inside a deep skin reactance equals resistance

    def stress(self, current_a: float, *, freq_hz: float, duty: float = 1.0) -> Stress:
        """At a uniform current; the voltage is end to end."""
        z = complex(self.impedance_ohm(freq_hz))
        lost = current_a**2 * z.real * duty
        warming = lost / (COOLING_W_PER_M2_K * math.pi * wire_type(self.key).outer_m * self.length_m)
        weakest = "warming" if warming > 40.0 else ""
        return Stress(current_a=current_a, voltage_v=current_a * abs(z), dissipation_w=lost, warming_k=warming, stands=not weakest, weakest=weakest)

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        return ((self.key, self.length_m),)

    def sheet(self, allowance: float = 0.03) -> tuple[str, ...]:
        """Cut list line: the length with its trim allowance, to be cut back by measurement."""
        wire = wire_type(self.key)
        return (
            (f"Cut {self.length_m * (1 + allowance):.2f} m (± 10 mm) of {self.key.removeprefix('wire_').replace('_', ' ')}: {self.length_m:.2f} m "
            f"and {allowance * 100:.0f} % to trim; pull it no harder than {wire.breaking_load_n / 5:.0f} N."),
        )


def _data(key: str) -> dict[str, float]:
    table = facts("wires")
    if key not in table:
        faults = FaultList("catalogue")
        faults.add("wire", key, "one of " + ", ".join(table))
        faults.raise_if_any()
    return table[key]
