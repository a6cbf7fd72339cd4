"""Feed lines: coaxial types and open wire, lossy, exact.

    gamma = alpha + j beta    beta = w / (v c)    matched loss [dB/100 m] = k1 sqrt(f/MHz) + k2 f/MHz
    Zc    = Z0 (1 - j (alpha_c - alpha_d)/beta)   alpha_c the conductor's part (k1), alpha_d the dielectric's (k2)

That Zc is what a line with series resistance and shunt conductance has to first order, and the whole of what
matters at HF; with `real_impedance` it is left at Z0. Laws are fitted to makers' nominal figures, good to 15 to 20 %;
a wet or iced window line loses several times its table value. Data: tables/cables.csv of the parts.
Sources: Pozar, Microwave Engineering, section 2.7 (low-loss line); makers' catalogues for the numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from ..errors import FaultList
from ..parts.stress import Stress
from ..parts.tables import facts
from ..physics.constants import C0_M_PER_S, ETA0_OHM, TWO_PI
from .twoport import uniform_line

NEPER_PER_DB = math.log(10.0) / 20.0
COAX_POWER_REFERENCE_HZ = 10e6
RATED_WARMING_K = 40.0  # inner conductor over ambient at the rated power, from memory


@dataclass(frozen=True, kw_only=True)
class LineType:
    """A kind of line; k1 in dB/100 m per root MHz, k2 in dB/100 m per MHz."""

    key: str
    z0_ohm: float
    velocity_factor: float
    k1: float
    k2: float
    power_at_10mhz_w: float = math.inf
    voltage_v: float = math.inf
    weight_kg_per_m: float = 0.0
    diameter_m: float = 0.0

    def matched_loss_db_per_100m(self, freq_hz):
        mhz = np.asarray(freq_hz, float) / 1e6
        return self.k1 * np.sqrt(mhz) + self.k2 * mhz

    def gamma_per_m(self, freq_hz):
        """Propagation constant, complex (F,) [1/m]."""
        beta = TWO_PI * np.asarray(freq_hz, float) / (self.velocity_factor * C0_M_PER_S)
        return self.matched_loss_db_per_100m(freq_hz) / 100.0 * NEPER_PER_DB + 1j * beta

    def impedance_ohm(self, freq_hz):
        """Characteristic impedance, complex (F,) [ohm]."""
        mhz = np.asarray(freq_hz, float) / 1e6
        beta = TWO_PI * mhz * 1e6 / (self.velocity_factor * C0_M_PER_S)
        tilt = (self.k1 * np.sqrt(mhz) - self.k2 * mhz) / 100.0 * NEPER_PER_DB / beta
        return self.z0_ohm * (1.0 - 1j * tilt)

    def chain(self, freq_hz, length_m: float, *, real_impedance: bool = False):
        """Chain matrix (F, 2, 2) of a length of it."""
        z0 = self.z0_ohm if real_impedance else self.impedance_ohm(freq_hz)
        return uniform_line(self.gamma_per_m(freq_hz) * length_m, z0)

    def power_limit_w(self, freq_hz, swr=1.0):
        """Average power it stands [W]: heating falls with root frequency and SWR, voltage with SWR."""
        heat = self.power_at_10mhz_w * np.sqrt(COAX_POWER_REFERENCE_HZ / np.asarray(freq_hz, float)) / swr
        return np.minimum(heat, self.voltage_v**2 / self.z0_ohm / swr)

    @property
    def capacitance_f_per_m(self) -> float:
        return 1.0 / (self.z0_ohm * self.velocity_factor * C0_M_PER_S)


@dataclass(frozen=True, kw_only=True)
class LineRun:
    """A length of line between two plugs."""

    kind: LineType
    length_m: float

    def impedance_ohm(self, freq_hz):
        return self.kind.impedance_ohm(freq_hz)

    def stress(self, current_a: float, *, freq_hz: float, duty: float = 1.0) -> Stress:
        """At a current into a matched run."""
        power = current_a**2 * self.kind.z0_ohm
        matched = float(self.kind.matched_loss_db_per_100m(freq_hz)) * self.length_m / 100.0
        limit = float(self.kind.power_limit_w(freq_hz))
        volts = current_a * self.kind.z0_ohm
        weakest = "heat" if power * duty > limit else "voltage" if volts > self.kind.voltage_v else ""
        return Stress(
            current_a=current_a, voltage_v=volts, dissipation_w=power * duty * (1.0 - 10.0 ** (-matched / 10.0)),
            warming_k=RATED_WARMING_K * power * duty / limit, stands=not weakest, weakest=weakest,
        )  # fmt: skip

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        plugs = (("plug_pl259", 2.0),) if self.kind.z0_ohm < 100.0 else (("terminal_pair", 2.0),)
        return ((self.kind.key, self.length_m), *plugs)

    def sheet(self) -> tuple[str, ...]:
        name = self.kind.key.removeprefix("cable_").replace("_", " ").upper()
        fit = "plugs at both ends, the outdoor one sealed" if self.kind.z0_ohm < 100.0 else "kept 0.2 m from metal and ground, twisted once a metre"
        return (
            f"Cut {self.length_m + 0.2:.1f} m of {name} (loss as the table ± 20 %): {fit}.",
            "Strain relief at the feed; a drip loop where it enters the house.",
        )


@cache
def line_type(key: str) -> LineType:
    """The line of that part key; InputError if there is none."""
    table = facts("cables")
    if key not in table:
        faults = FaultList("catalogue")
        faults.add("line", key, "one of " + ", ".join(table))
        faults.raise_if_any()
    data = table[key]
    return LineType(
        key=key, z0_ohm=data["impedance"], velocity_factor=data["velocity_factor"], k1=data["k1"], k2=data["k2"],
        power_at_10mhz_w=data["power_at_10mhz"], voltage_v=data["voltage"], weight_kg_per_m=data["mass"],
        diameter_m=data["diameter"],
    )  # fmt: skip


def total_loss_db(matched_loss_db, gamma_load_abs):
    """Loss of a low-loss line with a mismatched load [dB].

    10 log10[(A^2 - g^2) / (A (1 - g^2))], A = 10^(matched/10), g = |Gamma| at the load.
    Source: transmission-line theory with real Z0; the form of the trade's antenna handbooks.
    """
    a, g2 = 10.0 ** (np.asarray(matched_loss_db) / 10.0), np.square(gamma_load_abs)
    return 10.0 * np.log10((a * a - g2) / (a * (1.0 - g2)))


def two_wire_impedance_ohm(spacing_m: float, wire_diameter_m: float) -> float:
    """Impedance of two round wires in air, exact: (eta0/pi) acosh(spacing/diameter) [ohm]."""
    return ETA0_OHM / math.pi * math.acosh(spacing_m / wire_diameter_m)


def conductor_loss_db_per_100m(resistance_ohm_per_m, z0_ohm):
    """Matched loss of a line whose two conductors together have that series resistance [dB/100 m]."""
    return 100.0 / NEPER_PER_DB * np.asarray(resistance_ohm_per_m) / (2.0 * z0_ohm)
