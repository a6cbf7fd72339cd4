"""How far a structure keeps from the edge of its lot: plain geometry without compiled code, for tables made of stored work."""

from __future__ import annotations

import shapely
from shapely.geometry import MultiLineString, MultiPoint

from .model import Site, Structure


def lot_margin_m(site: Site, structure: Structure) -> float:
    """Plan distance of wires, cords, masts and anchors to the edge of the lot, less the setback, as in `ranked.csv` [m]; outside: minus how far they reach out and the setback.

    Where a corner turns in, this is a little more than the search's `lot_m`, whose inset is mitred.
    """
    lines = [[p[:2] for p in wire.points_m] for wire in structure.wires] + [[a[:2], b[:2]] for a, b in structure.cords_m]
    shape = MultiPoint([item.at_m for item in (*structure.masts, *structure.anchors)]).union(MultiLineString(lines))
    beyond = shapely.get_coordinates(shape.difference(site.lot))
    if len(beyond):
        return -float(shapely.distance(site.lot, shapely.points(beyond)).max()) - site.setback_m
    return float(shape.distance(site.lot.boundary)) - site.setback_m
