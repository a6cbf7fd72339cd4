"""Coils wound at home: from the inductance wanted to turns, and from the turns to what they will do.

A former need not be round: area and perimeter give the round coil that stands for it (mean of the circles of equal
area and of equal perimeter; Grover's polygons lie between the two). Inductance is the external part with round-wire
correction plus the wire's internal part at the band. Q takes the wire's skin effect, Medhurst's proximity and the
former's dielectric loss on the stray field; it is good to a quarter, and moisture can halve it. The element's Q is that
at `freq_hz`. A measured inductance, given with the meter's test frequency, replaces the computed one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import scipy  # its parts load when first used

from ..errors import FaultList
from ..physics.conductors import round_wire_ohm_per_m
from ..physics.constants import COPPER_S_PER_M, TWO_PI
from ..physics.elements import Coil
from ..physics.solenoid import (
    internal_inductance_h_per_m,
    proximity_factor,
    resonance_hz,
    self_capacitance_f,
    solenoid_h,
)  # fmt: skip
from .conductors import GRAVITY_M_PER_S2
from .stress import COOLING_W_PER_M2_K, Stress

FORMER_SHARE = 0.5  # part of the stray field that runs in the former: common practice, no source
FORMER_LOSS_TANGENT = 0.012  # hard PVC at HF, from memory
COPPER_KG_PER_M3 = 8890.0
PIPE_KG_PER_M = 0.3  # plastic pipe of 32 to 50 mm, from memory
METER_TOLERANCE = 0.03  # of a hand-held inductance meter, common practice, no source
PEAK_BREAKDOWN_V_PER_M = 1e6  # a third of dry air's, for edges and rain: common practice, no source


@dataclass(frozen=True, kw_only=True)
class Former:
    """Anything to wind on; `of_diameter` for a pipe. Sizes are of the outside, without the wire."""

    area_m2: float
    perimeter_m: float
    sides_m: tuple[float, float] | None = None  # where it is not round

    @classmethod
    def of_diameter(cls, diameter_m: float) -> Former:
        return cls(area_m2=math.pi / 4 * diameter_m**2, perimeter_m=math.pi * diameter_m)

    @classmethod
    def of_rectangle(cls, width_m: float, depth_m: float) -> Former:
        return cls(area_m2=width_m * depth_m, perimeter_m=2 * (width_m + depth_m), sides_m=(width_m, depth_m))

    @property
    def diameter_m(self) -> float:
        """Of the round former that stands for it."""
        return (2 * math.sqrt(self.area_m2 / math.pi) + self.perimeter_m / math.pi) / 2

    @property
    def words(self) -> str:
        if self.sides_m is None:
            return f"{self.diameter_m * 1e3:.0f} mm across"
        return f"{self.sides_m[0] * 1e3:.0f} × {self.sides_m[1] * 1e3:.0f} mm (as a round one of {self.diameter_m * 1e3:.0f} mm)"


@dataclass(frozen=True, kw_only=True)
class CoilDesign:
    """A coil as it is to be wound. `inductance_h` is the series inductance at `freq_hz`, stray left out."""

    inductance_h: float
    freq_hz: float
    turns: float
    pitch_m: float
    wire_diameter_m: float
    former: Former
    q: float
    stray_f: float
    measured: bool = False

    @property
    def mean_diameter_m(self) -> float:
        return self.former.diameter_m + self.wire_diameter_m

    @property
    def length_m(self) -> float:
        """Of the winding."""
        return (self.turns - 1) * self.pitch_m + self.wire_diameter_m

    @property
    def wire_length_m(self) -> float:
        """In the turns, without the tails."""
        return self.turns * math.hypot(self.former.perimeter_m + math.pi * self.wire_diameter_m, self.pitch_m)

    @property
    def turns_to_start(self) -> int:
        """A few over, to be taken off with the meter in hand."""
        return math.ceil(self.turns) + 2

    @property
    def cut_m(self) -> float:
        """Wire to cut for them, tails included."""
        return self.wire_length_m * self.turns_to_start / self.turns + 0.3

    @property
    def self_resonance_hz(self) -> float:
        return resonance_hz(self.inductance_h, self.stray_f)

    @property
    def weight_n(self) -> float:
        copper = math.pi / 4 * self.wire_diameter_m**2 * self.wire_length_m * COPPER_KG_PER_M3
        return (copper + PIPE_KG_PER_M * (self.length_m + 0.06)) * GRAVITY_M_PER_S2

    def element(self) -> Coil:
        return Coil(inductance_h=self.inductance_h, q=self.q, stray_f=self.stray_f)

    def impedance_ohm(self, freq_hz):
        """At its ends, stray included, complex [ohm]."""
        return self.element().impedance_ohm(freq_hz)

    @property
    def resistance_ohm(self) -> float:
        """Series loss resistance at `freq_hz`."""
        return TWO_PI * self.freq_hz * self.inductance_h / self.q

    def stress(self, current_a: float, *, freq_hz: float | None = None, duty: float = 1.0) -> Stress:
        """At `current_a` rms through its ends; `duty`: average over peak power, for the warming."""
        z = complex(self.impedance_ohm(freq_hz or self.freq_hz))
        volts, watts = current_a * abs(z), current_a**2 * z.real * duty
        warming = watts / (COOLING_W_PER_M2_K * math.pi * (self.mean_diameter_m + self.wire_diameter_m) * self.length_m)
        gap = max(self.pitch_m - self.wire_diameter_m, 0.05e-3)
        per_turn = volts * math.sqrt(2) / self.turns
        weakest = "warming" if warming > 40.0 else "voltage between turns" if per_turn > PEAK_BREAKDOWN_V_PER_M * gap else ""
        return Stress(current_a=current_a, voltage_v=volts, dissipation_w=watts, warming_k=warming, stands=not weakest, weakest=weakest)

    def reading_h(self, turns: float | None = None, test_hz: float = 100e3) -> float:
        """What a meter shows with that many turns on, at its test frequency [H]."""
        design = self if turns is None else replace(self, turns=turns)
        computed = _inductance_h(design.turns, design.mean_diameter_m, design.pitch_m, design.wire_diameter_m, design.wire_length_m, test_hz)
        here = _inductance_h(self.turns, self.mean_diameter_m, self.pitch_m, self.wire_diameter_m, self.wire_length_m, self.freq_hz)
        true = computed * self.inductance_h / here
        return true / (1.0 - (TWO_PI * test_hz) ** 2 * true * self.stray_f)

    def measured_as(self, reading_h: float, test_hz: float = 100e3) -> CoilDesign:
        """The same coil with the inductance that a meter showed, carried to the band."""
        return replace(self, inductance_h=self.inductance_h * reading_h / self.reading_h(test_hz=test_hz), measured=True)

    def worth(self) -> tuple[str, ...]:
        """What a measured coil is on its band."""
        return (
            (f"As measured: {self.inductance_h * 1e6:.2f} µH on {self.freq_hz / 1e6:.2f} MHz (± {100 * METER_TOLERANCE:.0f} %, the meter's), "
            f"{TWO_PI * self.freq_hz * self.inductance_h:.0f} ohm; Q near {self.q:.0f} (± a quarter, dry), self-resonance near {self.self_resonance_hz / 1e6:.1f} MHz (± 10 %)."),
        )

    def under(self, current_a: float) -> tuple[str, ...]:
        """What a current does to it, and what it weighs."""
        found = self.stress(current_a)
        stood = "It stands that." if found.stands else f"It does not stand that: {found.weakest}."
        return (
            f"At {current_a:.2f} A without pause: {found.voltage_v:.0f} V across it, {found.dissipation_w:.1f} W in it (± a quarter), {found.warming_k:.0f} K warmer (± a third). {stood}",
            f"It weighs about {self.weight_n / GRAVITY_M_PER_S2 * 1e3:.0f} g (± a fifth).",
        )

    @property
    def bill(self) -> tuple[tuple[str, float], ...]:
        """Part keys and quantities to wind it, tails and trimming turns included."""
        pipe = min((32, 40, 50), key=lambda mm: abs(mm / 1000 - self.former.diameter_m))
        wire = min((0.8, 1.0, 1.5), key=lambda mm: abs(mm / 1000 - self.wire_diameter_m))
        wire_key = f"wire_enamel_{wire:g}mm".replace(".", "_")
        return (
            (f"former_pipe_{pipe}mm", round(self.turns_to_start * self.pitch_m + 0.06, 2)), (wire_key, math.ceil(10.0 * self.cut_m) / 10.0),
            ("strain_relief", 2.0), ("shrink_sleeve", 0.3),
        )  # fmt: skip

    def sheet(self, test_hz: float = 100e3) -> tuple[str, ...]:
        """The winding sheet, line by line."""
        start = self.turns_to_start
        target, before = self.reading_h(test_hz=test_hz), self.reading_h(start, test_hz)
        per_turn = self.reading_h(self.turns + 0.5, test_hz) - self.reading_h(self.turns - 0.5, test_hz)
        return (
            f"Coil of {self.inductance_h * 1e6:.1f} µH on a former {self.former.words}, wire {self.wire_diameter_m * 1e3:.1f} mm.",
            (f"Wind {start} turns at {self.pitch_m * 1e3:.2f} mm from turn to turn ({start * self.pitch_m * 1e3:.0f} mm long); "
            f"cut {self.cut_m:.2f} m of wire, tails included."),
            f"Meter at {test_hz / 1e3:.0f} kHz: about {before * 1e6:.2f} µH to begin with (± {before * 5e4:.1f} µH).",
            (f"Take off turns until it shows {target * 1e6:.2f} µH ± {target * 2e4:.2f} µH: about {self.turns:.1f} turns, "
            f"{per_turn * 1e6:.2f} µH for each turn removed."),
            f"Expect Q near {self.q:.0f} (± a quarter, dry) and self-resonance near {self.self_resonance_hz / 1e6:.1f} MHz (± 10 %).",
            "Fix the turns with sleeve or varnish and keep water out; measure once more when done.",
        )


def wound_on(inductance_h: float, freq_hz: float, former_m: float, by_m: float | None, wire_m: float, pitch_m: float | None) -> CoilDesign:
    """The coil on a former of that diameter, or of those two sides."""
    _check(inductance_h, freq_hz, former_m, wire_m, pitch_m or wire_m)
    former = Former.of_rectangle(former_m, by_m) if by_m else Former.of_diameter(former_m)
    return design_coil(inductance_h, freq_hz, wire_diameter_m=wire_m, pitch_m=pitch_m, former=former)


def _inductance_h(turns, diameter_m, pitch_m, wire_m, wire_length_m, freq_hz):
    return solenoid_h(turns, diameter_m, pitch_m, wire_m) + wire_length_m * internal_inductance_h_per_m(freq_hz, wire_m)


def coil_q(design: CoilDesign, conductivity_s_per_m: float = COPPER_S_PER_M, *, former_loss: bool = True) -> float:
    """Q at the design's frequency: wire with proximity, and the former's loss on the stray field."""
    ratio = design.turns * design.pitch_m / design.mean_diameter_m
    phi = proximity_factor(ratio, design.wire_diameter_m / design.pitch_m)
    per_m = float(round_wire_ohm_per_m(design.freq_hz, design.wire_diameter_m / 2, conductivity_s_per_m).real)
    loss = phi * per_m * design.wire_length_m / (TWO_PI * design.freq_hz * design.inductance_h)
    if former_loss:
        loss += FORMER_SHARE * FORMER_LOSS_TANGENT * (design.freq_hz / design.self_resonance_hz) ** 2
    return 1.0 / loss


@lru_cache(maxsize=4096)
def design_coil(
    inductance_h: float, freq_hz: float, *, former_diameter_m: float = 0.040, wire_diameter_m: float = 0.001,
    pitch_m: float | None = None, former: Former | None = None, conductivity_s_per_m: float = COPPER_S_PER_M,
) -> CoilDesign:  # fmt: skip
    """The coil of that inductance at `freq_hz`; pitch 1.5 wire diameters unless given.

    Raises InputError if the inductance is below one turn's or above 1000 turns', or a size is no positive number.
    """
    pitch = pitch_m or 1.5 * wire_diameter_m
    former = former or Former.of_diameter(former_diameter_m)
    _check(inductance_h, freq_hz, former.diameter_m, wire_diameter_m, pitch)
    diameter = former.diameter_m + wire_diameter_m
    turn = former.perimeter_m + math.pi * wire_diameter_m

    def short_by(turns):
        return _inductance_h(turns, diameter, pitch, wire_diameter_m, turns * math.hypot(turn, pitch), freq_hz) - inductance_h

    if short_by(1.0) > 0 or short_by(1000.0) < 0:
        faults = FaultList("coil")
        faults.add("inductance_h", inductance_h, "between what 1 and 1000 turns give", hint="take another former or pitch")
        faults.raise_if_any()
    turns = scipy.optimize.brentq(short_by, 1.0, 1000.0, xtol=1e-6)
    rough = CoilDesign(
        inductance_h=inductance_h, freq_hz=freq_hz, turns=turns, pitch_m=pitch, wire_diameter_m=wire_diameter_m,
        former=former, q=1.0, stray_f=self_capacitance_f(diameter, turns * pitch),
    )  # fmt: skip
    return replace(rough, q=coil_q(rough, conductivity_s_per_m))


def _check(inductance_h, freq_hz, former_m, wire_m, pitch_m):
    faults = FaultList("coil")
    sizes = (("inductance_h", inductance_h), ("freq_hz", freq_hz), ("former diameter_m", former_m), ("wire_diameter_m", wire_m))
    for name, value in sizes:
        if not (value > 0 and math.isfinite(value)):
            faults.add(name, value, "a positive number")
    if not pitch_m >= wire_m:
        faults.add("pitch_m", pitch_m, f"at least the wire's diameter, {wire_m}")
    faults.raise_if_any()
