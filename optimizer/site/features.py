"""From surveyed features to a `Site`: roles, their properties and defaults, and the rules a lot must meet.

Both survey forms (map and tape) end here, with shapes already in local metres. A `Feature` keeps the place
where the user wrote it, so that a fault can point there.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace

from shapely import is_valid_reason
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ..errors import FaultList
from ..physics.bands import countries
from ..physics.fields import Fields, near_spelling
from ..physics.soil import Soil, soil_words
from .model import Building, KeepOut, MastSpot, OverheadLine, People, Radio, Site, Support, Tree

WIDEST_LOT_M = 2000.0
MOST_VERTICES = 10_000
FAR_BUILDING_M = 300.0
TALLEST_M = 1000.0
LEAST_AREA_M2 = 1e-3
_AT = re.compile(r"(.*)\[(\S+) (\S+)\]")
FREE_PROPERTIES = ("note", "notes", "comment", "description")

SHAPES = {
    "lot": ("Polygon",),
    "building": ("Polygon",),
    "keep_out": ("Polygon",),
    "overhead_line": ("LineString",),
    "tree": ("Point",),
    "support": ("Point",),
    "mast_spot": ("Point", "Polygon"),
    "people": ("Polygon",),
    "radio": ("Point",),
}


@dataclass(frozen=True, kw_only=True)
class Feature:
    """One feature as surveyed. `shape` is None where its geometry was at fault."""

    where: str  # "features[3]"
    geometry_field: str  # "features[3].geometry"
    shape: BaseGeometry | None
    role: str
    fields: Fields


def read_role(fields: Fields) -> str | None:
    """The role of a feature, or None with the fault noted."""
    return fields.word("role", tuple(SHAPES))


# ---- properties by role: each takes (fields, name, shape) and gives the record, or None at a fault ----


def _height(fields: Fields, key: str = "height_m", **kw):
    return fields.number(key, above=0.0, high=TALLEST_M, unit="m", **kw)


def _building(fields, name, shape):
    height = _height(fields)
    clearance = fields.number("clearance_m", low=0.0, high=TALLEST_M, default=1.0, unit="m")
    occupied = fields.flag("occupied", default=True)
    return (
        shape
        and height
        and Building(name=name, footprint=shape, height_m=height, clearance_m=clearance, occupied=occupied)
    )


def _keep_out(fields, name, shape):
    low = fields.number("from_m", low=0.0, high=TALLEST_M, default=None, unit="m")
    high = fields.number("to_m", low=0.0, high=TALLEST_M, default=None, unit="m")
    if low is not None and high is not None and high <= low:
        fields.wrong("to_m", f"a number above from_m, {low:g} m")
    return shape and KeepOut(name=name, footprint=shape, from_m=low, to_m=high)


def _overhead_line(fields, name, shape):
    height = _height(fields)
    kind = fields.word("kind", ("power", "telecom"), default="power")
    clearance = fields.number("clearance_m", low=0.0, high=TALLEST_M, default=3.0, unit="m")
    return shape and height and OverheadLine(name=name, path=shape, height_m=height, kind=kind, clearance_m=clearance)


def _tree(fields, name, shape):
    height = _height(fields)
    radius = fields.number("crown_radius_m", low=0.0, high=100.0, unit="m")
    holds = _height(fields, "holds_wire_at_m", default=None)
    if holds and height and holds > height:
        fields.wrong("holds_wire_at_m", f"at most the tree's height_m, {height:g} m")
    if shape is None or height is None or radius is None:
        return None
    return Tree(name=name, at_m=_xy(shape), height_m=height, crown_radius_m=radius, holds_wire_at_m=holds)


def _support(fields, name, shape):
    height = _height(fields)
    kind = fields.text("kind", allowed="a word such as post, gable, pole or fence")
    return shape and height and kind and Support(name=name, at_m=_xy(shape), height_m=height, kind=kind)


def _mast_spot(fields, name, shape):
    return shape and MastSpot(name=name, where=shape)


def _people(fields, name, shape):
    height = _height(fields, default=2.0)
    return shape and People(name=name, footprint=shape, height_m=height)


def _radio(fields, name, shape):
    height = fields.number("height_m", low=0.0, high=TALLEST_M, unit="m")
    return None if shape is None or height is None else Radio(name=name, at_m=_xy(shape), height_m=height)


def _lot(fields, name, shape):
    return shape


RECORDS = {
    "lot": _lot,
    "building": _building,
    "keep_out": _keep_out,
    "overhead_line": _overhead_line,
    "tree": _tree,
    "support": _support,
    "mast_spot": _mast_spot,
    "people": _people,
    "radio": _radio,
}


def _xy(point: Point) -> tuple[float, float]:
    return float(point.x), float(point.y)


# ---- the header ----


def read_header(fields: Fields) -> dict:
    """The site's own members, checked, as keyword arguments of `Site`. Unknown ones are left to `finish`."""
    return {
        "name": fields.text("name"),
        "height_limit_m": _height(fields, "height_limit_m"),
        "itu_region": _region(fields),
        "currency": _currency(fields),
        "setback_m": fields.number("setback_m", low=0.0, high=WIDEST_LOT_M, default=0.0, unit="m"),
        "soil": _soil(fields),
        "wind_m_per_s": fields.number("wind_m_per_s", low=0.0, high=120.0, default=25.0, unit="m/s"),
        "ice_m": fields.number("ice_m", low=0.0, high=0.05, default=0.0, unit="m"),
        "country": fields.text("country", default=None),
    }


def _region(fields: Fields) -> int | None:
    region = fields.number("itu_region", low=1, high=3)
    if region is not None and region != int(region):
        fields.wrong("itu_region", "1, 2 or 3")
    return None if region is None else int(region)


def _currency(fields: Fields) -> str | None:
    text = fields.text("currency", allowed="three letters such as EUR")
    if text is not None and not (len(text) == 3 and text.isascii() and text.isalpha()):
        fields.wrong("currency", "three letters such as EUR")
        return None
    return text and text.upper()


def _soil(fields: Fields) -> Soil:
    words = soil_words()
    fields.asked.add("soil")
    value = fields.values.get("soil", "average")
    if isinstance(value, dict):
        inner = Fields(value, fields.name("soil"), fields.faults)
        permittivity = inner.number("relative_permittivity", low=1.0, high=100.0)
        conductivity = inner.number("conductivity_s_per_m", low=0.0, high=100.0, unit="S/m")
        inner.finish()
        if permittivity is None or conductivity is None:
            return words["average"]
        return Soil(relative_permittivity=permittivity, conductivity_s_per_m=conductivity)
    word = value.strip().lower().replace("_", " ") if isinstance(value, str) else None
    if word not in words:
        allowed = f"one of {', '.join(words)}, or relative_permittivity and conductivity_s_per_m"
        fields.wrong("soil", allowed, near_spelling(word, words) if word else "")
        return words["average"]
    return words[word]


# ---- the whole site ----


def build_site(
    *, stem, header: Fields, features: list[Feature], faults: FaultList, origin, warnings=(), tape_report=None
) -> Site:
    """The site, or InputError with every fault met so far and here."""
    about = read_header(header)
    header.finish(FREE_PROPERTIES)
    records = {role: [] for role in SHAPES}
    counts = Counter(f.role for f in features)
    numbers: Counter = Counter()
    for feature in features:
        numbers[feature.role] += 1
        record = _record(feature, numbers[feature.role], counts[feature.role])
        if record is not None:
            records[feature.role].append(record)
    _check_counts(features, faults)
    lots = [f for f in features if f.role == "lot"]
    usable = _usable(lots[0], about["setback_m"], header, faults) if len(lots) == 1 else None
    if usable is not None:
        _check_spots([f for f in features if f.role == "mast_spot"], lots[0].shape, faults)
    faults.raise_if_any()
    site = Site(
        **about,
        stem=stem,
        lot=records["lot"][0],
        usable=usable,
        origin_lon_lat=origin,
        buildings=tuple(records["building"]),
        keep_outs=tuple(records["keep_out"]),
        overhead_lines=tuple(records["overhead_line"]),
        trees=tuple(records["tree"]),
        supports=tuple(records["support"]),
        mast_spots=tuple(records["mast_spot"]),
        people=tuple(records["people"]),
        radio=(records["radio"] or [None])[0],
        tape_report=tape_report,
    )
    return _with_warnings(site, tuple(warnings))


def _record(feature: Feature, number: int, of: int):
    plain = feature.role.replace("_", " ")
    default = plain if of == 1 else f"{plain} {number}"
    name = feature.fields.text("name", default=default)
    record = RECORDS[feature.role](feature.fields, name, feature.shape)
    feature.fields.finish(FREE_PROPERTIES)
    return record


def _check_counts(features: list[Feature], faults: FaultList) -> None:
    lots = [f.where for f in features if f.role == "lot"]
    if len(lots) != 1:
        faults.add("features", lots or "no lot", "exactly one feature with role lot")
    radios = [f.where for f in features if f.role == "radio"]
    if len(radios) > 1:
        faults.add("features", radios, "at most one feature with role radio")


def _usable(lot: Feature, setback_m: float, header: Fields, faults: FaultList) -> BaseGeometry | None:
    """The lot less its setback (mitred inset); None with the faults noted."""
    if lot.shape is None:
        return None
    west, south, east, north = lot.shape.bounds
    width = max(east - west, north - south)
    if not width <= WIDEST_LOT_M:
        faults.add(lot.geometry_field, f"{width:.0f} m wide", f"a lot at most {WIDEST_LOT_M:.0f} m wide")
        return None
    vertices = sum(len(ring.coords) - 1 for ring in (lot.shape.exterior, *lot.shape.interiors))
    if vertices > MOST_VERTICES:
        faults.add(lot.geometry_field, f"{vertices} vertices", f"at most {MOST_VERTICES} vertices")
        return None
    usable = lot.shape.buffer(-setback_m, join_style="mitre") if setback_m else lot.shape
    if usable.is_empty or usable.area <= 0.0:
        header.wrong("setback_m", "a setback that leaves some of the lot", f"the lot is {width:.1f} m at its widest")
        return None
    return usable


def _check_spots(spots: list[Feature], lot: Polygon, faults: FaultList) -> None:
    shapes = [f.shape for f in spots if f.shape is not None]
    if shapes and len(shapes) == len(spots) and not any(lot.intersects(s) for s in shapes):
        faults.add(spots[0].geometry_field, "outside the lot", "at least one mast_spot inside the lot")


def _with_warnings(site: Site, warnings: tuple[str, ...]) -> Site:
    notes = list(warnings)
    for b in site.buildings:
        away = site.lot.distance(b.footprint)
        if away > FAR_BUILDING_M:
            notes.append(f"{b.name} is {away:.0f} m away from the lot: is its place right?")
    for spot in site.mast_spots:
        if site.usable.distance(spot.where) > 0.01:
            notes.append(f"mast_spot {spot.name} lies outside the lot less its setback: no mast can stand there")
    for s in site.supports:
        if site.usable.distance(Point(s.at_m)) > 0.01:
            notes.append(f"support {s.name} lies outside the lot less its setback: no wire can reach it")
    code, region = countries().get((site.country or "").lower(), (None, site.itu_region))
    if site.country and code is None:
        notes.append(f"no national bands are known for {site.country}: those of ITU region {site.itu_region} are used")
    if region != site.itu_region:
        notes.append(f"{site.country} lies in ITU region {region}, but itu_region is {site.itu_region}")
    if site.radio is None:
        notes.append("no radio point is given: where the line leaves the house is not known")
    return replace(site, warnings=tuple(notes))


# ---- shapes from coordinates in metres, with faults ----


def polygon_of(rings, field: str, faults: FaultList, written=None) -> Polygon | None:
    """A valid polygon from rings in metres, or None with the fault noted; `written` gives a place in metres as the user writes it."""
    polygon = Polygon(rings[0], rings[1:])
    if polygon.is_valid and polygon.area > LEAST_AREA_M2:
        return polygon
    reason = _told(is_valid_reason(polygon), written) if not polygon.is_valid else "it has no area"
    faults.add(field, reason, "a polygon whose edges do not cross or touch", "give the corners in order round the edge")
    return None


def _told(reason: str, written) -> str:
    """What makes a polygon none, "Self-intersection[2.5 -1.25]", with its place in words."""
    match = _AT.fullmatch(reason)
    if match is None:
        return reason
    x, y = (round(float(v), 2) + 0.0 for v in match.groups()[1:])
    return f"{match[1]} at {written((x, y)) + ', ' if written else ''}{x:.2f} m east, {y:.2f} m north"


def line_of(coordinates, field: str, faults: FaultList) -> LineString | None:
    line = LineString(coordinates)
    if line.length > 0.0:
        return line
    faults.add(field, "a line without length", "at least two different positions")
    return None
