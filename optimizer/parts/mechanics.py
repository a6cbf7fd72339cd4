"""Wires that hang and poles that bend: statics in closed form.

    w  load per metre [N/m]    S  span [m]    H  horizontal tension [N]    c = H/w  catenary parameter [m]

Level supports unless said. A wire keeps its unstressed length: temperature, ice and wind change tension and sag through
it (change of state, solved on the catenary). Wind acts square to the wire and the pole, Cd 1.2 (Hoerner, subcritical
cylinder); wind pressure 0.613 v^2 (ASCE 7). Pole bending is small-deflection beam theory: at tip deflections above a
fifth of the free length it overstates. Guys are straight and taut.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when first used

from .conductors import GRAVITY_M_PER_S2, WireType

AIR_PRESSURE_FACTOR = 0.613  # N/m2 per (m/s)^2
DRAG = 1.2
ICE_KG_PER_M3 = 900.0
COPPER_EXPANSION_PER_K = 17e-6
WORKING_SHARE = 0.2  # of breaking load: common practice, no source


# Wire ---------------------------------------------------------------------------------------------------------------


def wire_mass_kg_per_m(diameter_m: float, density_kg_per_m3: float = 8890.0) -> float:
    return math.pi / 4 * diameter_m**2 * density_kg_per_m3


def wire_breaking_n(diameter_m: float, strength_pa: float, *, strand_share: float = 1.0) -> float:
    """Section times strength; `strand_share` 0.9 for a stranded conductor."""
    return math.pi / 4 * diameter_m**2 * strength_pa * strand_share


def parabola_sag_m(span_m: float, load_n_per_m: float, tension_n: float) -> float:
    """w S^2 / 8 H, good to a per cent while sag is below a tenth of the span."""
    return load_n_per_m * span_m**2 / (8.0 * tension_n)


def catenary_sag_m(span_m: float, load_n_per_m: float, tension_n: float) -> float:
    """Sag at mid-span, exact."""
    c = tension_n / load_n_per_m
    return 2.0 * c * math.sinh(span_m / (4.0 * c)) ** 2


def catenary_length_m(span_m: float, load_n_per_m: float, tension_n: float) -> float:
    """Length of wire between level supports, exact."""
    c = tension_n / load_n_per_m
    return 2.0 * c * math.sinh(span_m / (2.0 * c))


def slack_m(span_m: float, load_n_per_m: float, tension_n: float) -> float:
    """Wire length less span, without the cancellation of the difference."""
    u = span_m * load_n_per_m / (2.0 * tension_n)
    extra = u**3 / 6 * (1 + u**2 / 20 * (1 + u**2 / 42)) if u < 0.1 else math.sinh(u) - u
    return 2.0 * tension_n / load_n_per_m * extra


def end_tension_n(span_m: float, load_n_per_m: float, tension_n: float) -> float:
    """Tension at the supports."""
    return tension_n * math.cosh(span_m * load_n_per_m / (2.0 * tension_n))


def thermal_change_m(length_m: float, warming_k: float, expansion_per_k: float = COPPER_EXPANSION_PER_K) -> float:
    return expansion_per_k * length_m * warming_k


def wind_pressure_pa(wind_m_per_s: float) -> float:
    return AIR_PRESSURE_FACTOR * wind_m_per_s**2


def wind_drag_n(diameter_m: float, length_m: float, wind_m_per_s: float, drag: float = DRAG) -> float:
    """On a cylinder square to the wind."""
    return wind_pressure_pa(wind_m_per_s) * drag * diameter_m * length_m


def ice_load_n_per_m(diameter_m: float, radial_ice_m: float) -> float:
    """Weight of a sleeve of ice."""
    return math.pi * radial_ice_m * (diameter_m + radial_ice_m) * ICE_KG_PER_M3 * GRAVITY_M_PER_S2


def resultant_load_n_per_m(weight_n_per_m: float, diameter_m: float, wind_m_per_s: float, radial_ice_m: float = 0.0) -> float:
    """Weight (with ice) and wind drag (on the iced diameter) as one load per metre."""
    down = weight_n_per_m + ice_load_n_per_m(diameter_m, radial_ice_m)
    return math.hypot(down, wind_drag_n(diameter_m + 2 * radial_ice_m, 1.0, wind_m_per_s))


def tension_after_n(
    span_m: float, wire: WireType, tension_n: float, *, warming_k: float = 0.0, load_n_per_m: float | None = None,
    point_load_n: float = 0.0, give_m_per_n: float = 0.0,
) -> float:  # fmt: skip
    """Horizontal tension after a change of temperature and load, from `tension_n` under the wire's own weight [N].

    `point_load_n`: a weight P at mid-span (a coil), which takes up P (P + w S) S/(8 H^2) of length (parabola).
    `give_m_per_n`: how far the supports come together for each newton more (a bending pole, a rubber tie).
    """
    load = wire.weight_n_per_m if load_n_per_m is None else load_n_per_m
    before = (span_m + slack_m(span_m, wire.weight_n_per_m, tension_n)) / (1 + tension_n / wire.stiffness_n)

    def excess(h):
        natural = before * (1 + wire.expansion_per_k * warming_k)
        point = point_load_n * (point_load_n + load * span_m) / (8 * h * h) * span_m
        span = span_m - give_m_per_n * (h - tension_n)
        return natural * (1 + h / wire.stiffness_n) - span - slack_m(span_m, load, h) - point

    return scipy.optimize.brentq(excess, max(1e-3, load * span_m / 40.0), wire.breaking_load_n * 100.0, xtol=1e-6)


# Poles --------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Tube:
    """A round tube; inner diameter 0 for a rod."""

    outer_m: float
    wall_m: float
    modulus_pa: float = 69e9

    @property
    def second_moment_m4(self) -> float:
        return math.pi / 64 * (self.outer_m**4 - (self.outer_m - 2 * self.wall_m) ** 4)

    @property
    def section_modulus_m3(self) -> float:
        return 2 * self.second_moment_m4 / self.outer_m

    def tip_deflection_m(self, length_m: float, end_load_n: float) -> float:
        return end_load_n * length_m**3 / (3 * self.modulus_pa * self.second_moment_m4)

    def root_stress_pa(self, length_m: float, end_load_n: float = 0.0, load_n_per_m: float = 0.0) -> float:
        return (end_load_n * length_m + load_n_per_m * length_m**2 / 2) / self.section_modulus_m3


@dataclass(frozen=True, kw_only=True)
class Pole:
    """A telescopic pole as one straight taper of thin wall; sizes of base and tip."""

    height_m: float
    base_m: float
    tip_m: float
    wall_m: float
    modulus_pa: float
    strength_pa: float  # what is to be worked with
    mass_kg: float

    def second_moment_m4(self, at_m: float) -> float:
        """Of the section at a height."""
        outer = self.base_m + (self.tip_m - self.base_m) * at_m / self.height_m
        return math.pi / 64 * (outer**4 - max(outer - 2 * self.wall_m, 0.0) ** 4)

    def wind_moment_nm(self, wind_m_per_s: float) -> float:
        """Moment of the wind on the whole pole about its foot."""
        h = self.height_m
        return wind_pressure_pa(wind_m_per_s) * DRAG * h * h * (self.base_m / 6 + self.tip_m / 3)

    def _bending(self, free_m, pull_n, wind_m_per_s):
        """Height grid above the support (N,), moment and section there."""
        foot = self.height_m - free_m
        z = np.linspace(0.0, free_m, 201)
        outer = self.base_m + (self.tip_m - self.base_m) * (foot + z) / self.height_m
        inner = np.maximum(outer - 2 * self.wall_m, 0.0)
        i4 = math.pi / 64 * (outer**4 - inner**4)
        drag = wind_pressure_pa(wind_m_per_s) * DRAG * outer
        tail = np.concatenate([[0.0], np.cumsum((drag[1:] + drag[:-1]) / 2 * np.diff(z))])
        shear = pull_n + tail[-1] - tail
        moment = np.concatenate([[0.0], np.cumsum((shear[1:] + shear[:-1]) / 2 * np.diff(z))])
        return z, moment[-1] - moment, outer, i4

    def tip_deflection_m(self, pull_n: float, *, free_m: float | None = None, wind_m_per_s: float = 0.0) -> float:
        """Of the part above the topmost support (`free_m`, default all of it)."""
        free = free_m or self.height_m
        z, moment, _, i4 = self._bending(free, pull_n, wind_m_per_s)
        return float(np.trapezoid(moment / (self.modulus_pa * i4) * (free - z), z))

    def worst_stress_pa(self, pull_n: float, *, free_m: float | None = None, wind_m_per_s: float = 0.0) -> float:
        _, moment, outer, i4 = self._bending(free_m or self.height_m, pull_n, wind_m_per_s)
        return float(np.max(moment * outer / 2 / i4))

    def pull_limit_n(self, *, free_m: float | None = None, wind_m_per_s: float = 0.0) -> float:
        """Largest pull at the tip that the working strength allows; below zero: the wind alone is too much."""
        at = [self.worst_stress_pa(p, free_m=free_m, wind_m_per_s=wind_m_per_s) for p in (0.0, 1e3)]
        if at[0] >= self.strength_pa:
            return (self.strength_pa - at[0]) / (at[1] - at[0]) * 1e3
        return scipy.optimize.brentq(lambda p: self.worst_stress_pa(p, free_m=free_m, wind_m_per_s=wind_m_per_s) - self.strength_pa, 0.0, 1e6, xtol=1e-3)


# Guys ---------------------------------------------------------------------------------------------------------------


def guy_tension_n(pull_n: float, height_m: float, anchor_radius_m: float) -> float:
    """Of one guy straight against the pull."""
    return pull_n * math.hypot(height_m, anchor_radius_m) / anchor_radius_m


def guy_compression_n(pull_n: float, height_m: float, anchor_radius_m: float) -> float:
    """What that guy presses the mast down with."""
    return pull_n * height_m / anchor_radius_m


def worst_guy_share(guys: int) -> float:
    """Largest guy's horizontal force over the pull, for the worst direction of it; 3 or more equal guys."""
    return 1.0 / math.sin(2 * math.pi / guys) if guys == 3 else 1.0


def buckling_n(modulus_pa: float, second_moment_m4: float, free_m: float) -> float:
    """Euler's load of a mast pinned at both ends of the free piece."""
    return math.pi**2 * modulus_pa * second_moment_m4 / free_m**2
