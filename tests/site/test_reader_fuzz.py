"""Whatever a file holds, the reader gives a site or an InputError that names the file: nothing else gets out."""

import copy
import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from optimizer.errors import InputError
from optimizer.site.model import Site
from optimizer.site.read import read_site

SITES = Path(__file__).parents[2] / "sites"
LOTS = [json.loads(p.read_text()) for p in sorted(SITES.glob("*.geojson"))]
YARD = (SITES / "workshop_yard.toml").read_text()

scalars = (
    st.none()
    | st.booleans()
    | st.integers(-(10**20), 10**20)
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(
        ["lot", "Point", "Polygon", "Feature", "average", "power", 0, -1, 1e308, [], {}, [[]], [[[]]], [0, 0]]
    )
)
values = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=12,
)
FUZZ = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def outcome(path):
    try:
        site = read_site(path)
    except InputError as error:
        assert error.faults and all(f.source == str(path) and f.field and f.allowed for f in error.faults)
        str(error).encode("utf-8", "replace")
        return None
    assert isinstance(site, Site) and site.usable.area > 0
    return site


def places(node, path=()):
    """Every place in a document."""
    yield path
    items = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, child in items:
        yield from places(child, (*path, key))


def put(document, path, value, how):
    if not path:
        return value
    document = copy.deepcopy(document)
    node = document
    for key in path[:-1]:
        node = node[key]
    if how == "drop":
        del node[path[-1]]
    elif how == "twice" and isinstance(node, list):
        node.append(node[path[-1]])
    else:
        node[path[-1]] = value
    return document


@FUZZ
@given(data=st.data())
def test_a_good_map_with_places_spoilt(data, tmp_path):
    document = data.draw(st.sampled_from(LOTS))
    for _ in range(data.draw(st.integers(1, 3))):
        path = data.draw(st.sampled_from(list(places(document)) if isinstance(document, (dict, list)) else [()]))
        document = put(document, path, data.draw(values), data.draw(st.sampled_from(["set", "set", "drop", "twice"])))
    (tmp_path / "x.geojson").write_text(json.dumps(document))
    outcome(tmp_path / "x.geojson")


@FUZZ
@given(value=values)
def test_any_json(value, tmp_path):
    (tmp_path / "x.geojson").write_text(json.dumps(value))
    outcome(tmp_path / "x.geojson")


@FUZZ
@given(raw=st.binary(max_size=60), at=st.integers(0, 4000), cut=st.integers(0, 40))
def test_a_map_with_bytes_spoilt(raw, at, cut, tmp_path):
    good = (SITES / "terrace.geojson").read_bytes()
    (tmp_path / "x.geojson").write_bytes(good[:at] + raw + good[at + cut :])
    outcome(tmp_path / "x.geojson")


words = st.sampled_from(
    [
        '"a"',
        "0",
        "-5",
        "1e300",
        "nan",
        "inf",
        "true",
        "[]",
        "{}",
        '"se"',
        '"right"',
        "1979-05-27",
        '""',
        "[0, 0]",
        "99999",
    ]
)


@settings(FUZZ, max_examples=60)
@given(data=st.data())
def test_a_tape_survey_with_lines_spoilt(data, tmp_path):
    lines = YARD.splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        i = data.draw(st.integers(0, len(lines) - 1))
        how = data.draw(st.sampled_from(["value", "value", "drop", "twice", "text"]))
        key = lines[i].partition("=")[0]
        new = {
            "value": [f"{key}= {data.draw(words)}"],
            "drop": [],
            "twice": [lines[i], lines[i]],
            "text": [data.draw(st.text(max_size=12))],
        }
        lines[i : i + 1] = new[how]
        lines = lines or [""]
    (tmp_path / "x.toml").write_bytes("\n".join(lines).encode("utf-8", "surrogatepass"))
    outcome(tmp_path / "x.toml")


@pytest.mark.parametrize("path", sorted(SITES.iterdir()), ids=lambda p: p.name)
def test_the_demo_sites_read_without_a_fault(path):
    site = outcome(path)
    assert site is not None and site.stem == path.stem and site.radio is not None
