"""Lumped elements that sit in a wire: their impedance over frequency [ohm].

A coil is (R + j w L) in parallel with its stray capacitance, R = w L / q at every frequency; a trap is
the same with its capacitor in parallel. Without q the element is lossless.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .constants import TWO_PI


def parallel_resonator_ohm(freq_hz, *, inductance_h: float, capacitance_f: float = 0.0, q: float | None = None):
    """(R + j w L) in parallel with C, complex, shape of `freq_hz` [ohm]."""
    w = TWO_PI * np.asarray(freq_hz, float)
    branch = w * inductance_h * (1j + (1.0 / q if q else 0.0))
    return branch / (1.0 + 1j * w * capacitance_f * branch)


@dataclass(frozen=True, kw_only=True)
class Coil:
    """Coil with stray capacitance [F]; q absent means lossless."""

    inductance_h: float
    q: float | None = None
    stray_f: float = 0.0

    def impedance_ohm(self, freq_hz):
        return parallel_resonator_ohm(
            freq_hz, inductance_h=self.inductance_h, capacitance_f=self.stray_f, q=self.q
        )


@dataclass(frozen=True, kw_only=True)
class Trap:
    """Parallel-tuned trap; q is the coil's."""

    inductance_h: float
    capacitance_f: float
    q: float | None = None

    def impedance_ohm(self, freq_hz):
        return parallel_resonator_ohm(
            freq_hz, inductance_h=self.inductance_h, capacitance_f=self.capacitance_f, q=self.q
        )


@dataclass(frozen=True, kw_only=True)
class Capacitor:
    """A lossless capacitor [F] (those sold for this are low in loss: thousandths of an ohm)."""

    capacitance_f: float

    def impedance_ohm(self, freq_hz):
        return 1.0 / (1j * TWO_PI * np.asarray(freq_hz, float) * self.capacitance_f)


@dataclass(frozen=True, kw_only=True)
class FixedImpedance:
    """The same complex ohms at every frequency."""

    ohm: complex

    def impedance_ohm(self, freq_hz):
        return np.full(np.shape(freq_hz), complex(self.ohm))
