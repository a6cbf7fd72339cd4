"""The map reader: forms, defaults, and every fault with its field. RFC 7946 and the project's contract are the
sources."""

import json
import math

import pytest
from plain_lots import box, document, feature

from optimizer.errors import InputError
from optimizer.site.read import read_site


@pytest.fixture
def read(tmp_path):
    def run(content, name="plot.geojson"):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else json.dumps(content).encode())
        return read_site(path)

    return run


def faults(read, content):
    with pytest.raises(InputError) as caught:
        read(content)
    assert caught.value.exit_status == 2
    assert all(f.source.endswith("plot.geojson") for f in caught.value.faults)
    return {f.field: f for f in caught.value.faults}


def at(lon, lat):
    return [lon, lat]


INSIDE = (-0.1195, 51.5005)


def test_defaults_are_the_contracts(read):
    site = read(
        document(
            feature("building", "Polygon", box(-0.1198, 51.5002, -0.1196, 51.5003), height_m=6),
            feature("keep_out", "Polygon", box(-0.1198, 51.5006, -0.1196, 51.5007)),
            feature("overhead_line", "LineString", [[-0.121, 51.5], [-0.121, 51.501]], height_m=7),
            feature("people", "Polygon", box(-0.1185, 51.5, -0.118, 51.501)),
            feature("tree", "Point", at(*INSIDE), height_m=7, crown_radius_m=2),
            feature("radio", "Point", at(*INSIDE), height_m=0),
        )
    )
    assert (site.setback_m, site.wind_m_per_s, site.country, site.stem) == (0.0, 25.0, None, "plot")
    assert (site.soil.relative_permittivity, site.soil.conductivity_s_per_m) == (13.0, 0.005)
    assert (site.buildings[0].clearance_m, site.buildings[0].occupied) == (1.0, True)
    assert (site.overhead_lines[0].kind, site.overhead_lines[0].clearance_m) == ("power", 3.0)
    assert (site.keep_outs[0].from_m, site.keep_outs[0].to_m) == (None, None)
    assert site.people[0].height_m == 2.0 and site.trees[0].holds_wire_at_m is None
    assert site.warnings == ()


def test_x_is_east_and_y_is_north(read):
    post = feature("support", "Point", at(-0.1191, 51.5008), height_m=4, kind="post")
    mast = feature("radio", "Point", at(-0.1199, 51.5001), height_m=2)
    site = read(document(post, mast))
    (px, py), (rx, ry) = site.supports[0].at_m, site.radio.at_m
    assert px > 0 > rx and py > 0 > ry


def test_clockwise_rings_holes_heights_and_foreign_members_are_taken(read):
    doc = document(wind_m_per_s=30)
    ring = doc["features"][0]["geometry"]["coordinates"][0]
    hole = box(-0.1196, 51.5004, -0.1194, 51.5006)[0]
    doc["features"][0]["geometry"]["coordinates"] = [[[*p, 12.5] for p in reversed(ring)], hole]
    doc["features"][0]["id"] = 7
    doc["bbox"] = [0, 0, 0, 0]
    site = read(doc)
    assert len(site.lot.interiors) == 1 and site.wind_m_per_s == 30.0


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"height_m": True}, "features[1].properties.height_m"),
        ({"height_m": "6"}, "features[1].properties.height_m"),
        ({"height_m": math.nan}, "features[1].properties.height_m"),
        ({"height_m": math.inf}, "features[1].properties.height_m"),
        ({"height_m": 10**300}, "features[1].properties.height_m"),
        ({"height_m": 0}, "features[1].properties.height_m"),
        ({"height_m": None}, "features[1].properties.height_m"),
        ({"height_m": [6]}, "features[1].properties.height_m"),
        ({"clearance_m": -1}, "features[1].properties.clearance_m"),
        ({"occupied": 1}, "features[1].properties.occupied"),
        ({"hieght_m": 5}, "features[1].properties.hieght_m"),
        ({"name": "a\nb"}, "features[1].properties.name"),
        ({"name": "\ud800"}, "features[1].properties.name"),
        ({"role": "bilding"}, "features[1].properties.role"),
        ({"role": ["lot"]}, "features[1].properties.role"),
    ],
)
def test_a_bad_property_is_named(read, change, field):
    building = feature("building", "Polygon", box(-0.1198, 51.5002, -0.1196, 51.5003), height_m=6)
    building["properties"] |= change
    assert field in faults(read, document(building))


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"itu_region": 4}, "site.itu_region"),
        ({"itu_region": 1.5}, "site.itu_region"),
        ({"itu_region": "1"}, "site.itu_region"),
        ({"height_limit_m": -1}, "site.height_limit_m"),
        ({"currency": "euro"}, "site.currency"),
        ({"name": ""}, "site.name"),
        ({"soil": "avarage"}, "site.soil"),
        ({"soil": {"relative_permittivity": 13}}, "site.soil.conductivity_s_per_m"),
        ({"soil": {"relative_permittivity": 0.5, "conductivity_s_per_m": 1}}, "site.soil.relative_permittivity"),
        ({"soil": 5}, "site.soil"),
        ({"setback_m": 40}, "site.setback_m"),
        ({"setbak_m": 1}, "site.setbak_m"),
        ({"base_bearing_deg": 1}, "site.base_bearing_deg"),
    ],
)
def test_a_bad_header_member_is_named(read, change, field):
    assert field in faults(read, document(**change))


def test_missing_required_members_are_all_named(read):
    doc = document()
    doc["site"] = {}
    found = faults(read, doc)
    assert {"site.name", "site.height_limit_m", "site.itu_region", "site.currency"} <= set(found)


def test_hints_name_the_near_spelling(read):
    found = faults(read, document(soil="avarage", setbak_m=1))
    assert found["site.soil"].hint == "did you mean average?"
    assert found["site.setbak_m"].hint == "did you mean setback_m?"


def test_every_fault_at_once(read):
    found = faults(
        read,
        document(
            feature("tree", "Point", at(*INSIDE), height_m="tall"),
            feature("mast", "Point", at(*INSIDE)),
            feature("support", "LineString", [at(*INSIDE), at(*INSIDE)], height_m=3),
            feature("overhead_line", "LineString", [at(*INSIDE)], height_m=3, kind="gas"),
            itu_region=0,
        ),
    )
    assert {
        "site.itu_region",
        "features[1].properties.height_m",
        "features[1].properties.crown_radius_m",
        "features[2].properties.role",
        "features[3].geometry.type",
        "features[3].properties.kind",
        "features[4].geometry.coordinates",
        "features[4].properties.kind",
    } <= set(found)


@pytest.mark.parametrize(
    ("ring", "where"),
    [
        ([[0, 0], [0.0001, 0], [0.0001, 0.0001], [0, 0.0001]], "coordinates[0]"),  # not closed
        ([[0, 0], [0.0001, 0], [0, 0]], "coordinates[0]"),  # three positions
        ([[0, 0], [0.0001, 0.0001], [0.0001, 0], [0, 0.0001], [0, 0]], "coordinates"),  # crosses itself
        ([[0, 0], [0.0001, 0], [0.0002, 0], [0, 0]], "coordinates"),  # no area
        ([[0, 0], [0.1, 0], [0.1, 0.1], [0, 0]], "coordinates"),  # 11 km
        ([[0, 0], [170, 0], [170, 80], [0, 0]], "coordinates"),
        ([[0, 0], [0.0001, 95], [0.0001, 0.0001], [0, 0]], "coordinates[0][1]"),
        ([[0, 0], [200, 0], [0.0001, 0.0001], [0, 0]], "coordinates[0][1]"),
        ([[0, 0], [0.0001], [0.0001, 0.0001], [0, 0]], "coordinates[0][1]"),
        ([[0, 0], [True, 0], [0.0001, 0.0001], [0, 0]], "coordinates[0][1]"),
        ([[0, 0], [math.nan, 0], [0.0001, 0.0001], [0, 0]], "coordinates[0][1]"),
        ("ring", "coordinates[0]"),
        ([], "coordinates[0]"),
    ],
)
def test_bad_rings_of_the_lot(read, ring, where):
    doc = document()
    doc["features"][0]["geometry"]["coordinates"] = [ring]
    assert f"features[0].geometry.{where}" in faults(read, doc)


def circle(n):
    ring = [[1e-3 * math.cos(2 * math.pi * k / n), 1e-3 * math.sin(2 * math.pi * k / n)] for k in range(n)]
    return [ring + [ring[0]]]


def test_ten_thousand_vertices_are_the_limit(read):
    doc = document()
    doc["features"][0]["geometry"]["coordinates"] = circle(10_000)
    assert len(read(doc).lot.exterior.coords) == 10_001
    doc["features"][0]["geometry"]["coordinates"] = circle(10_001)
    assert "features[0].geometry.coordinates" in faults(read, doc)


def test_exactly_one_lot_and_at_most_one_radio(read):
    doc = document(feature("lot", "Polygon", box(-0.12, 51.5, -0.119, 51.501)))
    assert faults(read, doc)["features"].value == ["features[0]", "features[1]"]
    doc["features"] = []
    assert "exactly one" in faults(read, doc)["features"].allowed
    radio = feature("radio", "Point", at(*INSIDE), height_m=2)
    assert "at most one" in faults(read, document(radio, radio))["features"].allowed


def test_a_mast_spot_must_lie_in_the_lot(read):
    outside = feature("mast_spot", "Point", at(-0.125, 51.5))
    assert "features[1].geometry.coordinates" in faults(read, document(outside))
    lawn = feature("mast_spot", "Polygon", box(-0.1198, 51.5002, -0.1196, 51.5003), name="lawn")
    over = feature("mast_spot", "Point", at(-0.125, 51.5), name="over the hedge")
    edge = feature("mast_spot", "Point", at(-0.11901, 51.5005), name="at the fence")
    both = read(document(over, lawn, edge, setback_m=2.0))
    assert len(both.mast_spots) == 3
    told = [w for w in both.warnings if "mast" in w]
    assert len(told) == 2 and "over the hedge" in told[0] and "outside the lot" in told[0] and "at the fence" in told[1]
    assert not any("mast" in w for w in read(document(lawn, setback_m=2.0)).warnings)


def swapped(item):
    if isinstance(item[0], list):
        return [swapped(i) for i in item]
    return item[::-1]


@pytest.mark.parametrize("which", ["all but the lot", "edge of the lot", "a corner of the lot"])
def test_longitude_and_latitude_exchanged_is_hinted_at_once(read, which):
    """RFC 7946, section 3.1.1: longitude first."""
    doc = document(*(feature("support", "Point", at(*INSIDE), height_m=4, kind="post") for _ in range(5)))
    lot, *others = doc["features"]
    rings = lot["geometry"]["coordinates"]
    rings += box(-0.1197, 51.5002, -0.1196, 51.5003)
    if which == "all but the lot":
        for f in others:
            f["geometry"]["coordinates"] = swapped(f["geometry"]["coordinates"])
    elif which == "edge of the lot":
        rings[0] = swapped(rings[0])
    else:
        rings[0][2] = swapped(rings[0][2])
    found = faults(read, doc).values()
    assert [f.hint for f in found if f.hint] == ["longitude comes first, then latitude (RFC 7946): exchanged here, they would fit"]
    assert len(found) == (5 if which == "all but the lot" else 1)


def test_far_places_that_are_not_exchanged_have_no_such_hint(read):
    found = faults(read, document(feature("support", "Point", at(-0.12, 41.5), height_m=4, kind="post")))
    assert [f.hint for f in found.values()] == [""]


def test_where_an_edge_crosses_itself_is_told_in_degrees_too(read):
    """The diagonals of a rectangle halve each other (Euclid I.34)."""
    doc = document()
    (ring,) = doc["features"][0]["geometry"]["coordinates"]
    ring[1], ring[2] = ring[2], ring[1]
    told = str(faults(read, doc)["features[0].geometry.coordinates"])
    assert "at [-0.1195000, 51.5005000], 0.00 m east, 0.00 m north" in told


def test_a_far_building_is_a_warning(read):
    near = feature("building", "Polygon", box(-0.1150, 51.5, -0.1148, 51.5002), height_m=6, name="near barn")
    far = feature("building", "Polygon", box(-0.1130, 51.5, -0.1128, 51.5002), height_m=6, name="far barn")
    warnings = " ".join(read(document(near, far)).warnings)  # 278 m and 417 m from the lot's east side
    assert "far barn" in warnings and "near barn" not in warnings


def test_country_and_region_are_compared(read):
    assert "lies in ITU region 2" in " ".join(read(document(country="US")).warnings)
    assert "no national bands are known for Atlantis" in " ".join(read(document(country="Atlantis")).warnings)
    assert not any("ITU region" in w for w in read(document(country="GB")).warnings)


def test_other_rules_between_numbers(read):
    tree = feature("tree", "Point", at(*INSIDE), height_m=5, crown_radius_m=1, holds_wire_at_m=6)
    keep = feature("keep_out", "Polygon", box(-0.1198, 51.5002, -0.1196, 51.5003), from_m=3, to_m=3)
    found = faults(read, document(tree, keep))
    assert "features[1].properties.holds_wire_at_m" in found and "features[2].properties.to_m" in found


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff\xfe{}",
        b"not json",
        b"[]",
        b"null",
        b"[" * 100_000,
        b'{"a":' * 50_000,
        b"{}",
        b'{"type": "FeatureCollection"}',
        b'{"type": "FeatureCollection", "features": {}, "site": []}',
        b'{"type": "FeatureCollection", "features": [null, 5, {}], "site": {}}',
        b'{"type": "FeatureCollection", "features": [], "features": [], "site": {}}',
        b'{"x": ' + b"9" * 6000 + b"}",
        b'{"site": ' + b"[" * 600 + b"]" * 600 + b"}",
        "{}".encode("utf-16"),
    ],
)
def test_what_is_no_site_is_said(read, content):
    assert faults(read, content)


def test_no_such_file_folder_or_suffix(tmp_path):
    for path in (tmp_path / "none.geojson", tmp_path, tmp_path / "a.shp", "a\0b.geojson"):
        with pytest.raises(InputError):
            read_site(path)


def test_a_byte_order_mark_is_taken(read):
    assert read(b"\xef\xbb\xbf" + json.dumps(document()).encode()).name == "test"


def test_the_antimeridian_does_not_crash(read):
    doc = document()
    doc["features"][0]["geometry"]["coordinates"] = box(179.9999, 0.0, -179.9999, 0.0002)
    assert "features[0].geometry.coordinates" in faults(read, doc)
