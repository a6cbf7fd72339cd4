"""Own-wound or bought: one choice of the search, with price, loss and stress following. Laws are named beside each check."""

from dataclasses import replace
from pathlib import Path

import pytest

from optimizer.evaluate import place
from optimizer.families.catalogue import FAMILIES
from optimizer.parts.catalogue import part
from optimizer.parts.prices import bill, total
from optimizer.parts.trap import design_coax_trap
from optimizer.parts.winding import winding_of
from optimizer.physics.elements import Coil, Trap
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.probe import nearest
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parent / "lots" / "large.geojson")
WISHES = {
    "coils": read_wishes("40m 20m", SITE), "three": read_wishes("40m 20m 10m", SITE), "one": read_wishes("80m", SITE),
    "tuner": read_wishes("40m 20m", SITE, tuner="external"),
}
WISHES = {name: replace(wishes, parts="either") for name, wishes in WISHES.items()}  # fmt: skip
WOUND = {
    "end_fed_loaded_tail": "coils", "end_fed_two_coils": "three", "trap_dipole": "coils", "trap_dipole_two": "three", "coil_dipole": "one",
    "off_centre_dipole": "coils", "end_fed_random": "tuner", "end_fed_half_wave_drooped": "one", "dipole": "one", "vertical": "coils",
    "loop_upright": "coils",
}  # fmt: skip


def makes(key, *kinds):
    """The same values of a family, made in each way."""
    wishes = WISHES[WOUND[key]]
    found = nearest(FAMILIES[key], SITE, wishes)
    assert found is not None and found.design is not None, found
    return [place(SITE, wishes, FAMILIES[key], {**found.values, "make": kind}).design for kind in kinds]


@pytest.mark.parametrize("key", WOUND)
def test_bought_costs_its_list_price_and_stands_on_the_same_wires(key):
    own, bought = makes(key, "own", "bought")
    assert own.structure.wires == bought.structure.wires
    ready = [i for i in bought.bill if i.part.endswith("_bought")]
    assert ready and not [i for i in own.bill if i.part.endswith("_bought")]
    wound = ("ring_", "former_pipe", "wire_enamel", "capacitor_trap")
    bought_rows, own_rows = (bill(d.bill, "EUR") for d in (bought, own))
    assert not [r for r in bought_rows if r.part.startswith(wound)] and [r for r in own_rows if r.part.startswith(wound)]
    assert {r.part: r.quantity for r in bought_rows if r.part.endswith("_bought")} == {i.part: sum(j.quantity for j in ready if j.part == i.part) for i in ready}
    stock = tuple((i.part, 99.0) for i in ready)
    assert total(bill(bought.bill, "EUR", stock)) < total(own_rows) < total(bought_rows)


def test_values_and_tolerances_of_bought_parts_stand_on_the_bill():
    (own, bought), (trap_own, trap_bought) = makes("coil_dipole", "own", "bought"), makes("trap_dipole", "own", "bought")
    element = bought.loads[0].element
    assert element.inductance_h == own.loads[0].element.inductance_h and element.q == pytest.approx(0.7 * own.loads[0].element.q)
    assert any(f"{element.inductance_h * 1e6:.1f} microhenry, ± 5 % of inductance" in i.use for i in bought.bill if i.part == "coil_bought")
    assert any("± 1.5 % of resonance" in i.use for i in trap_bought.bill if i.part == "trap_bought")
    assert any("pF ± 5 %" in i.use for i in trap_own.bill if i.part == "capacitor_trap_6kv")


def test_coaxial_trap_takes_its_values_from_cable_and_former():
    coaxial, own = makes("trap_dipole", "coax", "own")
    element = coaxial.loads[0].element
    assert winding_of(element) == design_coax_trap(winding_of(own.loads[0].element).resonance_hz)
    assert not [i for i in coaxial.bill if i.part in ("capacitor_trap_6kv", "trap_bought")]
    assert element.inductance_h * element.capacitance_f == pytest.approx(own.loads[0].element.inductance_h * own.loads[0].element.capacitance_f)


def test_every_trap_of_cable_is_a_run_by_itself():
    """Line and two traps of the same cable: stock that is long enough for a trap each serves both."""
    coaxial = makes("trap_dipole", "coax")[0]
    runs = sorted(i.quantity for i in coaxial.bill if i.part == "cable_rg58")
    trap_m = design_coax_trap(winding_of(coaxial.loads[0].element).resonance_hz).cable_length_m + 0.2
    assert runs == pytest.approx([trap_m, trap_m, coaxial.feed.line_length_m], abs=0.01)
    rows = bill(coaxial.bill, "EUR", [("cable_rg58", 1.1 * trap_m)] * 2)
    assert [r.quantity for r in rows if r.part == "cable_rg58" and r.on_hand] == pytest.approx([2 * trap_m], abs=0.02)


def test_winding_of_tells_kinds_apart():
    assert winding_of(Coil(inductance_h=34e-6, q=200.0)).inductance_h == 34e-6
    assert winding_of(Trap(inductance_h=5e-6, capacitance_f=25e-12)).coil.inductance_h == 5e-6
    coaxial = design_coax_trap(7.1e6)
    assert winding_of(coaxial.element()).turns == pytest.approx(coaxial.turns)


@pytest.mark.parametrize("make", ["own", "bought"])
def test_every_family_with_something_wound_offers_the_choice(make):
    for key in WOUND:
        names = {p.name: p.choices for p in FAMILIES[key].parameters(SITE, WISHES[WOUND[key]])}
        assert make in names["make"], key
    assert "coax" in {p.name: p.choices for p in FAMILIES["trap_dipole"].parameters(SITE, WISHES["coils"])}["make"]
    doublet = FAMILIES["doublet"].parameters(SITE, WISHES["tuner"])
    assert "make" not in {p.name for p in doublet}, "nothing is wound there"


def test_ready_made_parts_are_offered_on_request_or_from_the_drawer():
    def offered(**changed):
        wishes = replace(WISHES["coils"], **changed)
        return next(p.choices for p in FAMILIES["dipole"].parameters(SITE, wishes) if p.name == "make")

    assert offered(parts="own") == ("own",) and offered(parts="bought") == ("bought",) and offered(parts="either") == ("own", "bought")
    assert offered(parts="own", on_hand=(("transformer_49_100w_bought", 1.0),)) == ("own", "bought")
    assert offered(parts="own", prices=(("choke_ft240_31_12t_bought", 9.0, "EUR"),)) == ("own", "bought")
    assert offered(parts="own", on_hand=(("cable_rg58", 20.0),)) == ("own",)


def test_with_bought_parts_nothing_is_left_to_wind():
    found = nearest(FAMILIES["end_fed_loaded_tail"], SITE, replace(WISHES["coils"], parts="bought"))
    assert found.design is not None and found.values["make"] == "bought"
    assert not [r for r in bill(found.design.bill, "EUR") if r.part.startswith(("ring_", "former_pipe", "wire_enamel"))]


def test_what_is_in_the_drawer_is_taken():
    """A ready-made transformer and choke in stock cost nothing: at the same place and the same figures the cheaper way scores more."""
    wishes = WISHES["one"]
    own, bought = makes("end_fed_half_wave_drooped", "own", "bought")
    keys = [i.part for i in bought.bill if i.part.endswith("_bought")]
    drawer = replace(wishes, on_hand=tuple((k, 1.0) for k in keys))
    costs = [place(SITE, drawer, FAMILIES["end_fed_half_wave_drooped"], d.values).cost for d in (own, bought)]
    assert costs[1] < costs[0] and all(part(k).prices for k in keys)
