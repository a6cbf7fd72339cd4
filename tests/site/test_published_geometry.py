"""Rows of `published/geometry.csv` (source beside each), through the readers and margins that the main job uses."""

import csv
import itertools
import json
import math
import re
from pathlib import Path

import numpy as np
import pytest
from plain_lots import document

from optimizer.site.beyond import outside_m
from optimizer.site.frame import to_lon_lat, to_metres
from optimizer.site.read import read_site

ROWS = list(csv.DictReader((Path(__file__).parents[1] / "published/geometry.csv").open(encoding="utf-8")))
SHAPES = {
    "rectangle": [(0, 0), (20, 0), (20, 10), (0, 10)],
    "L-shape": [(0, 0), (20, 0), (20, 8), (9, 8), (9, 15), (0, 15)],
}


def rows(text):
    chosen = [r for r in ROWS if re.search(text, r["quantity"])]
    assert chosen
    return pytest.mark.parametrize("row", chosen, ids=[r["id"] for r in chosen])


def expected(row):
    return [float(x) for x in row["expected"].split(";")]


def share(row):
    return float(row["tolerance"].rstrip("%")) / 100


def shape_of(row):
    return next(v for k, v in SHAPES.items() if row["conditions"].startswith(k))


def taped(tmp_path, ring, setback=0.0):
    """A site read from a survey that gives the corners in metres."""
    text = (
        f'[site]\nname = "t"\nheight_limit_m = 9\nitu_region = 1\ncurrency = "EUR"\nsetback_m = {setback}\n[points]\n'
    )
    text += "".join(f"p{i} = [{x}, {y}]\n" for i, (x, y) in enumerate(ring))
    names = ", ".join(f'"p{i}"' for i in range(len(ring)))
    (tmp_path / "lot.toml").write_text(text + f'[[feature]]\nrole = "lot"\npoints = [{names}]\n')
    return read_site(tmp_path / "lot.toml")


@rows("ground length of 0.001 deg")
def test_metres_of_a_degree(row):
    lat, lon = (float(x) for x in re.search(r"lat ([\d.]+), lon ([-\d.]+)", row["conditions"]).groups())
    east = to_metres([[lon + 0.001, lat]], (lon, lat))[0]
    north = to_metres([[lon, lat + 0.001]], (lon, lat))[0]
    wide, high = expected(row)
    assert np.hypot(*east) == pytest.approx(wide, rel=share(row))
    assert np.hypot(*north) == pytest.approx(high, rel=share(row))


@rows("area of small lot given in lon/lat")
def test_area_of_a_lot_in_degrees(row, tmp_path):
    ring = [[float(x) for x in pair.split(",")] for pair in re.findall(r"\(([^)]*)\)", row["conditions"])]
    doc = document()
    doc["features"][0]["geometry"]["coordinates"] = [[*ring, ring[0]]]
    (tmp_path / "lot.geojson").write_text(json.dumps(doc))
    lot = read_site(tmp_path / "lot.geojson").lot
    assert lot.area == pytest.approx(expected(row)[0], rel=share(row))
    perimeter = float(re.search(r"perimeter ([\d.]+)", row["source"])[1])
    assert lot.length == pytest.approx(perimeter, rel=share(row))


@rows("lot polygon area / perimeter")
def test_area_and_perimeter(row, tmp_path):
    lot = taped(tmp_path, shape_of(row)).lot
    assert (lot.area, lot.length) == pytest.approx(expected(row), rel=share(row))


@rows("lot area after 1 m setback")
def test_area_less_setback(row, tmp_path):
    assert taped(tmp_path, shape_of(row), 1.0).usable.area == pytest.approx(expected(row)[0], rel=share(row))


@rows("longest straight wire")
def test_longest_straight_wire(row, tmp_path):
    """Exhaustive search over points of the edge, 0.1 m apart and all corners, judged by the lot margin."""
    setback = 1.0 if "after 1 m setback" in row["quantity"] else 0.0
    usable = taped(tmp_path, shape_of(row), setback).usable
    edge = usable.exterior
    points = [edge.interpolate(d).coords[0] for d in np.arange(0.0, edge.length, 0.1)] + list(edge.coords)
    pairs = sorted(itertools.combinations(points, 2), key=lambda p: -math.dist(*p))
    best = next(math.dist(*p) for p in pairs if outside_m(np.array([[*p[0], *p[1]]]), usable) <= 1e-6)
    assert best == pytest.approx(expected(row)[0], rel=share(row))


@rows("GeoJSON polygon ring closure")
def test_rings_must_close_and_have_four_positions(row, tmp_path):
    assert row["expected"] == "first and last positions identical; at least 4 positions"
    for bad in ([[0, 0], [0.0001, 0], [0.0001, 0.0001], [0, 0.0001]], [[0, 0], [0.0001, 0.0001], [0, 0]]):
        doc = document()
        doc["features"][0]["geometry"]["coordinates"] = [bad]
        (tmp_path / "lot.geojson").write_text(json.dumps(doc))
        with pytest.raises(ValueError, match=r"features\[0\].geometry.coordinates\[0\]"):
            read_site(tmp_path / "lot.geojson")


@rows("GeoJSON ring orientation")
def test_either_orientation_is_taken(row, tmp_path):
    assert "parsers should not reject other orders" in row["expected"]
    lots = []
    for order in (1, -1):
        doc = document()
        ring = doc["features"][0]["geometry"]["coordinates"][0]
        doc["features"][0]["geometry"]["coordinates"] = [ring[::order]]
        (tmp_path / "lot.geojson").write_text(json.dumps(doc))
        lots.append(read_site(tmp_path / "lot.geojson").lot)
    assert lots[0].equals(lots[1])


def test_local_metres_there_and_back_and_against_the_geodesic():
    """Two points 300 m apart over the lot: plan distance against the geodesic of the ellipsoid (PROJ's Geod.inv)."""
    from pyproj import Geod

    origin = (9.7, 51.4)
    xy = np.array([(140.0, -80.0), (-120.0, 95.0)])
    back = to_lon_lat(xy, origin)
    assert to_metres(back, origin) == pytest.approx(xy, abs=1e-6)
    _, _, apart = Geod(ellps="WGS84").inv(*back[0], *back[1])
    assert apart == pytest.approx(math.dist(*xy), abs=1e-3)
