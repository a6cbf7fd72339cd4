"""The wound ring as a thing on the bench: loss, flux, heat, the power it stands, and the winding sheet.

    G      real part of 1/Zm [S]: core loss of the primary     loss share = G/(G + 1/R) with the load R across it
    B      peak flux density = sqrt(2) V / (w N A)
    warming of a core in free air  (mW lost per cm2 of surface)^0.833 kelvin

The warming rule is the core makers' (common practice, from memory), good to a third; a closed box makes it worse.
Ferrite data spread by 25 to 40 %: so does everything here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..physics.constants import TWO_PI
from .ferrite import Ring
from .tables import facts

WARMING_LIMIT_K = 50.0
FLUX_SHARE_LIMIT = 0.5  # of saturation at room temperature, since it falls with heat
WARMING_EXPONENT = 0.833


@dataclass(frozen=True, kw_only=True)
class PowerStand:
    """On one band and mode: loss share of the core, peak power it stands, and what sets it."""

    band: str
    mode: str
    loss_share: float
    peak_power_w: float
    set_by: str


def core_loss_share(magnetising_ohm, load_ohm: float = 50.0):
    """Share of the power that the core takes with a load of `load_ohm` across the primary, shape of the input."""
    g = (1.0 / np.asarray(magnetising_ohm)).real
    return g / (g + 1.0 / load_ohm)


def peak_flux_t(ring: Ring, turns: float, voltage_v: float, freq_hz):
    """Peak flux density for a sine of `voltage_v` rms across `turns` [T]."""
    return math.sqrt(2.0) * voltage_v / (TWO_PI * np.asarray(freq_hz, float) * turns * ring.section_m2)


def warming_k(ring: Ring, loss_w: float) -> float:
    """Temperature rise of the ring in free air [K]."""
    return (loss_w * 1e3 / (ring.surface_m2 * 1e4)) ** WARMING_EXPONENT


def loss_limit_w(ring: Ring) -> float:
    """Average loss that warms the ring by `WARMING_LIMIT_K` [W]."""
    return WARMING_LIMIT_K ** (1.0 / WARMING_EXPONENT) * ring.surface_m2 * 1e4 / 1e3


def saturation_t(ring: Ring) -> float:
    """Saturation flux density of the material [T]; iron powder is never limited by it at HF."""
    return facts("rings").get(ring.material, {}).get("saturation", 1.0)


def peak_power_w(ring: Ring, turns: float, freq_hz: float, average_over_peak: float, load_ohm: float = 50.0) -> tuple[float, str]:
    """Peak envelope power the ring stands at a frequency, and whether heat or flux sets it.

    average_over_peak : mode duty times transmit share.
    """
    share = float(core_loss_share(ring.impedance_ohm(freq_hz, turns), load_ohm))
    by_heat = loss_limit_w(ring) / share / average_over_peak
    flux_at_1w = float(peak_flux_t(ring, turns, math.sqrt(load_ohm), freq_hz))
    by_flux = (FLUX_SHARE_LIMIT * saturation_t(ring) / flux_at_1w) ** 2
    return (by_heat, "heat") if by_heat <= by_flux else (by_flux, "flux density")


def stands(
    ring: Ring, turns: float, bands: dict[str, float], modes: dict[str, float], loss_factor: float = 1.0
) -> tuple[PowerStand, ...]:
    """Every band (name → frequency) with every mode (name → average over peak power); `loss_factor` on the core's loss."""
    out = []
    for band, freq_hz in bands.items():
        share = loss_factor * float(core_loss_share(ring.impedance_ohm(freq_hz, turns)))
        for mode, average in modes.items():
            watts, set_by = peak_power_w(ring, turns, freq_hz, loss_factor * average)
            out.append(PowerStand(band=band, mode=mode, loss_share=share, peak_power_w=watts, set_by=set_by))
    return tuple(out)


def winding_sheet(ring: Ring, primary: float, secondary: float, wire_m: float, compensation_f: float) -> tuple[str, ...]:
    """How to wind a tapped ring transformer, line by line."""
    height = ring.height_m * 1e3
    length = secondary * ring.turn_length_m(wire_m) + 0.2
    lines = [
        f"Ring {ring.outer_m * 1e3:.0f} × {ring.inner_m * 1e3:.0f} mm, {height:.1f} mm high in all, type {ring.material}; tape sharp edges.",
        (f"One winding of {secondary:g} turns of {wire_m * 1e3:.1f} mm enamelled wire, {length:.2f} m with tails, tapped {primary:g} turns "
        f"from the cold end: ratio {(secondary / primary) ** 2:.1f}:1 (exact, by turns)."),
        ("A turn counts each time the wire goes through the hole. Twist the first turns of both parts together, then cross "
        "over to the far side half way and go on in the same sense."),
    ]
    if compensation_f:
        lines.append(f"{compensation_f * 1e12:.0f} pF (5 %, 3 kV) across the tapped part, leads as short as they will go.")
    al = ring.al_h(abs(complex(ring.impedance_ohm(100e3, 1))) / (TWO_PI * 100e3 * ring.air_inductance_h))
    lines.append(f"Check at 100 kHz: {primary**2 * al * 1e6:.0f} µH across the tapped part (± 25 %).")
    return (*lines, *bench_check((secondary / primary) ** 2), *(("Move the capacitor's value if not.",) if compensation_f else ()))


def bench_check(ratio: float) -> tuple[str, ...]:
    """What a transformer of that ratio should show on the bench, own-wound or bought."""
    return (
        f"Check with {50.0 * ratio:.0f} ohm (± 5 %, no wire-wound resistor) at the output: SWR below 1.5 on the lower bands and below 2 on the highest.",
    )
