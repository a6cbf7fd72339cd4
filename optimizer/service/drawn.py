"""A surveyed site as plain data in local metres (x east, y north), for drawing: every feature, area, side lengths."""

from __future__ import annotations

import math
from itertools import pairwise

from shapely.geometry import Point
from shapely.geometry.base import BaseGeometry

from ..report.survey import survey_object
from ..site.model import Site


def drawn(site: Site) -> dict:
    """The drawing; positions in mm steps."""
    lot = _ring(site.lot.exterior.coords)
    return {
        "name": site.name,
        "height_limit_m": site.height_limit_m,
        "setback_m": site.setback_m,
        "itu_region": site.itu_region,
        "country": site.country,
        "currency": site.currency,
        "wind_m_per_s": site.wind_m_per_s,
        "soil": {"relative_permittivity": site.soil.relative_permittivity, "conductivity_s_per_m": site.soil.conductivity_s_per_m},
        "origin": None if site.origin_lon_lat is None else dict(zip(("lon", "lat"), site.origin_lon_lat)),
        "area_m2": round(site.lot.area, 2),
        "side_lengths_m": [round(math.dist(a, b), 3) for a, b in pairwise([*lot, lot[0]])],
        "bounds_m": [round(c, 3) for c in site.lot.bounds],
        "usable_m": [_rings(part) for part in getattr(site.usable, "geoms", [site.usable])],
        "features": _features(site),
        "tape": survey_object(site),
    }


def _features(site: Site) -> list[dict]:
    """Lot first, then by kind; `rings_m` for areas, `path_m` for lines, `at_m` for points."""
    found = [{"role": "lot", "name": "lot", "rings_m": _rings(site.lot)}]
    for b in site.buildings:
        found.append(_area("building", b, height_m=b.height_m, clearance_m=b.clearance_m, occupied=b.occupied))
    found += [_area("keep_out", k, from_m=k.from_m, to_m=k.to_m) for k in site.keep_outs]
    found += [_area("people", p, height_m=p.height_m) for p in site.people]
    for o in site.overhead_lines:
        path = [_xy(c) for c in o.path.coords]
        found.append({"role": "overhead_line", "name": o.name, "path_m": path, "height_m": o.height_m, "kind": o.kind, "clearance_m": o.clearance_m})
    for t in site.trees:
        more = {"height_m": t.height_m, "crown_radius_m": t.crown_radius_m, "holds_wire_at_m": t.holds_wire_at_m}
        found.append({"role": "tree", "name": t.name, "at_m": _xy(t.at_m), **more})
    found += [{"role": "support", "name": s.name, "at_m": _xy(s.at_m), "height_m": s.height_m, "kind": s.kind} for s in site.supports]
    for spot in site.mast_spots:
        where = {"at_m": _xy(spot.where.coords[0])} if isinstance(spot.where, Point) else {"rings_m": _rings(spot.where)}
        found.append({"role": "mast_spot", "name": spot.name, **where})
    if site.radio:
        found.append({"role": "radio", "name": site.radio.name, "at_m": _xy(site.radio.at_m), "height_m": site.radio.height_m})
    return found


def _area(role: str, thing, **more) -> dict:
    return {"role": role, "name": thing.name, "rings_m": _rings(thing.footprint), **more}


def _rings(shape: BaseGeometry) -> list[list]:
    return [_ring(r.coords) for r in (shape.exterior, *shape.interiors)]


def _ring(coords) -> list[list[float]]:
    """Corners once each, without the closing one."""
    return [_xy(c) for c in list(coords)[:-1]]


def _xy(point) -> list[float]:
    return [round(float(point[0]), 3), round(float(point[1]), 3)]
