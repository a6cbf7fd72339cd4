"""Rows of area 7-MECH through the mechanics module. Sources stand in mechanics.csv, row by row."""

import pytest
from rows import after, before, numbers, percent, rows

from optimizer.parts import mechanics as m
from optimizer.parts.conductors import GRAVITY_M_PER_S2, wire_type

PRINTED = 1e-5


def close(value, row, relative=None):
    assert value == pytest.approx(float(row["expected"]), rel=relative or percent(row))


def span(text):
    """Span, weight, tension."""
    return after("span", text), before("N/m", text), before("N(?:;|$| )", text)


def sag(row):
    args = span(row["conditions"])
    close(m.parabola_sag_m(*args), row, PRINTED)
    assert m.catenary_sag_m(*args) == pytest.approx(after("catenary", row["tolerance"]), rel=PRINTED)


def slack(row):
    args = span(row["conditions"])
    close(m.slack_m(*args) * 1e3, row, 1e-5)
    assert m.catenary_length_m(*args) - args[0] == pytest.approx(float(row["expected"]) / 1e3, rel=percent(row))


def pressure(row):
    close(m.wind_pressure_pa(before("m/s", row["conditions"])), row)


def drag(row):
    text = row["conditions"]
    close(m.wind_drag_n(after("dia", text) / 1e3, after("length", text), before("m/s", text), after("Cd", text)), row)


def resultant(row):
    text = row["conditions"]
    close(m.resultant_load_n_per_m(before("N/m", text), before("mm", text) / 1e3, after("wind", text)), row)


def ice(row):
    text = row["conditions"]
    close(m.ice_load_n_per_m(after("wire", text) / 1e3, after("radial ice", text) / 1e3), row)


def mass(row):
    text = row["conditions"]
    close(m.wire_mass_kg_per_m(after("dia", text) / 1e3, before("kg/m3", text)) * 1e3, row)


def breaking(row):
    text = row["conditions"]
    close(m.wire_breaking_n(after("dia", text) / 1e3, before("MPa", text) * 1e6), row)


def breaking_table(row):
    """The catalogue's hard-drawn wires against the standard's table."""
    key = {"14": "wire_bare_copper_1_6mm", "12": "wire_bare_copper_2mm"}[row["conditions"].split()[0]]
    newtons = before("N", row["expected"])
    assert wire_type(key).breaking_load_n == pytest.approx(newtons, rel=percent(row))
    diameter = before("mm", row["conditions"]) / 1e3
    assert wire_type(key).radius_m * 2 == pytest.approx(diameter, rel=1e-9)


def clad_table(row):
    key = {"12": "wire_ccs_2mm", "11": "wire_ccs_2_3mm"}[row["conditions"].split()[0]]
    newtons, kg_per_km = before("N", row["expected"]), before("kg/km", row["expected"])
    assert wire_type(key).breaking_load_n == pytest.approx(newtons, rel=percent(row))
    assert wire_type(key).weight_n_per_m / GRAVITY_M_PER_S2 * 1e3 == pytest.approx(kg_per_km, rel=percent(row))


def strands(row):
    share = m.wire_breaking_n(1e-3, 440e6, strand_share=float(row["expected"]) / 100) / m.wire_breaking_n(1e-3, 440e6)
    assert share == pytest.approx(0.90, abs=0.05)
    # a catalogued bundle of 24 strands of 0.2 mm soft copper at 220 MPa
    bundle = 24 * m.wire_breaking_n(0.2e-3, 220e6)
    assert wire_type("wire_pvc_stranded_0_75mm2").breaking_load_n / bundle == pytest.approx(float(row["expected"]) / 100, abs=0.05)


def tube(text):
    return m.Tube(outer_m=after("OD", text) / 1e3, wall_m=after("wall", text) / 1e3)


def deflection(row):
    text = row["conditions"]
    close(tube(text).tip_deflection_m(after("length", text), after("load", text)), row)


def root_stress(row):
    text = row["conditions"]
    close(tube(text).root_stress_pa(after("length", text), after("load", text)) / 1e6, row)


def wind_stress(row):
    text = row["conditions"]
    load = m.wind_drag_n(after("OD", text) / 1e3, 1.0, before("m/s", text))
    close(tube(text).root_stress_pa(before("m, ", text.split("mm,")[-1]), load_n_per_m=load) / 1e6, row)


def guy(row):
    pull, height, radius = numbers(row["conditions"])
    by = m.guy_tension_n if "tension" in row["quantity"] else m.guy_compression_n
    close(by(pull, height, radius), row, percent(row))


def thermal(row):
    text = row["conditions"]
    close(m.thermal_change_m(before("m,", text), before("K,", text), before("/K", text)) * 1e3, row)


CHECKS = {
    "mid-span sag, level supports": sag,
    "wire length minus span": slack,
    "wind pressure": pressure,
    "wind drag on cylinder": drag,
    "wire resultant load with wind": resultant,
    "ice load on wire": ice,
    "copper wire mass": mass,
    "hard-drawn copper breaking load (order)": breaking,
    "breaking load, standard table": breaking_table,
    "copper-clad steel breaking load / mass": clad_table,
    "stranded conductor strength rule": strands,
    "cantilever aluminium tube, end load: tip deflection": deflection,
    "cantilever aluminium tube, end load: root stress": root_stress,
    "cantilever tube in wind: root stress": wind_stress,
    "guy tension (single guy opposing horizontal pull)": guy,
    "mast compression added by guy": guy,
    "thermal length change of copper wire": thermal,
}


@pytest.mark.parametrize("row", rows("mechanics"))
def test_mechanics(row):
    CHECKS[row["quantity"]](row)
