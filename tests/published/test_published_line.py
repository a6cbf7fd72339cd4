"""Rows of area 4-LINE through the line, match and tuner modules. Sources stand in line.csv, row by row."""

import re

import numpy as np
import pytest
from rows import after, before, numbers, percent, rows

from optimizer.network.line import (
    NEPER_PER_DB,
    LineType,
    conductor_loss_db_per_100m,
    line_type,
    total_loss_db,
    two_wire_impedance_ohm,
)
from optimizer.network.match import mismatch_loss_db, reflection, reflection_of_swr, return_loss_db, swr
from optimizer.network.tuner import Tuner, match
from optimizer.network.twoport import input_impedance_ohm, loss_db
from optimizer.physics.conductors import round_wire_ohm_per_m

PRINTED = 1e-5
CABLES = {
    "RG-58C/U": "cable_rg58", "RG-213/U": "cable_rg213", "RG-213": "cable_rg213", "RG-8X": "cable_rg8x", "RG-174": "cable_rg174",
    "450-ohm": "cable_window_400",
}  # fmt: skip


def within(value, row, relative):
    """Inside the expected figure, or range of figures, widened by the tolerance."""
    ends = numbers(re.sub(r"\(.*\)", "", row["expected"]).replace("-", " "))
    assert min(ends) * (1 - relative) <= value <= max(ends) * (1 + relative)


def attenuation(row):
    line = line_type(CABLES[row["conditions"].split()[0]])
    within(float(line.matched_loss_db_per_100m(before("MHz", row["conditions"]) * 1e6)), row, percent(row))


def velocity(row):
    kinds = {"solid": ("cable_rg58", "cable_rg213", "cable_rg174"), "PTFE": ("cable_rg316",), "450-ohm": ("cable_window_400",)}
    for key in kinds[row["conditions"].split()[0]]:
        within(line_type(key).velocity_factor, row, percent(row))


def loss_with_swr(row):
    """By the closed form, and by the chain matrix of a line with real Z0 and the worst or best phase left out by its length."""
    matched, ratio = before("dB", row["conditions"]), after("VSWR", row["conditions"])
    gamma = reflection_of_swr(ratio)
    assert float(total_loss_db(matched, gamma)) == pytest.approx(float(row["expected"]), abs=0.01)
    line = LineType(key="any", z0_ohm=50.0, velocity_factor=0.66, k1=matched / 10**0.5 * 100 / 7.3, k2=0.0)
    chain = line.chain(np.array([10e6]), 7.3, real_impedance=True)
    assert loss_db(chain, np.array([50.0 * ratio + 0j]))[0] == pytest.approx(float(row["expected"]), abs=0.01)


def vswr(row):
    gamma = reflection_of_swr(numbers(row["conditions"])[0])
    found = {"|Gamma|": gamma, "return loss": return_loss_db(gamma), "mismatch loss": mismatch_loss_db(gamma)}
    assert found[row["quantity"].removeprefix("VSWR -> ")] == pytest.approx(float(row["expected"]), rel=PRINTED)
    assert abs(reflection(50.0 * numbers(row["conditions"])[0])) == pytest.approx(gamma, rel=1e-12)


def vswr_of_impedance(row):
    assert swr(complex(row["conditions"].removeprefix("Z="))) == pytest.approx(float(row["expected"]), rel=percent(row))


def through_line(row):
    text = row["conditions"]
    load = complex(re.search(r"ZL=\((.*?)\)", text).group(1))
    freq = np.array([before("MHz", text) * 1e6])
    line = LineType(key="any", z0_ohm=after("Z0", text), velocity_factor=after("VF", text), k1=after("loss", text) / (freq[0] / 1e6) ** 0.5, k2=0.0)
    seen = input_impedance_ohm(line.chain(freq, after("length", text), real_impedance=True), np.array([load]))[0]
    wanted = complex(row["expected"])
    assert abs(seen - wanted) <= percent(row) * abs(wanted)


def l_network(row):
    low, high = (float(n) for n in re.match(r"(\d+)<->(\d+)", row["conditions"]).groups())
    freq = before("MHz", row["conditions"]) * 1e6
    lossless = Tuner(key="any", inductance_max_h=1e-3, capacitance_max_f=1e-8, coil_q=1e12, capacitor_q=1e12)
    found = match(lossless, np.array([freq]), np.array([high + 0j]), target_ohm=low)
    w = 2 * np.pi * freq
    q, coil_uh, pf = (float(part.split("=")[1]) for part in row["expected"].split(";"))
    assert found.matched[0] and found.shunt_at_load[0]
    assert found.series_ohm[0] / low == pytest.approx(q, rel=percent(row))
    assert found.series_ohm[0] / w * 1e6 == pytest.approx(coil_uh, rel=percent(row))
    assert found.shunt_siemens[0] / w * 1e12 == pytest.approx(pf, rel=percent(row))


def open_wire(row):
    text = row["conditions"]
    seen = two_wire_impedance_ohm(after("spacing", text) / 1e3, after("wire", text) / 1e3)
    assert seen == pytest.approx(float(row["expected"]), rel=percent(row))
    assert seen == pytest.approx(after("gives", row["tolerance"]), rel=PRINTED)


def open_wire_loss(row):
    text = row["conditions"]
    wires = 2 * round_wire_ohm_per_m(before("MHz", text) * 1e6, before("mm copper", text) / 2e3).real
    assert conductor_loss_db_per_100m(wires, after("Z0", text)) == pytest.approx(float(row["expected"]), rel=percent(row))


def test_own_open_wire_line_follows_from_its_two_wires():
    """The table's open-wire line against skin effect and acosh: P4-044 and P4-047 together."""
    line = line_type("cable_open_wire_600")
    assert line.z0_ohm == pytest.approx(two_wire_impedance_ohm(0.150, 0.002), rel=1e-3)
    for freq in (3.6e6, 14.15e6, 29e6):
        wires = 2 * round_wire_ohm_per_m(freq, 1e-3).real
        assert float(line.matched_loss_db_per_100m(freq)) == pytest.approx(conductor_loss_db_per_100m(wires, line.z0_ohm), rel=0.03)


def test_matched_line_loses_its_table_loss():
    """100 m into its own impedance is the attenuation law, in decibels and nepers."""
    line, freq = line_type("cable_rg58"), np.array([14.15e6])
    z0 = line.impedance_ohm(freq)
    assert loss_db(line.chain(freq, 100.0, real_impedance=True), np.array([50 + 0j]))[0] == pytest.approx(
        float(line.matched_loss_db_per_100m(14.15e6)), rel=1e-9
    )
    assert line.gamma_per_m(freq)[0].real == pytest.approx(line.matched_loss_db_per_100m(14.15e6) / 100 * NEPER_PER_DB)
    assert z0[0].real == 50.0 and -1.0 < z0[0].imag < 0.0  # conductor loss tilts it toward capacitive


CHECKS = {
    "matched attenuation per 100 m": attenuation,
    "velocity factor": velocity,
    "total line loss with SWR at the load": loss_with_swr,
    "VSWR -> |Gamma|": vswr,
    "VSWR -> return loss": vswr,
    "VSWR -> mismatch loss": vswr,
    "VSWR of impedance on 50 ohm": vswr_of_impedance,
    "input impedance through lossy line": through_line,
    "L-network (series L at low side, shunt C at high side)": l_network,
    "open-wire line Z0": open_wire,
    "open-wire copper line matched loss": open_wire_loss,
}


@pytest.mark.parametrize("row", rows("line"))
def test_line(row):
    CHECKS[row["quantity"]](row)
