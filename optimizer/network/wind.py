"""Winding sheets for the bench, from what is at hand: a coil, a trap with capacitor or of coaxial cable, a ring transformer. Faults are named as the options are."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..errors import FaultList, InputError
from ..parts.catalogue import keys, transformer_for
from ..parts.coil import wound_on
from ..parts.tables import facts
from ..parts.trap import design_coax_trap, design_trap
from .endure import currents_stood_a
from .transformer import LineBalun, transformer

WANTED = ("--microhenry", "--pf", "--coax", "--transformer")
COAXIAL_OHM = 100.0  # lines of more are open ones
MODES = {"voice or Morse, half of the time sent": 0.2, "a carrier without pause": 1.0}  # average over peak power
LEAST_ABOVE = 1.2  # a self-resonance so little above the band, or below it, makes it no coil


@dataclass(frozen=True, kw_only=True)
class AtHand:
    """What is wanted (one of `microhenry`, `pf`, `coax`, `transformer`), the band, former and wire, and what the meter shows."""

    mhz: float
    microhenry: float | None = None
    pf: float | None = None
    coax: str | None = None
    transformer: int | None = None
    former_mm: float = 40.0
    by_mm: float | None = None
    wire_mm: float = 1.0
    pitch_mm: float | None = None
    meter_khz: float = 100.0
    reading_uh: float | None = None
    amps: float | None = None
    power_w: float = 100.0


def sheet_for(ask: AtHand) -> tuple[str, ...]:
    """The lines of the sheet; InputError with all that is wrong."""
    _check(ask)
    try:
        return _sheet(ask)
    except InputError:
        faults = FaultList("option")
        name = "--mhz" if ask.coax else "--pf" if ask.pf else "--microhenry"
        value = ask.mhz if ask.coax else ask.pf or ask.microhenry
        faults.add(name, value, "what a winding on this former can give", hint="take another former, wire, pitch or value")
        faults.raise_if_any()
        raise


def _sheet(ask: AtHand) -> tuple[str, ...]:
    freq_hz, meter_hz = ask.mhz * 1e6, ask.meter_khz * 1e3
    if ask.transformer:
        return _transformer(ask)
    if ask.coax:
        made = design_coax_trap(freq_hz, cable=_cable(ask.coax), former_diameter_m=ask.former_mm * 1e-3)
        return (*made.sheet(), *_trap_stands(made))
    if ask.pf:
        size = {"former_diameter_m": ask.former_mm * 1e-3, "wire_diameter_m": ask.wire_mm * 1e-3, "pitch_m": ask.pitch_mm and ask.pitch_mm * 1e-3}
        made = design_trap(freq_hz, capacitance_f=ask.pf * 1e-12, **size)
        return (*made.sheet(meter_hz), *_trap_stands(made))
    coil = wound_on(ask.microhenry * 1e-6, freq_hz, ask.former_mm * 1e-3, ask.by_mm and ask.by_mm * 1e-3, ask.wire_mm * 1e-3, ask.pitch_mm and ask.pitch_mm * 1e-3)
    measured = coil.measured_as(ask.reading_uh * 1e-6, meter_hz) if ask.reading_uh else coil
    lines = measured.worth() if ask.reading_uh else coil.sheet(meter_hz)
    if measured.self_resonance_hz < LEAST_ABOVE * freq_hz:
        lines = (*lines, f"Not fit for {ask.mhz:g} MHz: its own resonance is too low, above that it acts as a capacitor. Take a smaller former, a wider pitch or less inductance.")
    return (*lines, *(measured.under(ask.amps) if ask.amps else ()))


def _transformer(ask: AtHand) -> tuple[str, ...]:
    """The smallest own-wound one for the power, and what it stands on the band."""
    made = transformer(transformer_for(ask.transformer, ask.power_w))
    if isinstance(made, LineBalun):
        return made.sheet()
    told = made.stands({f"{ask.mhz:g} MHz": ask.mhz * 1e6}, MODES)
    return (
        *made.sheet(),
        f"On {told[0].band} the core takes {100 * told[0].loss_share:.0f} % of the power (± a third) into a matched load.",
        *(f"It stands {s.peak_power_w:.0f} W peak with {s.mode} ({s.set_by} sets it; ± a third)." for s in told),
    )


def _trap_stands(trap) -> tuple[str, ...]:
    """On its own frequency, where it has most across it."""
    heat_a, peak_a = currents_stood_a(trap, trap.freq_hz)
    ohm = abs(complex(trap.impedance_ohm(trap.freq_hz)))
    return (f"At its resonance it stands {heat_a * ohm:.0f} V rms without pause (warming), {peak_a * ohm:.0f} V rms at the peak (breakdown); both ± a third.",)


def _cable(word: str) -> str:
    """Key of a cable by its key or its plain name ("RG-58")."""
    plain = word.lower().replace("-", "")
    return plain if plain.startswith("cable_") else f"cable_{plain}"


def _check(ask: AtHand) -> None:
    faults = FaultList("option")
    given = dict(zip(WANTED, (ask.microhenry, ask.pf, ask.coax, ask.transformer)))
    if sum(v is not None for v in given.values()) != 1:
        faults.add(", ".join(WANTED), [k for k, v in given.items() if v is not None], "exactly one of them")
    sizes = {"--mhz": ask.mhz, "--former-mm": ask.former_mm, "--wire-mm": ask.wire_mm, "--meter-khz": ask.meter_khz, "--power-w": ask.power_w}
    wished = {"--microhenry": ask.microhenry, "--pf": ask.pf, "--by-mm": ask.by_mm, "--pitch-mm": ask.pitch_mm, "--reading-uh": ask.reading_uh, "--amps": ask.amps}
    for name, value in (sizes | {k: v for k, v in wished.items() if v is not None}).items():
        if not (value > 0 and math.isfinite(value)):
            faults.add(name, value, "a positive number")
    if ask.pitch_mm is not None and ask.pitch_mm < ask.wire_mm:
        faults.add("--pitch-mm", ask.pitch_mm, f"at least the wire's diameter, {ask.wire_mm:g}")
    coaxial = sorted(k for k, v in facts("cables").items() if v.get("diameter") and v.get("impedance", math.inf) < COAXIAL_OHM)
    if ask.coax is not None and _cable(ask.coax) not in coaxial:
        faults.add("--coax", ask.coax, "one of " + ", ".join(k.removeprefix("cable_") for k in coaxial))
    ratios = sorted({int(k.split("_")[1]) for k in keys("transformer_")})
    if ask.transformer is not None and ask.transformer not in ratios:
        faults.add("--transformer", ask.transformer, "one of " + ", ".join(map(str, ratios)))
    faults.raise_if_any()
