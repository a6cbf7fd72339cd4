"""Wrong wire cases: one message with every fault, each naming the field as the user wrote it."""

import copy
import math

import pytest

from optimizer.errors import InputError
from optimizer.wires.case_json import parse_case

GOOD = {
    "frequencies_mhz": [7.05, 7.1],
    "ground": {"kind": "soil", "relative_permittivity": 13, "conductivity_s_per_m": 0.005},
    "wires": [
        {"name": "return", "points_m": [[-1.2, 0, 2.6], [0, 0, 2.6]], "radius_m": 0.0006, "role": "counterpoise"},
        {"name": "main", "points_m": [[0, 0, 2.6], [6, 2, 7], [11, 5, 3.2]], "radius_m": 0.0006, "conductivity_s_per_m": 5.8e7,
         "coating": {"thickness_m": 0.0004, "relative_permittivity": 2.3}},
    ],
    "ports": [{"name": "feed", "wire": "main", "at_m": 0.0}],
    "loads": [{"wire": "main", "at_m": 8.3, "kind": "coil", "inductance_h": 22e-6, "q": 180, "stray_f": 1.6e-12}],
}


def faults(**changes):
    """The faults of GOOD with whole fields replaced."""
    case = copy.deepcopy(GOOD) | changes
    with pytest.raises(InputError) as caught:
        parse_case(case, "garden.json")
    assert caught.value.exit_status == 2
    assert all(f.source == "garden.json" and f.allowed for f in caught.value.faults)
    return caught.value.faults


def fields(**changes):
    return [f.field for f in faults(**changes)]


def wire(name, *points, radius=0.001):
    return {"name": name, "points_m": [list(p) for p in points], "radius_m": radius}


def port(on, at, name="feed"):
    return {"name": name, "wire": on, "at_m": at}


PLAIN = wire("main", (0, 0, 5), (10, 0, 5))
MID = {"ports": [port("main", 5.0)], "loads": []}
PERFECT = {"kind": "perfect"}


def test_good_case_is_good():
    assert parse_case(copy.deepcopy(GOOD)).wires[1].length_m == pytest.approx(math.sqrt(36 + 4 + 4.4**2) + math.sqrt(25 + 9 + 3.8**2))


@pytest.mark.parametrize("z, words", [(-0.5, "below"), (0.0, "touches"), (0.01, "0.02")])
def test_height_above_soil(z, words):
    found = faults(wires=[wire("main", (0, 0, 5), (10, 0, z))], **MID)
    assert [f.field for f in found] == ["wires[0].points_m[1]"]
    assert words in str(found[0])


def test_two_centimetres_are_enough():
    parse_case(GOOD | {"wires": [wire("main", (0, 0, 0.02), (10, 0, 0.02))]} | MID)


def test_below_perfect_ground_and_in_it():
    assert fields(wires=[wire("main", (0, 0, 5), (10, 0, -1))], ground=PERFECT, **MID) == ["wires[0].points_m[1]"]
    assert fields(wires=[wire("main", (0, 0, 5), (5, 0, 0), (10, 0, 0))], ground=PERFECT, **MID) == ["wires[0].points_m[1..2]"]


def test_any_height_in_free_space():
    parse_case(GOOD | {"ground": {"kind": "none"}, "wires": [wire("main", (0, 0, -5), (10, 0, 0))]} | MID)


def test_standing_on_perfect_ground_may_be_fed_there():
    stand = {"ground": PERFECT, "wires": [wire("v", (0, 0, 0), (0, 0, 10))], "ports": [port("v", 0.0)], "loads": []}
    parse_case(GOOD | stand)
    assert fields(**stand | {"ports": [port("v", 10.0)]}) == ["ports[0].at_m"]


@pytest.mark.parametrize("other", [
    wire("other", (5, -3, 5), (5, 3, 5)),  # crosses
    wire("other", (5, 0, 5), (5, 3, 5)),  # touches with its end, no vertex there
    wire("other", (4, -3, 5.0015), (6, 3, 5.0015)),  # passes within the radii
    wire("other", (-2, 0, 5), (2, 0, 5)),  # lies along it
])
def test_crossing_wires_not_joined(other):
    found = faults(wires=[PLAIN, other], **MID)
    assert [f.field for f in found] == ["wires[0].points_m[0..1]"]
    assert "wires[1].points_m[0..1]" in str(found[0])


def test_a_wire_that_crosses_itself():
    assert "wires[0].points_m[0..1]" in fields(wires=[wire("main", (0, 0, 5), (10, 0, 5), (10, 5, 5), (5, -5, 5))], **MID)


def test_wires_joined_or_apart_are_sound():
    parse_case(GOOD | {"wires": [wire("main", (0, 0, 5), (5, 0, 5), (10, 0, 5)), wire("o", (5, 0, 5), (5, 3, 5))]} | MID)
    parse_case(GOOD | {"wires": [PLAIN, wire("o", (5, -3, 5.01), (5, 3, 5.01))]} | MID)
    parse_case(GOOD | {"wires": [PLAIN, wire("o", (10.0005, 0, 5), (10, 3, 5))]} | MID)  # joined within a millimetre


def test_joined_wires_that_lie_on_each_other():
    assert fields(wires=[PLAIN, wire("o", (0, 0, 5), (7, 0.001, 5))], **MID) == ["wires[0].points_m[0..1]"]


def test_doubled_wire():
    assert fields(wires=[PLAIN, wire("o", (0, 0, 5), (10, 0, 5))], **MID) == ["wires[0].points_m[0..1]"]


def test_fold():
    assert "wires[0].points_m[1]" in fields(wires=[wire("main", (0, 0, 5), (10, 0, 5), (2, 0.05, 5))], **MID)


@pytest.mark.parametrize("points", [((0, 0, 5), (0.0005, 0, 5), (10, 0, 5)), ((0, 0, 5), (0, 0, 5), (10, 0, 5))])
def test_piece_shorter_than_the_radius(points):
    assert fields(wires=[wire("main", *points)], **MID) == ["wires[0].points_m[0..1]"]


def test_thick_wire():
    assert fields(wires=[wire("main", (0, 0, 5), (10, 0, 5), radius=2.0)], **MID) == ["wires[0].radius_m"]


def test_ports_and_loads_out_of_place():
    found = faults(
        wires=[PLAIN],
        ports=[port("nowhere", 1.0, "a"), port("main", 10.5, "b"), port("main", 0.0, "c"), port("main", -1.0, "d"), port("main", 10.0, "e")],
        loads=[{"wire": "gone", "at_m": 1.0, "kind": "impedance", "ohm": [5.0, -20.0]},
               {"wire": "main", "at_m": 0.0, "kind": "impedance", "ohm": [5.0, -20.0]}],
    )
    assert [f.field for f in found] == [
        "ports[0].wire", "ports[1].at_m", "ports[2].at_m", "ports[3].at_m", "ports[4].at_m", "loads[0].wire", "loads[1].at_m"
    ]
    assert "main" in found[0].hint and "10" in found[1].allowed


@pytest.mark.parametrize("bad", [0.0, -7.1, 1e-9, 7.1e6])
def test_frequency(bad):
    assert fields(frequencies_mhz=[7.1, bad])[0] == "frequencies_mhz[1]"


def test_no_frequency():
    assert fields(frequencies_mhz=[]) == ["frequencies_mhz"]


def test_duplicated_names():
    assert fields(
        wires=[PLAIN, wire("main", (0, 3, 5), (10, 3, 5))], ports=[port("main", 5.0), port("main", 2.0)], loads=[]
    ) == ["wires[1].name", "ports[1].name"]


def test_all_faults_of_different_kinds_at_once():
    found = fields(
        frequencies_mhz=[0.0, 7.1],
        wires=[wire("main", (0, 0, 5), (10, 0, -1)), wire("main", (0, 3, 5), (0, 3, 5), (1, 3, 5)), wire("low", (0, 9, 0), (5, 9, 1))],
        ports=[port("main", 5.0), port("main", 2.0)], loads=[],
    )
    assert {"frequencies_mhz[0]", "wires[1].name", "ports[1].name", "wires[0].points_m[1]", "wires[1].points_m[0..1]",
            "wires[2].points_m[0]"} <= set(found)


def test_message_names_file_field_value_and_what_is_allowed():
    text = str(faults(frequencies_mhz=[0.0])[0])
    assert text.startswith("garden.json: frequencies_mhz[0]: got 0.0, need ")


def test_no_power_out_of_a_load():
    assert fields(loads=[{"kind": "impedance", "wire": "main", "at_m": 1.0, "ohm": [-5.0, 1.0]}]) == ["loads[0].ohm"]


def test_field_points_are_in_air():
    points = [[0, 2, 1.8], [0, 2, -0.1], [-0.6, 0.0, 2.6003]]
    assert fields(ask={"fields_at_m": points}) == ["ask.fields_at_m[1]", "ask.fields_at_m[2]"]


def test_a_conductor_better_than_any():
    assert fields(wires=[GOOD["wires"][0] | {"conductivity_s_per_m": 1e30}, GOOD["wires"][1]]) == ["wires[0].conductivity_s_per_m"]


def test_more_wire_than_can_be_solved():
    assert fields(frequencies_mhz=[7.1, 2900.0], ports=[{"name": "feed", "wire": "main", "at_m": 0.0}]) == ["wires"]


# --- within a millimetre ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("at", [0.0005, 0.001, 9.999, 9.9992])
@pytest.mark.parametrize("kind", ["ports", "loads"])
def test_next_to_a_free_end_is_at_it(at, kind):
    load = {"wire": "main", "at_m": at, "kind": "impedance", "ohm": [50.0, 0.0]}
    found = faults(wires=[PLAIN], **MID | {kind: [port("main", at) if kind == "ports" else load]})
    assert [f.field for f in found] == [f"{kind}[0].at_m"]
    assert "nothing is joined" in found[0].hint


def test_a_port_a_centimetre_from_a_free_end_is_sound():
    parse_case(GOOD | {"wires": [PLAIN], "loads": [], "ports": [port("main", 0.01)]})


@pytest.mark.parametrize("at", [5.0, 5.0006, 5.001])
def test_two_ports_at_one_place(at):
    """Both carry one current: with one of them open there is none, so no impedance."""
    found = faults(wires=[PLAIN], loads=[], ports=[port("main", 5.0, "a"), port("main", at, "b")])
    assert [f.field for f in found] == ["ports[1].at_m"]
    assert "'a'" in found[0].hint


@pytest.mark.parametrize("ports", [
    [port("a", 10.0, "p"), port("b", 0.0, "q")],  # on both sides of a joint of two
    [port("bent", 3.0, "p"), port("bent", 3.0005, "q")],  # on both sides of a bend
    [port("x", 0.0, "p"), port("y", 0.0, "q"), port("z", 0.0, "r")],  # in every wire of a joint of three
])
def test_ports_that_settle_each_others_current(ports):
    wires = [
        wire("a", (0, 0, 5), (10, 0, 5)), wire("b", (10, 0, 5), (20, 0, 5)), wire("bent", (0, 9, 5), (3, 9, 5), (3, 12, 5)),
        wire("x", (0, 20, 5), (5, 20, 5)), wire("y", (0, 20, 5), (0, 25, 5)), wire("z", (0, 20, 5), (-5, 20, 5)),
    ]
    assert fields(wires=wires, loads=[], ports=ports) == [f"ports[{len(ports) - 1}].at_m"]
    parse_case(GOOD | {"wires": wires, "loads": [], "ports": ports[:-1]})


def test_ports_in_both_wires_from_a_point_of_perfect_ground_are_sound():
    wires = [wire("a", (0, 0, 0), (0, 2, 5)), wire("b", (0, 0, 0), (0, -2, 5))]
    parse_case(GOOD | {"ground": PERFECT, "wires": wires, "loads": [], "ports": [port("a", 0.0, "p"), port("b", 0.0, "q")]})


@pytest.mark.parametrize("half_m", [0.0004, 0.00049])
def test_a_feed_wire_that_would_be_joined_to_itself(half_m):
    wires = [wire("l", (-5, 0, 8), (-half_m, 0, 8), radius=1e-4), wire("f", (-half_m, 0, 8), (half_m, 0, 8), radius=1e-4)]
    found = faults(wires=wires, loads=[], ports=[port("f", half_m)])
    assert [f.field for f in found] == ["wires[1].points_m[0..1]"]
    assert "joined" in found[0].allowed
