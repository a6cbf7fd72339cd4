"""Rows of area 3-LUMP, each through the code that designs parts. Sources stand in lump.csv, row by row."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from rows import after, before, numbers, percent, rows

from optimizer.network.line import LineType, line_type
from optimizer.network.transformer import Transformer
from optimizer.network.twoport import ideal_transformer, input_impedance_ohm, stress_per_root_watt
from optimizer.parts.coil import CoilDesign, Former, coil_q, design_coil
from optimizer.parts.ferrite import catalogue_inductance_h, permeability, ring
from optimizer.parts.ring_transformer import core_loss_share
from optimizer.parts.trap import design_trap
from optimizer.physics.conductors import clad_wire_ohm_per_m, round_wire_ohm_per_m, skin_depth_m, straight_inductance_h
from optimizer.physics.solenoid import (
    capacitance_at_resonance_f,
    capacitance_pf_per_cm,
    current_sheet_h,
    nagaoka_k,
    proximity_factor,
    resonance_hz,
    solenoid_h,
    wheeler_h,
)

PRINTED = 1e-5  # "exact": to the digits printed
METALS = {"copper": 5.80e7, "aluminium": 3.50e7}


def one(row):
    return float(row["expected"])


def close(value, row, relative):
    assert value == pytest.approx(one(row), rel=relative)


def winding(text):
    """N, mean diameter, pitch, wire [m] of "N=10, mean dia 50 mm, pitch 5 mm, wire 2 mm"."""
    return after("N", text), after("dia", text) / 1e3, after("pitch", text) / 1e3, after("wire", text) / 1e3


def coil_of(text):
    """Designed coil of "34 uH coil, mean dia 40 mm, pitch 1.5 mm": wire two thirds of the pitch."""
    pitch = after("pitch", text) / 1e3
    wire = pitch / 1.5
    return design_coil(before("uH", text) * 1e-6, 7.1e6, former_diameter_m=after("dia", text) / 1e3 - wire, wire_diameter_m=wire, pitch_m=pitch)


def nagaoka(row):
    assert nagaoka_k(after("length", row["conditions"])) == pytest.approx(one(row), abs=1e-5)


def current_sheet(row):
    n, d, p, _ = winding(row["conditions"])
    close(current_sheet_h(n, d, p) * 1e6, row, percent(row))


def loops(row):
    close(solenoid_h(*winding(row["conditions"])) * 1e6, row, percent(row))


def wheeler(row):
    n, d, p, _ = winding(row["conditions"])
    close(wheeler_h(n, d, n * p) * 1e6, row, PRINTED)


def turns_wanted(row):
    assert coil_of(row["conditions"]).turns == pytest.approx(one(row), abs=1.5)


def wire_length(row):
    close(coil_of(row["conditions"]).wire_length_m, row, percent(row))


def self_capacitance(row):
    close(coil_of(row["conditions"]).stray_f * 1e12, row, percent(row))


def self_resonance(row):
    close(coil_of(row["conditions"]).self_resonance_hz / 1e6, row, percent(row))


def shunt_capacitance(row):
    close(capacitance_at_resonance_f(14.15e6, 34e-6) * 1e12, row, percent(row))


def medhurst_h(row):
    assert capacitance_pf_per_cm(after("diameter", row["conditions"])) == pytest.approx(one(row), abs=1e-9)


def medhurst_phi(row):
    text = row["conditions"]
    assert proximity_factor(after("diameter", text), after("pitch", text)) == pytest.approx(one(row), abs=1e-9)


def q_example(row):
    text = row["conditions"]
    n, d, pitch, wire, freq = after("N", text), after("D", text) / 1e3, after("pitch", text) / 1e3, after("wire", text) / 1e3, before("MHz", text) * 1e6
    coil = CoilDesign(
        inductance_h=solenoid_h(n, d, pitch, wire), freq_hz=freq, turns=n, pitch_m=pitch, wire_diameter_m=wire,
        former=Former.of_diameter(d - wire), q=1.0, stray_f=1e-12,
    )  # fmt: skip
    close(coil_q(coil, former_loss=False), row, percent(row))


def loss_resistance(row):
    text = row["conditions"]
    coil = replace(design_coil(34e-6, before("MHz", text) * 1e6), q=after("Q", text))
    close(coil.resistance_ohm, row, PRINTED)
    assert complex(replace(coil, stray_f=0.0).impedance_ohm(coil.freq_hz)).real == pytest.approx(one(row), rel=PRINTED)


def metal_and_freq(text):
    return METALS[text.split()[0]], before("MHz", text) * 1e6


def skin(row):
    sigma, freq = metal_and_freq(row["conditions"])
    close(skin_depth_m(freq, sigma) * 1e6, row, percent(row))


def round_wire(row):
    sigma, freq = metal_and_freq(row["conditions"])
    close(round_wire_ohm_per_m(freq, after("dia", row["conditions"]) / 2e3, sigma).real, row, percent(row))


def clad_wire(row):
    text = row["conditions"]
    z = clad_wire_ohm_per_m(
        before("MHz", text) * 1e6, after("dia", text) / 2e3, after("thickness", text) * 1e-6, outer_s_per_m=5.80e7,
        core_s_per_m=after("steel", text), core_mu_r=after("mu_r", text),
    )  # fmt: skip
    close(z.real, row, percent(row))


def straight(row):
    text = row["conditions"]
    close(straight_inductance_h(after("length", text), after("dia", text) / 2e3) * 1e6, row, percent(row))


def trap_frequency(row):
    text = row["conditions"]
    close(resonance_hz(after("L", text) * 1e-6, after("C", text) * 1e-12) / 1e6, row, percent(row))


def trap_inductance(row):
    text = row["conditions"]
    trap = design_trap(before("MHz", text) * 1e6, capacitance_f=after("C", text) * 1e-12)
    close(trap.inductance_h * 1e6, row, percent(row))
    assert trap.resonance_hz == pytest.approx(before("MHz", text) * 1e6, rel=5e-4)


def coax_capacitance(row):
    text = row["conditions"]
    line = LineType(key="any", z0_ohm=after("Z0", text), velocity_factor=after("factor", text), k1=0, k2=0)
    close(line.capacitance_f_per_m * 1e12, row, percent(row))


def polyethylene_capacitance(row):
    for key in ("cable_rg58", "cable_rg213", "cable_rg174"):
        close(line_type(key).capacitance_f_per_m * 1e12, row, percent(row))


def ring_al(row):
    size = re.match(r"FT\d+", row["conditions"]).group(0).lower()
    close(ring(f"ring_{size}_43").al_h(after("mu_i", row["conditions"])) * 1e9, row, 1e-3)


def ring_al_catalogue(row):
    inductance = ring("ring_ft240_43").impedance_ohm(100e3, 1).imag / (2 * math.pi * 100e3)
    close(inductance * 1e9, row, percent(row))
    close(catalogue_inductance_h("ft240_43", 1) * 1e9, row, PRINTED)


def powder_al(row):
    name = row["conditions"].lower().replace("-", "_")
    close(catalogue_inductance_h(name, 100) * 1e6, row, 0.05)


def ring_inductance(row):
    text = row["conditions"]
    size = re.search(r"(F?T\d+-\d+)", text).group(1).lower().replace("-", "_")
    close(catalogue_inductance_h(size, after("N", text)) * 1e6, row, PRINTED)


def ferrite_curve(row):
    """Initial values to a tenth; over frequency to the spread the row notes (a range: its middle, and its ends as spread)."""
    text = row["conditions"]
    material = text.split()[1]
    if "initial" in text:
        assert permeability(material, 100e3).real == pytest.approx(one(row), rel=0.10)
        return
    mu = permeability(material, before("MHz", text) * 1e6)
    spread = re.search(r"\+-(\d+)%", row["expected"])
    for wanted, got in zip(row["expected"].split(";"), (mu.real, -mu.imag)):
        ends = [abs(n) for n in numbers(re.sub(r"\(.*\)", "", wanted).split("about")[1])]
        slack = float(spread.group(1)) / 100.0 if spread else 0.0
        assert min(ends) * (1 - slack) <= got <= max(ends) * (1 + slack)


def turns_ratio(row):
    first, second = numbers(row["conditions"].replace(":", " "))[:2]
    wound = Transformer(key="any", ring=ring("ring_ft240_43"), primary_turns=first, secondary_turns=second, leakage_h=0, winding_f=0, compensation_f=0)
    close(wound.ratio, row, 1e-12)


def transformed_load(row):
    load, ratio = numbers(row["conditions"])
    seen = input_impedance_ohm(ideal_transformer(1 / math.sqrt(ratio)), np.array([load + 0j]))
    close(seen[0].real, row, 1e-12)


def core_loss(row):
    turns = numbers(row["conditions"])[0]
    close(float(core_loss_share(ring("ring_ft240_43").impedance_ohm(7.31e6, turns))) * 100.0, row, percent(row))


def end_voltage(row):
    watts, ohm = numbers(row["conditions"])
    volts, _ = stress_per_root_watt(ideal_transformer(7.0), np.array([ohm + 0j]))
    close(volts[0] * math.sqrt(watts), row, PRINTED)


CHECKS = {
    "Nagaoka coefficient K": nagaoka,
    "solenoid inductance, current sheet (length=N*pitch)": current_sheet,
    "solenoid inductance, N coaxial round-wire loops (no internal inductance)": loops,
    "solenoid inductance, Wheeler 1928": wheeler,
    "turns for 34 uH": turns_wanted,
    "wire length in 34 uH coil": wire_length,
    "self-capacitance of 34 uH coil (one end near earth)": self_capacitance,
    "self-resonance of 34 uH coil": self_resonance,
    "shunt capacitance that makes 34 uH self-resonant at 14.15 MHz": shunt_capacitance,
    "Medhurst self-capacitance coefficient H": medhurst_h,
    "Medhurst proximity factor Phi = Rac(coil)/Rac(straight wire)": medhurst_phi,
    "coil Q worked example (no dielectric loss)": q_example,
    "loss resistance of 34 uH coil": loss_resistance,
    "skin depth": skin,
    "AC resistance of straight round wire (exact Bessel)": round_wire,
    "AC resistance of copper-clad steel wire (two-layer Bessel)": clad_wire,
    "straight-wire inductance (Rosa, high frequency, no internal part)": straight,
    "trap resonance": trap_frequency,
    "trap inductance for given C": trap_inductance,
    "coax capacitance per metre (open stub as capacitor)": coax_capacitance,
    "RG-58/RG-213/RG-174 solid-PE capacitance, catalogue": polyethylene_capacitance,
    "toroid AL from geometry": ring_al,
    "FT240-43 AL, catalogue": ring_al_catalogue,
    "powdered-iron AL": powder_al,
    "toroid inductance L=N^2 AL (low-frequency)": ring_inductance,
    "ferrite complex permeability": ferrite_curve,
    "transformer impedance ratio": turns_ratio,
    "transformed load": transformed_load,
    "core loss fraction of 49:1 transformer primary (shunt core conductance)": core_loss,
    "end voltage of end-fed wire at transformer secondary": end_voltage,
}


@pytest.mark.parametrize("row", rows("lump"))
def test_lump(row):
    CHECKS[row["quantity"]](row)
