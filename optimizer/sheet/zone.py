"""The exposure zone of a design's file as an area on the plan, None where the file holds none."""

from __future__ import annotations

from shapely.errors import ShapelyError
from shapely.geometry import Polygon
from shapely.ops import unary_union


def zone_of(content: dict):
    """Union of the outlines under `safety.exposure.zone.outline_m` (a list of points, or a list of such lists)."""
    exposure = (content.get("safety") or {}).get("exposure") or {}
    outlines = (exposure.get("zone") or {}).get("outline_m")
    if not outlines:
        return None
    rings = outlines if isinstance(outlines[0][0], (list, tuple)) else [outlines]
    try:
        area = unary_union([Polygon(ring).buffer(0) for ring in rings if len(ring) >= 3])
    except (ShapelyError, TypeError, ValueError):
        return None
    return None if area.is_empty else area
