"""Traps: a coil with a capacitor, and a coil wound of coaxial cable that is its own capacitor.

Coil and capacitor: the coil's stray capacitance is part of the tuned circuit; losses of both add in 1/Q.

Coaxial trap (inner conductor's start joined to the shield's end, terminals the other two ends): coaxial turns of
inductance L and cable capacitance C act as 4 L with C/4, resonant where a plain L with C would be. Its current runs
twice over the shield's outside, once along the inside: 1/Q = R_out/(w L) + R_in/(4 w L) + tan d. The uniform-coil
picture is good to about 5 % in frequency: both kinds are set by measurement, with the tolerance on the sheet.
Sources: the solenoid's module for L, R; coupled-circuit theory for the coaxial trap.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import scipy  # its parts load when first used

from ..errors import FaultList
from ..physics.conductors import round_wire_ohm_per_m
from ..physics.constants import C0_M_PER_S, TWO_PI
from ..physics.elements import Trap
from ..physics.solenoid import (
    capacitance_at_resonance_f,
    inductance_at_resonance_h,
    proximity_factor,
    resonance_hz,
    solenoid_h,
)  # fmt: skip
from .coil import CoilDesign, design_coil
from .conductors import GRAVITY_M_PER_S2
from .stress import COOLING_W_PER_M2_K, Stress
from .tables import facts

CAPACITOR_Q = 1500.0  # C0G or mica at HF, common practice, no source
POLYETHYLENE_LOSS_TANGENT = 3e-4  # from memory
SHIELD_SHARE = 0.75  # shield over outer diameter of common cables, from memory
NEPER_PER_DB = math.log(10.0) / 20.0


@dataclass(frozen=True, kw_only=True)
class TrapDesign:
    """A trap resonant at `freq_hz`; `capacitor_f` is what is bought, the coil's stray makes up the rest."""

    freq_hz: float
    coil: CoilDesign
    capacitor_f: float
    q: float

    @property
    def inductance_h(self) -> float:
        return self.coil.inductance_h

    @property
    def capacitance_f(self) -> float:
        return self.capacitor_f + self.coil.stray_f

    @property
    def resonance_hz(self) -> float:
        return resonance_hz(self.inductance_h, self.capacitance_f)

    @property
    def weight_n(self) -> float:
        return self.coil.weight_n + 0.2  # capacitor and sleeve

    def element(self) -> Trap:
        return Trap(inductance_h=self.inductance_h, capacitance_f=self.capacitance_f, q=self.q)

    def impedance_ohm(self, freq_hz):
        return self.element().impedance_ohm(freq_hz)

    def stress(self, current_a: float, *, freq_hz: float | None = None, duty: float = 1.0) -> Stress:
        return _stress(self, self.coil.mean_diameter_m, self.coil.length_m, current_a, freq_hz, duty, rating_v=6000.0 / math.sqrt(2))

    def stress_at_voltage(self, voltage_v: float, *, duty: float = 1.0) -> Stress:
        """With that voltage across it at resonance (the far end of the part it cuts off)."""
        return self.stress(voltage_v / abs(complex(self.impedance_ohm(self.freq_hz))), duty=duty)

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        return (*self.coil.bill, ("capacitor_trap_6kv", 1.0))

    def sheet(self, test_hz: float = 100e3) -> tuple[str, ...]:
        return (
            (f"Trap for {self.freq_hz / 1e6:.3f} MHz: {self.inductance_h * 1e6:.2f} µH with {self.capacitor_f * 1e12:.0f} pF "
            f"(5 %, low loss, 6 kV) and {self.coil.stray_f * 1e12:.1f} pF of its own."),
            *self.coil.sheet(test_hz),
            f"Check with capacitor fitted: resonance {self.freq_hz / 1e6:.2f} MHz ± 1 %; spread turns to raise it, close them to lower it.",
        )


@dataclass(frozen=True, kw_only=True)
class CoaxTrapDesign:
    """A trap of coaxial cable; `turns` of it, one layer, turn on turn."""

    freq_hz: float
    cable: str
    turns: float
    former_diameter_m: float
    cable_diameter_m: float
    inductance_h: float  # as the trap's terminals see it: four times the winding's
    capacitance_f: float
    q: float

    @property
    def mean_diameter_m(self) -> float:
        return self.former_diameter_m + self.cable_diameter_m

    @property
    def length_m(self) -> float:
        return self.turns * self.cable_diameter_m

    @property
    def cable_length_m(self) -> float:
        return self.turns * math.hypot(math.pi * self.mean_diameter_m, self.cable_diameter_m)

    @property
    def resonance_hz(self) -> float:
        return resonance_hz(self.inductance_h, self.capacitance_f)

    @property
    def weight_n(self) -> float:
        return (facts("cables")[self.cable]["mass"] * self.cable_length_m + 0.3 * (self.length_m + 0.06)) * GRAVITY_M_PER_S2

    def element(self) -> Trap:
        return Trap(inductance_h=self.inductance_h, capacitance_f=self.capacitance_f, q=self.q)

    def impedance_ohm(self, freq_hz):
        return self.element().impedance_ohm(freq_hz)

    def stress(self, current_a: float, *, freq_hz: float | None = None, duty: float = 1.0) -> Stress:
        rating = 2.0 * facts("cables")[self.cable]["voltage"]  # half the voltage stands between inner and shield
        return _stress(self, self.mean_diameter_m, self.length_m, current_a, freq_hz, duty, rating_v=rating)

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        pipe = min((32, 40, 50), key=lambda mm: abs(mm / 1000 - self.former_diameter_m))
        return (
            (f"former_pipe_{pipe}mm", round(self.length_m + 0.06, 2)), (self.cable, round(self.cable_length_m + 0.2, 2)),
            ("strain_relief", 2.0), ("shrink_sleeve", 0.2),
        )  # fmt: skip

    def sheet(self, test_hz: float = 100e3) -> tuple[str, ...]:
        return (
            (f"Coaxial trap for {self.freq_hz / 1e6:.3f} MHz: {self.turns:.1f} turns of {self.cable.removeprefix('cable_').upper()} close-wound "
            f"on {self.former_diameter_m * 1e3:.0f} mm pipe; {self.cable_length_m + 0.1:.2f} m of cable, tails of 50 mm included."),
            "Join the inner conductor of the start to the shield of the end; the other shield and the other inner are the terminals.",
            (f"Start with one turn more; expect {coax_resonance_hz(self.cable, self.former_diameter_m, self.turns + 1) / 1e6:.2f} MHz (± 5 %), "
            f"shorten until it resonates at {self.freq_hz / 1e6:.2f} MHz ± 1 %."),
            f"Expect Q near {self.q:.0f} (± a quarter, dry). Seal both ends of the cable.",
        )


def _stress(trap, diameter_m, length_m, current_a, freq_hz, duty, *, rating_v) -> Stress:
    z = complex(trap.impedance_ohm(freq_hz or trap.freq_hz))
    volts, watts = current_a * abs(z), current_a**2 * z.real * duty
    warming = watts / (COOLING_W_PER_M2_K * math.pi * diameter_m * length_m)
    weakest = "warming" if warming > 40.0 else "voltage" if volts > rating_v else ""
    return Stress(current_a=current_a, voltage_v=volts, dissipation_w=watts, warming_k=warming, stands=not weakest, weakest=weakest)


@lru_cache(maxsize=4096)
def design_trap(
    freq_hz: float, *, capacitance_f: float | None = None, inductance_h: float | None = None,
    former_diameter_m: float = 0.040, wire_diameter_m: float = 0.001, pitch_m: float | None = None,
) -> TrapDesign:  # fmt: skip
    """The trap resonant at `freq_hz` from one of total capacitance and inductance.

    `capacitance_f` counts the coil's stray in. Raises InputError unless exactly one is given, or when the
    coil's stray alone is already more.
    """
    faults = FaultList("trap")
    if (capacitance_f is None) == (inductance_h is None):
        faults.add("capacitance_f, inductance_h", (capacitance_f, inductance_h), "exactly one of the two")
        faults.raise_if_any()
    inductance = inductance_h or inductance_at_resonance_h(freq_hz, capacitance_f)
    coil = design_coil(inductance, freq_hz, former_diameter_m=former_diameter_m, wire_diameter_m=wire_diameter_m, pitch_m=pitch_m)
    capacitor = capacitance_at_resonance_f(freq_hz, inductance) - coil.stray_f
    if capacitor <= 0:
        faults.add("capacitance_f", capacitor + coil.stray_f, f"more than the coil's stray {coil.stray_f:.3g} F")
        faults.raise_if_any()
    return TrapDesign(freq_hz=freq_hz, coil=coil, capacitor_f=capacitor, q=1.0 / (1.0 / coil.q + 1.0 / CAPACITOR_Q))


def coax_resonance_hz(cable: str, former_diameter_m: float, turns: float) -> float:
    """Where that many close-wound turns of the cable resonate [Hz]."""
    data = facts("cables")[cable]
    thick = data["diameter"]
    diameter = former_diameter_m + thick
    cable_m = turns * math.hypot(math.pi * diameter, thick)
    cable_f = cable_m / (data["impedance"] * data["velocity_factor"] * C0_M_PER_S)
    return resonance_hz(solenoid_h(turns, diameter, thick, SHIELD_SHARE * thick), cable_f)


@lru_cache(maxsize=1024)
def design_coax_trap(freq_hz: float, *, cable: str = "cable_rg58", former_diameter_m: float = 0.040) -> CoaxTrapDesign:
    """The coaxial trap resonant at `freq_hz`; InputError if no whole winding of 2 to 200 turns does it."""
    data = facts("cables")[cable]
    thick = data["diameter"]
    diameter, shield = former_diameter_m + thick, SHIELD_SHARE * thick

    def off(turns):
        return coax_resonance_hz(cable, former_diameter_m, turns) - freq_hz

    if off(2.0) < 0 or off(200.0) > 0:
        faults = FaultList("trap")
        faults.add("freq_hz", freq_hz, "a frequency that 2 to 200 turns of this cable reach", hint="take another former")
        faults.raise_if_any()
    turns = scipy.optimize.brentq(off, 2.0, 200.0, xtol=1e-6)
    winding = solenoid_h(turns, diameter, thick, shield)
    wl, length = TWO_PI * freq_hz * winding, turns * math.pi * diameter
    outside = proximity_factor(turns * thick / diameter, shield / thick) * length * float(round_wire_ohm_per_m(freq_hz, shield / 2).real)
    mhz = freq_hz / 1e6
    inside = 2.0 * data["impedance"] * data["k1"] * math.sqrt(mhz) / 100.0 * NEPER_PER_DB * length
    return CoaxTrapDesign(
        freq_hz=freq_hz, cable=cable, turns=turns, former_diameter_m=former_diameter_m, cable_diameter_m=thick,
        inductance_h=4.0 * winding, capacitance_f=capacitance_at_resonance_f(freq_hz, 4.0 * winding),
        q=1.0 / (outside / wl + inside / (4.0 * wl) + POLYETHYLENE_LOSS_TANGENT),
    )  # fmt: skip
