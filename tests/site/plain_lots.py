"""Small lots and structures in plain metres for the tests."""

from dataclasses import replace

from shapely.geometry import LineString, Polygon

from optimizer.site.model import OverheadLine, Site, Structure
from optimizer.wires.model import Wire

SQUARE = [(0, 0), (20, 0), (20, 20), (0, 20)]
L_SHAPE = [(0, 0), (20, 0), (20, 8), (9, 8), (9, 15), (0, 15)]


def site(ring=SQUARE, *, setback_m=0.0, holes=(), **more):
    lot = Polygon(ring, holes)
    usable = lot.buffer(-setback_m, join_style="mitre") if setback_m else lot
    base = Site(
        name="test",
        stem="test",
        lot=lot,
        usable=usable,
        height_limit_m=10.0,
        itu_region=1,
        currency="EUR",
        setback_m=setback_m,
    )
    return replace(base, **more)


def wire(*points_m, role="radiator", name="main"):
    return Wire(name=name, points_m=tuple(tuple(map(float, p)) for p in points_m), radius_m=0.001, role=role)


def wires(*wires_, **more):
    return Structure(wires=tuple(wires_), **more)


def line(*points_m, height_m=8.0, clearance_m=3.0, kind="power"):
    return OverheadLine(name="line", path=LineString(points_m), height_m=height_m, kind=kind, clearance_m=clearance_m)


def feature(role, kind, coordinates, /, **properties):
    geometry = {"type": kind, "coordinates": coordinates}
    return {"type": "Feature", "properties": {"role": role, **properties}, "geometry": geometry}


def box(west, south, east, north):
    return [[[west, south], [east, south], [east, north], [west, north], [west, south]]]


def document(*features, **header):
    """A good GeoJSON document of a lot about 69 m x 111 m, with more features and header members."""
    about = {"name": "test", "height_limit_m": 9.0, "itu_region": 1, "currency": "EUR", **header}
    lot = feature("lot", "Polygon", box(-0.12, 51.5, -0.119, 51.501))
    return {"type": "FeatureCollection", "site": about, "features": [lot, *features]}
