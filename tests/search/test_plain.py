"""Records as plain data and back: equal again, through JSON text, and nothing but this package's records comes out."""

import json
import math
import sys

import pytest

from optimizer.network.endure import Stands
from optimizer.physics.elements import Coil, FixedImpedance, Trap
from optimizer.search.plain import packed, unpacked
from optimizer.wires.model import Load, Wire

LOADS = (
    Load(wire="main", at_m=3.0, element=Coil(inductance_h=2e-5, q=180.0)),
    Load(wire="main", at_m=8.0, element=Trap(inductance_h=1e-6, capacitance_f=1e-10, q=None)),
)
THINGS = [
    LOADS,
    Wire(name="w", points_m=((0.0, 0.0, 3.0), (1.0, 2.0, 4.5)), radius_m=1e-3),
    Stands(heat_w=math.inf, peak_w=12.5),
    FixedImpedance(ohm=50 - 3j),
    {"a": (1, 2.5, None, "x", True), "b": {"c": ()}},
]


@pytest.mark.parametrize("thing", THINGS, ids=lambda t: type(t).__name__)
def test_there_and_back(thing):
    assert unpacked(json.loads(json.dumps(packed(thing)))) == thing


def test_a_field_that_is_new_since_takes_its_default():
    old = packed(THINGS[1])
    del old["role"], old["coating"]
    assert unpacked(old) == THINGS[1]


@pytest.mark.parametrize("name", ["os.system", "search.plain.import_module", "search.plain.json", "evaluate.nothing", "..os.path.Path", ""])
def test_names_that_are_no_record_of_ours_bring_nothing_in(name):
    before = set(sys.modules)
    with pytest.raises(ValueError, match="no record"):
        unpacked({"": name, "x": 1})
    assert not {m for m in set(sys.modules) - before if not m.startswith("optimizer")}
