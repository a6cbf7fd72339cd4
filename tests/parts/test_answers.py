"""One conformance test for every electrical part: impedance, loss, stress, cost and build sheet (issue: parts, circuit, cost)."""

import math
import re

import numpy as np
import pytest

from optimizer.families.design import BillItem
from optimizer.network.line import LineRun, line_type
from optimizer.network.transformer import transformer
from optimizer.network.tuner import TunedLoad, tuner
from optimizer.parts.catalogue import keys, part
from optimizer.parts.choke import choke
from optimizer.parts.coil import design_coil
from optimizer.parts.conductors import WireRun
from optimizer.parts.prices import bill, total
from optimizer.parts.ready_made import coil_bought, trap_bought
from optimizer.parts.trap import design_coax_trap, design_trap

FREQ_HZ = np.array([1.9e6, 3.65e6, 7.1e6, 14.15e6, 21.2e6, 28.5e6])
PARTS = {
    "coil": design_coil(34e-6, 7.1e6),
    "coil, measured": design_coil(34e-6, 7.1e6).measured_as(33e-6),
    "trap": design_trap(7.1e6, capacitance_f=60e-12),
    "coax trap": design_coax_trap(7.1e6),
    "coil, bought": coil_bought(design_coil(34e-6, 7.1e6)),
    "trap, bought": trap_bought(design_trap(7.1e6, capacitance_f=60e-12)),
    **{key: transformer(key) for key in keys("transformer_")},
    **{key: choke(key) for key in keys("choke_")},
    **{key: LineRun(kind=line_type(key), length_m=15.0) for key in keys("cable_")},
    **{key: WireRun(key=key, length_m=10.0) for key in keys("wire_")},
    **{key: TunedLoad(tuner=tuner(key), load_ohm=100 + 30j) for key in keys("tuner_")},
}


@pytest.mark.parametrize("each", PARTS.values(), ids=PARTS.keys())
def test_part_answers(each):
    z = each.impedance_ohm(FREQ_HZ)
    assert z.shape == FREQ_HZ.shape and np.isfinite(z).all()
    assert (z.real > 0).all(), "passive: resistance above zero on every band"
    assert complex(each.impedance_ohm(7.1e6)) == pytest.approx(z[2], rel=1e-9), "a number in, a number out"

    small, large = (each.stress(amps, freq_hz=7.1e6) for amps in (0.001, 0.002))
    assert large.voltage_v == pytest.approx(2 * small.voltage_v) and small.voltage_v > 0
    assert large.dissipation_w == pytest.approx(4 * small.dissipation_w) and small.dissipation_w > 0
    half = each.stress(0.002, freq_hz=7.1e6, duty=0.5)
    assert half.dissipation_w == pytest.approx(large.dissipation_w / 2) and half.voltage_v == pytest.approx(large.voltage_v)
    assert small.stands and small.warming_k > 0 and not small.weakest
    broken = each.stress(100.0, freq_hz=7.1e6)
    assert not broken.stands and broken.weakest, "a hundred amperes break everything here"

    priced = bill(tuple(BillItem(part=k, quantity=q, use="test") for k, q in each.bill), "EUR")
    assert total(priced) > 0 or each.bill == (("tuner_in_radio", 1.0),)

    lines = each.sheet()
    assert bool(lines) != each.bill[0][0].startswith("tuner_"), "what is made has a sheet, what is bought says what to check"
    assert not lines or re.search(r"± ?\d|± a", " ".join(lines)), "a sheet gives tolerances"
    assert not re.search(r"\b(nan|inf)\b", " ".join(lines))


@pytest.mark.parametrize("key", [k for k in keys("transformer_") if "_1_" not in k])
def test_transformer_ratio_is_by_its_name(key):
    """The turns give the ratio in the part's name; 6:15 turns are 6.25 and sold as 6."""
    assert transformer(key).ratio == pytest.approx(int(key.split("_")[1]), rel=0.05)
    assert part(key.removesuffix("_bought")).pieces


def test_heat_law_of_a_ring():
    """Handworked: one watt on 100 cm2 of surface is 10 mW/cm2, 10^0.833 = 6.81 K (core makers' rule)."""
    from optimizer.parts.ferrite import Ring
    from optimizer.parts.ring_transformer import warming_k

    flat = Ring(outer_m=0.06, inner_m=0.04, height_m=0.0, material="43")
    area_cm2 = math.pi / 2 * (6.0**2 - 4.0**2)
    assert warming_k(flat, area_cm2 * 10e-3) == pytest.approx(6.81, abs=0.01)
