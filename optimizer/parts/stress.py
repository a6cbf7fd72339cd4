"""What power does to a part, and the questions that every part answers.

`Answers` is the contract of a part: impedance over frequency, what a current does to it (volts, watts lost, warming),
what has to be bought (so the bill prices it), and how it is made. Coils, traps, transformers, chokes, lines, wires and
tuners all keep it; one conformance test holds for them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

COOLING_W_PER_M2_K = 10.0  # free air with radiation, from memory


@dataclass(frozen=True, kw_only=True)
class Stress:
    """What a current [A rms] does to a part: volts across it, watts in it, warming in kelvin, and whether it stands it.

    `weakest` names what gives way first when it does not stand it.
    """

    current_a: float
    voltage_v: float
    dissipation_w: float
    warming_k: float
    stands: bool
    weakest: str = ""


class Answers(Protocol):
    def impedance_ohm(self, freq_hz):
        """Complex, shape of `freq_hz` [ohm]."""

    def stress(self, current_a: float, *, freq_hz: float, duty: float = 1.0) -> Stress:
        """At a current [A rms]; the loss is averaged by `duty`, the voltage is not."""

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        """Part keys of the catalogue and quantities."""

    def sheet(self) -> tuple[str, ...]:
        """Build sheet, line by line, every value with a tolerance; of a ready-made winding what to check; empty for what is only connected."""
