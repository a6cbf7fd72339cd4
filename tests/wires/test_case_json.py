"""Wire cases as JSON: the contract's form in and out, and nothing but InputError for anything else."""

import copy
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from test_checks import GOOD, fields

from optimizer.errors import InputError
from optimizer.physics.elements import Coil, FixedImpedance, Trap
from optimizer.wires.case_dict import case_to_dict
from optimizer.wires.case_json import parse_case, read_case

FULL = copy.deepcopy(GOOD) | {
    "loads": [
        {"wire": "main", "at_m": 8.3, "kind": "coil", "inductance_h": 22e-6, "q": 180, "stray_f": 1.6e-12},
        {"wire": "main", "at_m": 6.0, "kind": "coil", "inductance_h": 1e-6},
        {"wire": "main", "at_m": 1.0, "kind": "trap", "inductance_h": 1e-6, "capacitance_f": 1e-10, "q": 150},
        {"wire": "return", "at_m": 1.0, "kind": "impedance", "ohm": [5.0, -20.0]},
    ],
    "ask": {"gain_at": [{"elevation_deg": 15, "bearing_deg": 90}], "fields_at_m": [[0, 2, 1.8]], "power_w": 100},
}


def test_everything_in_the_contract_is_read():
    case = parse_case(copy.deepcopy(FULL))
    assert case.frequencies_mhz == (7.05, 7.1)
    assert case.ground.soil.conductivity_s_per_m == 0.005
    assert [w.role for w in case.wires] == ["counterpoise", "radiator"]
    assert case.wires[0].conductivity_s_per_m is None and case.wires[1].coating.thickness_m == 0.0004
    assert [v.element for v in case.loads] == [
        Coil(inductance_h=22e-6, q=180, stray_f=1.6e-12), Coil(inductance_h=1e-6), Trap(inductance_h=1e-6, capacitance_f=1e-10, q=150),
        FixedImpedance(ohm=5 - 20j),
    ]
    assert case.ask.gain_at == ((15, 90),) and case.ask.fields_at_m == ((0, 2, 1.8),) and case.ask.power_w == 100


@pytest.mark.parametrize("ground", [{"kind": "none"}, {"kind": "perfect"}, GOOD["ground"]], ids=lambda g: g["kind"])
@pytest.mark.parametrize("data", [GOOD, FULL], ids=["short", "full"])
def test_round_trip(data, ground):
    case = parse_case(copy.deepcopy(data) | {"ground": ground})
    text = json.dumps(case_to_dict(case), allow_nan=False)
    assert parse_case(json.loads(text)) == case


def changed(path, value):
    data = copy.deepcopy(FULL)
    *way, last = path
    here = data
    for step in way:
        here = here[step]
    if value is Ellipsis:
        del here[last]
    else:
        here[last] = value
    return data


def fault_fields(data):
    with pytest.raises(InputError) as caught:
        parse_case(data)
    return [f.field for f in caught.value.faults]


@pytest.mark.parametrize("path, value, field", [
    (["frequencies_mhz", 0], float("nan"), "frequencies_mhz[0]"),
    (["frequencies_mhz", 0], float("inf"), "frequencies_mhz[0]"),
    (["frequencies_mhz", 0], "7.05", "frequencies_mhz[0]"),
    (["frequencies_mhz", 0], True, "frequencies_mhz[0]"),
    (["frequencies_mhz"], 7.05, "frequencies_mhz"),
    (["frequencies_mhz"], ..., "frequencies_mhz"),
    (["colour"], "green", "colour"),
    (["ground", "kind"], "swamp", "ground"),
    (["ground", "relative_permittivity"], 0.5, "ground.relative_permittivity"),
    (["ground", "conductivity_s_per_m"], -1, "ground.conductivity_s_per_m"),
    (["ground", "conductivity_s_per_m"], ..., "ground.conductivity_s_per_m"),
    (["ground"], ..., "ground"),
    (["wires", 0, "points_m", 1, 2], None, "wires[0].points_m[1][2]"),
    (["wires", 0, "points_m", 1], [0, 0], "wires[0].points_m[1]"),
    (["wires", 0, "points_m"], [[0, 0, 1]], "wires[0].points_m"),
    (["wires", 0, "radius_m"], 0, "wires[0].radius_m"),
    (["wires", 0, "radius_mm"], 1, "wires[0].radius_mm"),
    (["wires", 0, "role"], "kite", "wires[0].role"),
    (["wires", 0, "name"], 7, "wires[0].name"),
    (["wires", 1, "coating", "relative_permittivity"], 0.3, "wires[1].coating.relative_permittivity"),
    (["wires"], [], "wires"),
    (["wires"], {}, "wires"),
    (["ports"], [], "ports"),
    (["ports", 0, "at_m"], float("nan"), "ports[0].at_m"),
    (["ports", 0, "at_m"], [], "ports[0].at_m"),
    (["loads", 0, "kind"], "spring", "loads[0]"),
    (["loads", 0, "inductance_h"], -1e-6, "loads[0].inductance_h"),
    (["loads", 0, "capacitance_f"], 1e-12, "loads[0].capacitance_f"),
    (["loads", 3, "ohm"], [1.0], "loads[3].ohm"),
    (["ask", "power_w"], 0, "ask.power_w"),
    (["ask", "gain_at", 0, "elevation_deg"], 91, "ask.gain_at[0].elevation_deg"),
])
def test_wrong_types_and_values_name_their_field(path, value, field):
    assert fault_fields(changed(path, value)) == [field]


def test_all_at_once():
    data = copy.deepcopy(FULL)
    data["frequencies_mhz"][0] = "x"
    data["wires"][1]["radius_m"] = -1
    data["colour"] = 1
    del data["ports"][0]["at_m"]
    assert set(fault_fields(data)) == {"frequencies_mhz[0]", "wires[1].radius_m", "colour", "ports[0].at_m"}


def test_geometry_is_told_beside_wrong_types():
    """Numbered as the user wrote them, though what is malformed is left out."""
    data = copy.deepcopy(FULL)
    data["frequencies_mhz"] = ["x", 7100000.0]
    data["ports"] = [{"name": "a", "wire": "main"}, {"name": "b", "wire": "main", "at_m": 1000.0}]
    data["wires"][0]["points_m"][0][2] = -1.0
    data["colour"] = 1
    assert {"frequencies_mhz[0]", "frequencies_mhz[1]", "ports[0].at_m", "ports[1].at_m", "wires[0].points_m[0]", "colour"} == set(fault_fields(data))


def test_faults_are_told_in_words_of_a_case():
    with pytest.raises(InputError) as caught:
        parse_case(FULL | {"colour": 1, "wires": []})
    text = str(caught.value)
    assert "no such field" in text and not any(word in text for word in ("validation", "instance of", "permitted"))


def test_a_case_far_too_long_is_one_fault():
    assert fault_fields(FULL | {"wires": [FULL["wires"][0] | {"name": f"w{n}"} for n in range(501)]}) == ["wires", "ports[0].wire", *(f"loads[{n}].wire" for n in range(len(FULL["loads"])))]


WRONG = [None, -1, 0, "x", [], {}, [[]], True, 1e300, float("nan"), [1, 2, 3], {"kind": "soil"}, "main", 1e-9]


def _ways(thing, way=()):
    """Every place in a document."""
    items = thing.items() if isinstance(thing, dict) else enumerate(thing) if isinstance(thing, list) else ()
    for key, inner in items:
        yield (*way, key)
        yield from _ways(inner, (*way, key))


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(sorted(_ways(FULL), key=str)), st.sampled_from(WRONG)), min_size=1, max_size=3))
def test_whatever_is_wrong_is_told_as_faults(changes):
    """Longest ways first, so that all can still be gone."""
    data = copy.deepcopy(FULL)
    for way, value in sorted(changes, key=lambda c: -len(c[0])):
        here = data
        for step in way[:-1]:
            here = here[step]
        here[way[-1]] = copy.deepcopy(value)
    try:
        parse_case(data)
    except InputError as bad:
        assert bad.faults and all(f.field for f in bad.faults)


@pytest.mark.parametrize("data", [None, 1, "case", [], [[]], True])
def test_not_an_object(data):
    assert fault_fields(data) == ["case"]


@pytest.mark.parametrize("content", [
    b"", b"{", b"{]", b"\xff\xfe{}", b"{\"frequencies_mhz\": [7]} x", b"[" * 200_000, b"{\"a\":" * 200_000, b"nul", b"\xc3\x28",
    b"1" * 10_000,
])
def test_broken_files(tmp_path, content):
    path = tmp_path / "case.json"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_case(path)
    assert caught.value.faults[0].source == str(path)


def test_missing_file_and_folder(tmp_path):
    for path in (tmp_path / "none.json", tmp_path):
        with pytest.raises(InputError) as caught:
            read_case(path)
        assert [f.field for f in caught.value.faults] == ["file"]


def test_reading_a_good_file(tmp_path):
    path = tmp_path / "case.json"
    path.write_text(json.dumps(FULL), encoding="utf-8")
    assert read_case(path) == parse_case(copy.deepcopy(FULL))


def test_not_a_number_in_a_file(tmp_path):
    path = tmp_path / "case.json"
    path.write_text(json.dumps(changed(["wires", 0, "radius_m"], float("nan"))), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_case(path)
    assert [f.field for f in caught.value.faults] == ["wires[0].radius_m"]


ANY = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**30), 10**30) | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5) | st.sampled_from(list(FULL)), inner, max_size=4),
    max_leaves=12,
)


def places(data, at=()):
    """Every path into the full case."""
    yield at
    steps = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, inner in steps:
        yield from places(inner, (*at, key))


@settings(max_examples=250, deadline=None, suppress_health_check=list(HealthCheck))
@given(ANY)
def test_fuzz_whole(data):
    with pytest.raises(InputError):
        parse_case(data)


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(st.sampled_from([p for p in places(FULL) if p]), ANY), min_size=1, max_size=3))
def test_fuzz_parts(changes):
    """Sound parts swapped for anything: a case or an InputError with named fields, nothing else."""
    data = copy.deepcopy(FULL)
    for path, value in changes:
        here = data
        try:
            for step in path[:-1]:
                here = here[step]
            here[path[-1]] = value
        except (TypeError, KeyError, IndexError):
            continue  # an earlier change has taken the place away
    try:
        parse_case(data)
    except InputError as bad:
        assert bad.faults and all(f.field for f in bad.faults)


@settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.lists(st.tuples(*[st.floats(-1e6, 1e6) | st.sampled_from([0.0, 1.0, 2.5, 0.02])] * 3), min_size=2, max_size=5),
                min_size=1, max_size=4), st.sampled_from(["none", "perfect", "soil"]), st.floats(-1, 20))
def test_fuzz_geometry(lines, kind, at):
    data = {
        "frequencies_mhz": [7.1], "ground": GOOD["ground"] if kind == "soil" else {"kind": kind},
        "wires": [{"name": str(n), "points_m": [list(p) for p in line], "radius_m": 0.001} for n, line in enumerate(lines)],
        "ports": [{"name": "p", "wire": "0", "at_m": at}],
    }
    try:
        parse_case(data)
    except InputError as bad:
        assert bad.faults


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.binary(max_size=60))
def test_fuzz_bytes(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("fuzz") / "case.json"
    path.write_bytes(content)
    with pytest.raises(InputError):
        read_case(path)


def test_fields_helper_sees_every_fault():
    assert fields(frequencies_mhz=[0.0, -1.0]) == ["frequencies_mhz[0]", "frequencies_mhz[1]"]
