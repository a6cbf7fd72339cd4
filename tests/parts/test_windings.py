"""Coils and traps beyond the published rows: limits, formers, the meter, the coaxial trap by circuit theory."""

import math
import re

import numpy as np
import pytest
from scipy.special import ellipe, ellipk
from typer.testing import CliRunner

from optimizer.cli import app
from optimizer.errors import InputError
from optimizer.network.line import line_type
from optimizer.parts.coil import Former, design_coil
from optimizer.parts.trap import design_coax_trap, design_trap
from optimizer.physics.conductors import clad_wire_ohm_per_m, round_wire_ohm_per_m
from optimizer.physics.constants import MU0_H_PER_M
from optimizer.physics.solenoid import current_sheet_h, solenoid_h


def loops_h(turns, diameter_m, pitch_m, wire_m):
    """Maxwell: coaxial circular loops with surface current, summed; the slow, obvious form of a coil."""
    a, n = diameter_m / 2, np.arange(1, turns)
    k2 = 4 * a * a / (4 * a * a + (n * pitch_m) ** 2)
    k = np.sqrt(k2)
    mutual = MU0_H_PER_M * a * ((2 / k - k) * ellipk(k2) - 2 / k * ellipe(k2))
    return turns * MU0_H_PER_M * a * (math.log(16 * a / wire_m) - 2) + 2 * np.sum((turns - n) * mutual)


@pytest.mark.parametrize("turns", [3, 8, 20, 60])
@pytest.mark.parametrize("wire_over_pitch", [0.3, 0.6, 0.95])
def test_round_wire_correction_against_summed_loops(turns, wire_over_pitch):
    pitch, diameter = 0.002, 0.05
    by_loops = loops_h(turns, diameter, pitch, wire_over_pitch * pitch)
    assert solenoid_h(turns, diameter, pitch, wire_over_pitch * pitch) == pytest.approx(by_loops, rel=2e-3)


def test_long_coil_is_the_textbook_solenoid():
    """mu0 N^2 A / l for a coil a hundred diameters long, less the end effect of about 0.42 D/l."""
    ideal = MU0_H_PER_M * 1000**2 * math.pi / 4 * 0.02**2 / 2.0
    assert current_sheet_h(1000, 0.02, 0.002) == pytest.approx(ideal * (1 - 0.4244 * 0.01), rel=1e-4)


def test_design_hits_its_inductance_and_inner_part_counts():
    """The wire's internal inductance, skin depth deep: R/w per metre (deep skin: reactance equals resistance)."""
    coil = design_coil(10e-6, 7.1e6)
    inner = coil.wire_length_m * round_wire_ohm_per_m(7.1e6, 0.5e-3).real / (2 * math.pi * 7.1e6)
    outer = solenoid_h(coil.turns, coil.mean_diameter_m, coil.pitch_m, coil.wire_diameter_m)
    assert 10e-6 - outer == pytest.approx(inner, rel=0.03)


def test_square_former_lies_between_equal_area_and_equal_perimeter():
    """Grover, Inductance Calculations: a polygon's equivalent circle lies between those two."""
    square = Former.of_rectangle(0.04, 0.04)
    assert 2 * 0.04 / math.sqrt(math.pi) < square.diameter_m < 0.16 / math.pi
    assert design_coil(20e-6, 7e6, former=square).turns < design_coil(20e-6, 7e6).turns


def test_meter_reading_and_back():
    """A coil that reads what the sheet expects is the coil wanted; 1 % more is 1 % more. Stray raises a reading
    by 1/(1-(f/f0)^2)."""
    coil = design_coil(34e-6, 7.1e6)
    assert coil.measured_as(coil.reading_h()).inductance_h == pytest.approx(34e-6, rel=1e-12)
    assert coil.measured_as(1.01 * coil.reading_h()).inductance_h == pytest.approx(34.34e-6, rel=1e-9)
    assert coil.measured_as(33e-6).measured
    low, high = coil.reading_h(test_hz=100e3), coil.reading_h(test_hz=7.1e6)
    assert high == pytest.approx(34e-6 / (1 - (7.1e6 / coil.self_resonance_hz) ** 2), rel=1e-9)
    assert 34e-6 < low < 34.5e-6  # internal inductance at low frequency: at most mu0/8 pi a metre more
    assert coil.reading_h(coil.turns + 2) > coil.reading_h() > coil.reading_h(coil.turns - 2)


def test_thicker_wire_and_lower_loss_raise_q():
    thin, thick = (design_coil(20e-6, 7e6, wire_diameter_m=d, pitch_m=0.0025) for d in (0.5e-3, 1.5e-3))
    assert thick.q > thin.q
    assert design_coil(20e-6, 7e6, conductivity_s_per_m=3.5e7).q < design_coil(20e-6, 7e6).q


@pytest.mark.parametrize("bad", [{"inductance_h": -1e-6}, {"freq_hz": float("nan")}, {"pitch_m": 0.5e-3}, {"inductance_h": 10.0}])
def test_bad_coil_is_bad_input(bad):
    with pytest.raises(InputError):
        design_coil(**{"inductance_h": 1e-5, "freq_hz": 7e6, **bad})


def test_trap_needs_exactly_one_and_room_for_stray():
    for bad in ({}, {"capacitance_f": 5e-11, "inductance_h": 1e-5}, {"capacitance_f": 1e-12}):
        with pytest.raises(InputError):
            design_trap(7.1e6, **bad)


def test_trap_resistance_at_resonance_is_q_times_reactance():
    trap = design_trap(14.1e6, inductance_h=5e-6)
    peak = complex(trap.impedance_ohm(trap.resonance_hz))
    assert peak.real == pytest.approx(trap.q * 2 * math.pi * 14.1e6 * 5e-6, rel=1e-3)
    assert trap.q < trap.coil.q


def test_coax_trap_is_four_times_its_winding():
    """Two coupled windings in series: 4 L; half the voltage between inner and shield: C/4 of the cable's capacitance."""
    trap = design_coax_trap(7.1e6)
    shield = 0.75 * trap.cable_diameter_m
    winding = solenoid_h(trap.turns, trap.mean_diameter_m, trap.cable_diameter_m, shield)
    assert trap.inductance_h == pytest.approx(4 * winding, rel=1e-12)
    assert trap.capacitance_f == pytest.approx(line_type("cable_rg58").capacitance_f_per_m * trap.cable_length_m / 4, rel=1e-6)
    assert trap.resonance_hz == pytest.approx(7.1e6, rel=1e-6)


def test_clad_wire_between_its_metals():
    """All copper and all steel are the two ends; thick copper over skin depth is copper."""
    copper, steel = round_wire_ohm_per_m(7e6, 1e-3).real, round_wire_ohm_per_m(7e6, 1e-3, 4.93e6, 100.0).real
    thin, thick = (clad_wire_ohm_per_m(7e6, 1e-3, t).real for t in (1e-6, 0.3e-3))
    assert copper < thin < steel
    assert thick == pytest.approx(copper, rel=1e-3)


def test_a_measured_inductance_replaces_the_computed_one_at_the_command_line():
    """Read low-frequency value 3 % under the expected one: the coil is worth 3 % less on the band (inductances in proportion)."""
    ask = ["wind", "--microhenry", "34", "--mhz", "7.1", "--former-mm", "32"]
    sheet = CliRunner().invoke(app, ask).stdout
    target = float(re.search(r"until it shows ([\d.]+) µH", sheet).group(1))
    told = CliRunner().invoke(app, [*ask, "--reading-uh", f"{0.97 * target:.4f}", "--amps", "0.5"]).stdout
    assert float(re.search(r"As measured: ([\d.]+) µH", told).group(1)) == pytest.approx(0.97 * 34.0, abs=0.02)
    ohm = 2 * math.pi * 7.1e6 * 0.97 * 34e-6
    volts = float(re.search(r"(\d+) V across", told).group(1))
    assert 0.5 * ohm < volts < 0.5 * ohm * 1.25, "its stray raises it a little below self-resonance"
    assert CliRunner().invoke(app, [*ask, "--wire-mm", "0"]).exit_code == 2


def wound(*ask):
    told = CliRunner().invoke(app, ["wind", *ask])
    return told.exit_code, told.stdout + told.stderr


def test_a_former_that_is_not_round_is_named_by_its_sides():
    """Wire for the turns goes round the sides: at least the perimeter each."""
    status, said = wound("--microhenry", "34", "--mhz", "7.1", "--former-mm", "60", "--by-mm", "35")
    turns, metres = int(re.search(r"Wind (\d+) turns", said)[1]), float(re.search(r"cut ([\d.]+) m", said)[1])
    assert status == 0 and "former 60 × 35 mm" in said and turns * 0.190 < metres < turns * 0.200 + 0.35


def test_a_coil_above_its_own_resonance_is_no_coil():
    assert "Not fit for 7.1 MHz" in wound("--microhenry", "340", "--mhz", "7.1")[1]
    assert "Not fit" not in wound("--microhenry", "34", "--mhz", "7.1")[1]


def test_a_coaxial_traps_sheet_comes_from_the_command():
    """5 turns on 50 mm pipe take 5 · pi · 55 mm of cable; one turn more resonates lower."""
    status, said = wound("--coax", "RG-58", "--mhz", "14.175", "--former-mm", "50")
    turns, metres = float(re.search(r"([\d.]+) turns of RG58", said)[1]), float(re.search(r"; ([\d.]+) m of cable", said)[1])
    assert status == 0 and metres == pytest.approx(turns * math.pi * 0.055 + 0.1, abs=0.02)
    assert float(re.search(r"expect ([\d.]+) MHz", said)[1]) < 14.175 and "V rms without pause" in said


def test_a_traps_sheet_comes_from_the_command():
    """Thomson: coil and 25 pF in all resonate at the wished frequency."""
    said = wound("--pf", "25", "--mhz", "14.175")[1]
    henry = float(re.search(r"([\d.]+) µH with", said)[1]) * 1e-6
    assert 1 / (2 * math.pi * math.sqrt(henry * 25e-12)) == pytest.approx(14.175e6, rel=2e-3)


def test_a_transformers_sheet_comes_from_the_command_with_the_power_it_stands():
    """Turns squared are the ratio; without pause it stands a fifth of what it does at a fifth of the average."""
    status, said = wound("--transformer", "49", "--mhz", "7.1", "--power-w", "400")
    turns, tap = int(re.search(r"winding of (\d+) turns", said)[1]), int(re.search(r"tapped (\d+) turns", said)[1])
    talking, steady = (float(v) for v in re.findall(r"It stands (\d+) W", said))
    assert status == 0 and (turns / tap) ** 2 == 49.0 and steady == pytest.approx(talking / 5, rel=0.01)
    assert "Wind 12 turns" in wound("--transformer", "1", "--mhz", "7.1")[1]


def test_wrong_options_are_told_at_once_as_the_user_wrote_them():
    status, said = wound("--transformer", "48", "--coax", "window_400", "--mhz", "-1")
    assert status == 2 and all(f"{name}: got" in said for name in ("--mhz", "--coax", "--transformer")) and "exactly one" in said
    status, said = wound("--microhenry", "34", "--mhz", "7.1", "--former-mm", "1")
    assert status == 2 and "--microhenry: got 34.0" in said


def test_bill_of_a_coil_holds_the_turns_to_start_with():
    coil = design_coil(34e-6, 7.1e6)
    parts = dict(coil.bill)
    assert coil.turns_to_start >= coil.turns + 2
    assert parts["wire_enamel_1mm"] >= coil.cut_m and parts["former_pipe_40mm"] >= coil.turns_to_start * coil.pitch_m
