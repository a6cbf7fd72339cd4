"""Coils, traps, transformers and chokes as they are bought: what differs from the own-wound one of the same kind.

Nothing is known of a maker's winding, so a ready-made part is the own-wound one with typical losses and tolerances instead
(tables/ready_made.csv; common practice and memory, no maker's data). Measure it before it is hung.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from .coil import CoilDesign
from .stress import Stress
from .tables import facts
from .trap import TrapDesign

OWN, BOUGHT, COAXIAL = "own", "bought", "coax"


@dataclass(frozen=True, kw_only=True)
class ReadyMade:
    """A bought coil or trap with the nominal values of `like`; `like.q` is already the ready-made one's."""

    key: str
    like: CoilDesign | TrapDesign

    @property
    def tolerance(self) -> float:
        """Of a coil's inductance or a trap's resonance, as a share."""
        return facts("ready_made")[self.key]["tolerance"]

    @property
    def what(self) -> str:
        """What the tolerance is of."""
        return "resonance" if isinstance(self.like, TrapDesign) else "inductance"

    @property
    def weight_n(self) -> float:
        return self.like.weight_n

    def element(self):
        return self.like.element()

    def impedance_ohm(self, freq_hz):
        return self.like.impedance_ohm(freq_hz)

    def stress(self, current_a: float, *, freq_hz: float | None = None, duty: float = 1.0) -> Stress:
        return self.like.stress(current_a, freq_hz=freq_hz, duty=duty)

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        return ((self.key, 1.0), ("strain_relief", 2.0))

    def sheet(self) -> tuple[str, ...]:
        """Nothing to make: what to measure when it comes."""
        coil = self.like.coil if isinstance(self.like, TrapDesign) else self.like
        percent = f"± {100 * self.tolerance:g} %"
        wanted = (
            f"resonance {self.like.freq_hz / 1e6:.2f} MHz ({percent}), {coil.inductance_h * 1e6:.1f} µH within" if isinstance(self.like, TrapDesign)
            else f"{coil.inductance_h * 1e6:.1f} µH ({percent})"
        )  # fmt: skip
        return (
            f"Ready-made: {wanted}. Measure it before it is hung; the lengths are trimmed to what it is.",
            f"Q near {self.like.q:.0f} (± a third, typical of ready-made ones). Ask for its power and voltage, and for its weight near {self.weight_n / 9.81 * 1e3:.0f} g (± a half).",
        )


def coil_bought(like: CoilDesign) -> ReadyMade:
    return ReadyMade(key="coil_bought", like=replace(like, q=like.q * facts("ready_made")["coil_bought"]["q_share"]))


def trap_bought(like: TrapDesign) -> ReadyMade:
    return ReadyMade(key="trap_bought", like=replace(like, q=like.q * facts("ready_made")["trap_bought"]["q_share"]))


def core_loss_factor(key: str) -> float:
    """Core loss of a transformer over that of the own-wound one of its kind."""
    return facts("ready_made")["transformer_bought"]["core_loss_factor"] if key.endswith("_bought") else 1.0
