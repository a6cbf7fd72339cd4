"""Choke on the line: what it puts in the way of current on the outside of the shield.

n turns on a ring stack, (n^2 Z1) in parallel with the stray capacitance between the ends. Z1 per turn squared comes
from the complex permeability; 30 % by batch, the stray by how the turns lie. The signal inside the line does not
see it. A choke is inserted in a `line` wire as a load like any other element (`impedance_ohm`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from ..errors import FaultList
from ..physics.constants import TWO_PI
from ..physics.elements import Coil
from .catalogue import pieces_of
from .ferrite import Ring, ring_in
from .ring_transformer import WARMING_LIMIT_K, warming_k
from .stress import Stress
from .tables import facts


@dataclass(frozen=True, kw_only=True)
class Choke:
    key: str
    ring: Ring
    turns: float
    stray_f: float
    held_hz: float | None = None  # permeability taken there at every frequency

    def impedance_ohm(self, freq_hz):
        """Common-mode impedance, complex, shape of `freq_hz` [ohm]."""
        if self.held_hz:
            return self.coil_at(self.held_hz).impedance_ohm(freq_hz)
        w = TWO_PI * np.asarray(freq_hz, float)
        return 1.0 / (1.0 / self.ring.impedance_ohm(freq_hz, self.turns) + 1j * w * self.stray_f)

    def coil_at(self, freq_hz: float) -> Coil:
        """The lossy coil that has the choke's impedance at one frequency: the stray as it is, permeability held; what a wire case can hold."""
        z = complex(self.ring.impedance_ohm(freq_hz, self.turns))
        return Coil(inductance_h=z.imag / (TWO_PI * freq_hz), q=z.imag / z.real, stray_f=self.stray_f)

    def stress(self, current_a: float, *, freq_hz: float, duty: float = 1.0) -> Stress:
        """At a current on the outside of the line."""
        z = complex(self.impedance_ohm(freq_hz))
        lost = current_a**2 * z.real * duty
        warm = warming_k(self.ring, lost)
        weakest = "heat" if warm > WARMING_LIMIT_K else ""
        return Stress(
            current_a=current_a, voltage_v=current_a * abs(z), dissipation_w=lost, warming_k=warm, stands=not weakest, weakest=weakest,
        )  # fmt: skip

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        return ((self.key, 1.0),)

    def sheet(self) -> tuple[str, ...]:
        """How to wind it, with what a meter shows in the middle of the HF range; for a ready-made one what to check."""
        z = complex(self.impedance_ohm(7.1e6))
        if self.key.endswith("_bought"):
            return (f"Ready-made: check end to end on the shield at 7.1 MHz, {abs(z):.0f} ohm (± a half) or more; ask for its power.",)
        cable = next(part for part, _ in pieces_of(self.key) if part.startswith("cable_"))
        thick = facts("cables")[cable]["diameter"]
        return (
            (f"Wind {self.turns:g} turns of {cable.removeprefix('cable_').upper()} through the ring ({self.ring.outer_m * 1e3:.0f} mm, type "
            f"{self.ring.material}, {self.ring.height_m * 1e3:.0f} mm high in all), {self.turns * self.ring.turn_length_m(thick) + 0.2:.2f} m with tails (± 5 %)."),
            "Half the turns on one side, cross over, half on the other; ends on opposite sides, no bend tighter than the cable allows.",
            f"Check end to end on the shield at 7.1 MHz: about {abs(z):.0f} ohm (± 35 %), more of it resistance ({z.real:.0f} ohm) than reactance on most bands.",
        )  # fmt: skip


def held(loads, freq_hz) -> tuple:
    """The loads with every choke's permeability held at the middle of the frequencies: over a band it moves by 4 % at most, batches by 30 %."""
    middle = 0.5 * float(np.min(freq_hz) + np.max(freq_hz))
    return tuple(replace(v, element=replace(v.element, held_hz=middle)) if isinstance(v.element, Choke) else v for v in loads)


@cache
def choke(key: str) -> Choke:
    """The choke of that part key (a 1:1 balun is one too); InputError if there is none."""
    own = key.removesuffix("_bought")
    data = facts("transformers").get(own, {})
    if "choke_turns" not in data:
        faults = FaultList("catalogue")
        faults.add("choke", key, "one of " + ", ".join(k for k, v in facts("transformers").items() if "choke_turns" in v))
        faults.raise_if_any()
    return Choke(key=key, ring=ring_in(pieces_of(own)), turns=data["choke_turns"], stray_f=data["choke_stray"])
