"""A site from an RFC 7946 FeatureCollection, longitude and latitude on WGS 84.

Ring orientation is free (section 3.1.6: parsers should not reject other orders); rings must be closed and have
four positions at least; a third coordinate is ignored. Foreign members other than `site` are ignored.
Source: RFC 7946 (2016), sections 3.1, 3.2, 3.3, 6.1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Point

from ..errors import FaultList
from ..physics.documents import read_json, stem_of
from ..physics.fields import Fields, as_number, near_spelling
from .features import SHAPES, Feature, build_site, line_of, polygon_of, read_role
from .frame import origin_of, to_lon_lat, to_metres
from .model import Site

FARTHEST_M = 100_000.0
EXCHANGED = "longitude comes first, then latitude (RFC 7946): exchanged here, they would fit"
LEAST_POSITIONS = {"Point": 1, "LineString": 2, "Polygon": 4}


@dataclass(frozen=True, kw_only=True)
class Placed:
    """Checked geometry in degrees: one list of positions for each ring (one for a point or line)."""

    kind: str
    lists: list


def read_geojson(path) -> Site:
    """The site in a GeoJSON file. Raises InputError with every fault."""
    faults = FaultList(str(path))
    return site_of_map(read_json(path, faults), stem_of(path), faults)


def site_of_map(document: dict | None, stem: str, faults: FaultList) -> Site:
    """The site of a FeatureCollection already parsed (None: could not be). Raises InputError with every fault."""
    if document is None:
        faults.raise_if_any()
    if document.get("type") != "FeatureCollection":
        faults.add("type", document.get("type"), "FeatureCollection")
    header = _member(document, "site", faults)
    drafts = [_draft(item, i, faults) for i, item in enumerate(_list(document, faults))]
    drafts = [d for d in drafts if d is not None]
    origin = _origin(drafts)
    nowhere = any(role == "lot" and placed and not _is_near(placed, origin) for _, role, _, placed in drafts)
    if nowhere:  # no other place can be held against that of a lot in two places
        drafts = [(where, role, fields, placed if role == "lot" else None) for where, role, fields, placed in drafts]
    features = [_in_metres(draft, origin, faults) for draft in drafts]
    return build_site(
        stem=stem, header=Fields(header, "site", faults), features=features, faults=faults, origin=origin
    )


def _member(document: dict, key: str, faults: FaultList) -> dict:
    value = document.get(key)
    if not isinstance(value, dict):
        others = [k for k in document if k not in ("type", "features")]
        faults.add(key, value, "an object with name, height_limit_m, itu_region, currency", near_spelling(key, others))
        return {"name": "-", "height_limit_m": 1.0, "itu_region": 1, "currency": "EUR"}
    return value


def _list(document: dict, faults: FaultList) -> list:
    features = document.get("features")
    if not isinstance(features, list):
        faults.add("features", features, "a list of features")
        return []
    return features


def _draft(item, index: int, faults: FaultList):
    """(where, role, fields, placed or None) of one feature; None where its role cannot be told."""
    where = f"features[{index}]"
    if not isinstance(item, dict):
        faults.add(where, item, "a Feature object")
        return None
    if item.get("type") != "Feature":
        faults.add(f"{where}.type", item.get("type"), "Feature")
    properties = item.get("properties")
    if not isinstance(properties, dict):
        faults.add(f"{where}.properties", properties, "an object with a role")
        return None
    fields = Fields(properties, f"{where}.properties", faults)
    role = read_role(fields)
    if role is None:
        return None
    return where, role, fields, _placed(item.get("geometry"), f"{where}.geometry", SHAPES[role], faults)


def _placed(geometry, field: str, kinds, faults: FaultList) -> Placed | None:
    allowed = " or ".join(kinds)
    if not isinstance(geometry, dict):
        faults.add(field, geometry, f"a {allowed}")
        return None
    kind = geometry.get("type")
    if not isinstance(kind, str) or kind not in kinds:
        faults.add(f"{field}.type", kind, allowed)
        return None
    field = f"{field}.coordinates"
    coordinates = geometry.get("coordinates")
    if kind == "Point":
        lists = [_positions([coordinates], field, kind, faults)]
    elif kind == "LineString":
        lists = [_positions(coordinates, field, kind, faults)]
    elif isinstance(coordinates, list) and coordinates:
        lists = [_ring(ring, f"{field}[{i}]", faults) for i, ring in enumerate(coordinates)]
    else:
        faults.add(field, coordinates, "a list of rings")
        return None
    return None if any(part is None for part in lists) else Placed(kind=kind, lists=lists)


def _ring(ring, field: str, faults: FaultList):
    positions = _positions(ring, field, "Polygon", faults)
    if positions is not None and positions[0] != positions[-1]:
        faults.add(field, f"ends at {positions[-1]}", f"a closed ring that ends where it begins, at {positions[0]}")
        return None
    return positions


def _positions(items, field: str, kind: str, faults: FaultList):
    """List of (lon, lat) [deg], or None with every fault noted."""
    least = LEAST_POSITIONS[kind]
    if not isinstance(items, list) or len(items) < least:
        faults.add(field, items, f"a list of at least {least} positions")
        return None
    single = kind == "Point"
    positions = [_position(p, field if single else f"{field}[{i}]", faults) for i, p in enumerate(items)]
    return None if any(p is None for p in positions) else positions


def _position(item, field: str, faults: FaultList):
    numbers = [as_number(n) for n in item] if isinstance(item, list) else []
    if len(numbers) < 2 or any(n is None for n in numbers):
        faults.add(field, item, "a position: longitude, latitude in degrees, finite numbers")
        return None
    lon, lat = numbers[:2]
    good = True
    if not -180.0 <= lon <= 180.0:
        faults.add(field, lon, "a longitude from -180 to 180", "longitude comes first")
        good = False
    if not -90.0 <= lat <= 90.0:
        faults.add(field, lat, "a latitude from -90 to 90", "longitude comes first, then latitude")
        good = False
    return (lon, lat) if good else None


def _origin(drafts) -> tuple[float, float]:
    """About the lot where one is placed, else about anything placed, so that the checks can go on."""
    placed = [(role, p) for _, role, _, p in drafts if p is not None]
    chosen = [p for role, p in placed if role == "lot"] or [p for _, p in placed]
    return origin_of(chosen[0].lists[0]) if chosen else (0.0, 0.0)


def _in_metres(draft, origin, faults: FaultList) -> Feature:
    where, role, fields, placed = draft
    field = f"{where}.geometry.coordinates"
    shape = None if placed is None else _shape(placed, role, origin, field, faults)
    return Feature(where=where, geometry_field=field, shape=shape, role=role, fields=fields)


def _shape(placed: Placed, role: str, origin, field: str, faults: FaultList):
    if not _is_near(placed, origin):
        about = f"the lot at longitude {origin[0]:.5f}, latitude {origin[1]:.5f}"
        allowed = "a lot at most 2 km wide" if role == "lot" else f"a place within 100 km of {about}"
        exchanged = _is_exchanged(placed, placed.lists[0][0] if role == "lot" else origin)
        once = exchanged and not any(f.hint == EXCHANGED for f in faults.faults)
        faults.add(field, placed.lists[0][0], allowed, EXCHANGED if once else "")
        return None
    lists = [to_metres(part, origin) for part in placed.lists]
    if placed.kind == "Point":
        return Point(lists[0][0])
    if placed.kind == "LineString":
        return line_of(lists[0], field, faults)
    return polygon_of(lists, field, faults, lambda at: "[{:.7f}, {:.7f}]".format(*to_lon_lat(at, origin)[0]))


def _is_near(placed: Placed, origin) -> bool:
    return all(float(np.max(np.abs(to_metres(part, origin)))) <= FARTHEST_M for part in placed.lists)


def _is_exchanged(placed: Placed, there) -> bool:
    """Would longitude and latitude exchanged bring some of it to within a degree of a place (lon, lat)?"""
    return any(math.dist(p, there) > 1.0 > math.dist(p[::-1], there) for part in placed.lists for p in part)
